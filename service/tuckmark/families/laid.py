"""Strands of laid rope tucked into the body: how many tucks, how much rope, how far they reach."""

import math
from collections.abc import Callable, Iterable
from typing import Final, Literal

from msgspec import Struct

from tuckmark.compare import below, equal
from tuckmark.families.base import EndRequest
from tuckmark.faults import Fault, Refused
from tuckmark.mechanics import laid
from tuckmark.plan import GIVEN, Figures, Length, uncertain
from tuckmark.reference import Figure
from tuckmark.units import MM_PER_INCH

Lay = Literal["z", "s"]
Thinning = Literal["none", "yarns", "tucks", "strands"]
_LAYS: Final = {"z": "right-hand lay (z)", "s": "left-hand lay (s)"}


class Counts(Struct, frozen=True):
    """How often every strand is tucked.

    Attributes:
        full: full tucks of every strand.
        tapered: thinned rounds past the full ones; the last of them may leave strands out.
        source: where the number of full tucks comes from.
    """

    full: int
    tapered: int
    thinning: Thinning
    source: str


class Tucked(Struct, frozen=True):
    """The strands of one end tucked into a body.

    Attributes:
        tail_mm: strand that the law wants left past the last full tuck, at least.
        past_full_mm: strand needed past the last full tuck: the tail, or the thinned rounds.
        unlay: rope unlaid, bitter end to throat.
        advance: of a full tuck along the body.
    """

    counts: Counts
    tail_mm: float
    past_full_mm: float
    unlay: Length
    advance: Length

    def reach(self, tucks: int) -> Length:
        """From the throat to where a strand comes out after so many tucks."""
        low_mm, high_mm = self.advance.bounds_mm
        return Length(tucks * self.advance.mm, tucks * low_mm, tucks * high_mm)

    @property
    def run(self) -> Length:
        """From the throat to the end of the last tuck, thinned ones and all."""
        return self.reach(self.counts.full + self.counts.tapered)


def counts_of(request: EndRequest) -> Counts:
    """Full tucks and thinned rounds: as the spec gives them, else the advice for the fibre.

    Raises:
        Refused: ``no_rule_for_high_modulus_tucks``.
    """
    thinning = request.end.thinning or "none"
    strands = request.rope.strand_count
    tapered = {
        "none": 0,
        "yarns": int(request.reference.rule("tucks.further").value),
        "tucks": int(request.reference.rule("tucks.further").value),
        "strands": strands - 1,
    }[thinning]
    _, advised = tuck_rules(request)
    if request.end.tucks is not None:
        return Counts(request.end.tucks, tapered, thinning, GIVEN)
    return Counts(int(advised.value), tapered, thinning, advised.source)


def tuck_rules(request: EndRequest) -> tuple[Figure, Figure]:
    """Full tucks for this fibre, least and advised.

    Raises:
        Refused: ``no_rule_for_high_modulus_tucks``.
    """
    fibre = request.rope.fibre
    rules = request.reference.full_tucks(fibre)
    if rules is None:
        raise Refused((no_rule(fibre),))
    return rules


def tuck(request: EndRequest, counts: Counts, *, crown_mm: float = 0.0) -> Tucked:
    """Rope unlaid for these tucks, and how far they reach into the body.

    Args:
        crown_mm: rope unlaid for a crown, before the first tuck.
    """
    rule = request.reference.rule
    per_tuck = rule("tucks.unlay")
    per_tuck_mm = per_tuck.value * request.rope.diameter_mm
    tail_mm = least_tail_mm(request)
    past_full_mm = _past_full_mm(request, counts, per_tuck_mm, tail_mm)
    unlay = Length(counts.full * per_tuck_mm + past_full_mm + crown_mm, source=per_tuck.source)
    book = _book_unlay(request, counts)
    if book is not None and book.mm > unlay.mm:
        unlay = book
    return Tucked(counts, tail_mm, past_full_mm, unlay, _advance(request))


def judge_tucks(request: EndRequest, counts: Counts) -> None:
    """Full tucks against the law, below which the plan stops, and against the advice."""
    least, advised = tuck_rules(request)
    pointer = request.pointer if request.end.tucks is None else f"{request.pointer}/tucks"
    advised_least = advised.bounds[0]
    for code, limit, source in (
        ("tucks_below_least", least.value, least.source),
        ("tucks_between_rules", advised_least, advised.source),
    ):
        if counts.full < limit:
            request.notices.add(
                code,
                pointer,
                value=float(counts.full),
                limit=limit,
                source=source,
                fibre=request.rope.fibre,
            )
            return


def least_tail_mm(request: EndRequest) -> float:
    """Strand left past the last full tuck, at least: 6 d, or 6 in from 1 in diameter on.

    Source: 29 CFR 1926.251(d)(2), 29 CFR 1910.184(h)(3).
    """
    rule, diameter_mm = request.reference.rule, request.rope.diameter_mm
    if below(diameter_mm, rule("tucks.tail.large_from").value * MM_PER_INCH):
        return rule("tucks.tail.small").value * diameter_mm
    return rule("tucks.tail.large").value * MM_PER_INCH


def lay_of(request: EndRequest, given: Iterable[str | None]) -> Lay:
    """The direction of lay, of one rope or of both to be joined; right-hand where not given."""
    lays = list(given)
    known = next((lay for lay in lays if lay is not None), None)
    lay: Lay = "s" if known == "s" else "z"
    if None in lays:
        source = request.reference.statement("lay.direction").source
        request.notices.assume(_LAYS[lay] + (" of both ropes" if len(lays) > 1 else ""), source)
    return lay


def shortening(request: EndRequest) -> Length:
    """Length that the body loses to the tucks: none is reckoned, but a range is said."""
    rule, diameter_mm = request.reference.rule("tucks.shortening"), request.rope.diameter_mm
    low, high = rule.bounds
    request.notices.assume(
        f"length lost where strands are tucked {rule.value:g} d ({low:g} to {high:g})", rule.source
    )
    return Length(rule.value * diameter_mm, low * diameter_mm, high * diameter_mm, rule.source)


def figures(request: EndRequest, tucked: Tucked) -> Figures:
    """The tucks as the plan prints them."""
    rule, counts = request.reference.rule, tucked.counts
    least, advised = tuck_rules(request)
    low, high = advised.bounds
    return {
        "unlay": tucked.unlay,
        "tuck_rounds": {
            "full": counts.full,
            "tapered": counts.tapered,
            "source": counts.source,
            "thinning": counts.thinning,
            "least": {"full": int(least.value), "source": least.source},
            "advised": {"from": int(low), "to": int(high), "source": advised.source},
        },
        "tail": Length(tucked.tail_mm, source=rule("tucks.tail.small").source),
        "advance": tucked.advance,
        "run": tucked.run,
        "strand": strand_figures(request, tucked.unlay.mm),
    }


def strand_figures(request: EndRequest, unlay_mm: float) -> Figures:
    """One strand: its diameter, its length in one lay, and what the unlaid rope gives of it."""
    diameter_mm, strands, lay = (
        request.rope.diameter_mm,
        request.rope.strand_count,
        lay_length(request),
    )
    source = request.reference.statement("tucks.advance").source

    def per_lay_mm(lay_mm: float) -> float:
        return laid.strand_length_mm(diameter_mm, strands, lay_mm)

    def by_lay(figure: Callable[[float], float]) -> Length:
        low, high = (figure(mm) - figure(lay.mm) for mm in lay.bounds_mm)
        return uncertain(figure(lay.mm), {"lay_length": (low, high)}, source)

    return {
        "diameter": Length(laid.strand_diameter_mm(diameter_mm, strands), source=source),
        "per_lay": by_lay(per_lay_mm),
        "unlaid": by_lay(lambda lay_mm: unlay_mm * per_lay_mm(lay_mm) / lay_mm),
    }


def lay_length(request: EndRequest) -> Length:
    """One turn of a strand, measured or assumed with its range."""
    lay = request.rope.lay_length
    if lay is None:
        raise ValueError("tucked splices are planned in laid rope only")
    return lay


def _advance(request: EndRequest) -> Length:
    """Of a full tuck: by the lay where it is measured, else by the diameter."""
    rope, lay = request.rope, lay_length(request)
    if lay.source == GIVEN:
        turn = request.reference.rule("tucks.strand_turn")
        strands, source = rope.strand_count, turn.source
        least_mm, most_mm = lay.bounds_mm
        planned, low, high = (
            laid.tuck_advance_mm(strands, lay_mm, turns * lay_mm)
            for lay_mm, turns in (
                (lay.mm, turn.value),
                (least_mm, turn.bounds[0]),
                (most_mm, math.inf),
            )
        )
    else:
        rule = request.reference.rule(f"tucks.advance.{rope.construction}")
        source = rule.source
        planned, low, high = (d * rope.diameter_mm for d in (rule.value, *rule.bounds))
    in_d = [f"{mm / rope.diameter_mm:.3g}" for mm in (planned, low, high)]
    request.notices.assume(f"advance of a tuck {in_d[0]} d ({in_d[1]} to {in_d[2]})", source)
    return Length(planned, low, high, source)


def _past_full_mm(request: EndRequest, counts: Counts, per_tuck_mm: float, tail_mm: float) -> float:
    """Strand past the last full tuck: what is tucked further, and the tail where one must stand.

    Only a strand that is tucked at least twice more may be cut close. Of strands dropped in
    turn the first is not tucked again and the last in every further round.
    """
    rule = request.reference.rule
    if counts.thinning == "none":
        return tail_mm
    if counts.thinning != "strands":
        return rule("tucks.further.strand").value * request.rope.diameter_mm
    enough = int(rule("tucks.further").value)
    return max(
        more * per_tuck_mm + (0.0 if more >= enough else tail_mm)
        for more in range(counts.tapered + 1)
    )


def _book_unlay(request: EndRequest, counts: Counts) -> Length | None:
    """What a book gives for its one size and number of tucks; None for any other."""
    rule = request.reference.rule
    size_mm = rule("tucks.unlay.book_diameter").value * MM_PER_INCH
    same_size = equal(request.rope.diameter_mm, size_mm)
    if not same_size or counts.full != rule("tucks.unlay.book_tucks").value:
        return None
    book = rule("tucks.unlay.book")
    return Length(book.value * MM_PER_INCH, source=book.source)


def no_rule(fibre: str) -> Fault:
    """Why no tucks are planned in this fibre."""
    return Fault(
        "/rope/fibre",
        "no_rule_for_high_modulus_tucks",
        f"There is no published number of tucks for laid rope of {fibre}: high-modulus fibre is "
        "slippery, tucks that hold in other fibres may pull out, and none are guessed.",
        allowed="polyester, nylon, polypropylene, polyethylene or a natural fibre",
        given=fibre,
        hint="Follow the rope maker's own instruction, or use a termination proven for this rope.",
    )
