"""The marks of a plaited splice, and what to do at the bench: customary, as guidance."""

from collections.abc import Sequence

from msgspec.structs import replace

from tuckmark.families.base import EndRequest
from tuckmark.families.bury_steps import KNIFE
from tuckmark.families.laid_marks import mark_at
from tuckmark.families.marking import Kind, hand_tension
from tuckmark.families.plaited import Plaited
from tuckmark.plan import Length, Mark, Step, Tool

_TAIL = Kind("tail throat", "ring", "the pairs are unlaid to here: tape the rope tightly")
_BODY = Kind("body throat", "ring", "where the tape meets the body and the tucks begin")
_PAIRS = Kind("last pair", "dot", "about here the last round in pairs comes out")
_SINGLES = Kind("last tuck", "dot", "about here the last single strand comes out")


def marks(request: EndRequest, plaited: Plaited, body_throat_mm: float | None) -> tuple[Mark, ...]:
    """Tape, throat and where the rounds come out, in order from the bitter end.

    Args:
        body_throat_mm: where an eye's tail meets the body; None for a join, where the tape of
            one rope meets that of the other.
    """
    tape = mark_at(request, "tail_throat", Length(plaited.unlay_mm), _TAIL)
    throat_mm = plaited.unlay_mm if body_throat_mm is None else body_throat_mm
    body = (
        ()
        if body_throat_mm is None
        else (mark_at(request, "body_throat", Length(body_throat_mm), _BODY),)
    )
    return (
        replace(tape, picks=plaited.tape_picks),
        *body,
        mark_at(request, "last_pair_tuck", _past(throat_mm, plaited.pairs_reach), _PAIRS),
        mark_at(request, "last_tuck", _past(throat_mm, plaited.reach), _SINGLES),
    )


def preparing_steps(
    request: EndRequest, plaited: Plaited, made: Sequence[Mark]
) -> tuple[Step, ...]:
    """Mark, tape and unlay the pairs."""
    here, write = request.name, request.write.write
    listed = ", ".join(f"the {mark.name} at {write(mark.distance.mm)}" for mark in made[1:])
    return (
        Step("mark", "mark",
             f"GUIDANCE ONLY, end {here}: tape the bitter end. Count {plaited.tape_picks} picks "
             f"from its cut edge along one line, about {write(plaited.unlay_mm)}, and tape the "
             f"rope tightly there: the tail throat. Under {hand_tension(request)}, mark from the "
             f"bitter end: {listed}.",
             here, tuple(mark.id for mark in made), ("tape", "measuring tape", "marker")),
        Step("splice", "prepare",
             f"End {here}: unlay the strands back to the tape, no further. There are four pairs: "
             "two run to the left, two to the right. Tape the ends of each pair together and mark "
             "the two right-hand pairs with colour, in the tail and in the body.", here,
             (request.mark_id("tail_throat"),), ("tape", "marker")),
    )  # fmt: skip


def tucking_steps(request: EndRequest, body: EndRequest, plaited: Plaited) -> tuple[Step, ...]:
    """The rounds of one end's pairs in one body.

    Args:
        body: the end whose body takes the pairs; the same end for an eye.
    """
    here = request.name
    into = "the body" if body.name == here else f"the body of end {body.name}"
    pairs, fewest, most = plaited.pairs
    singles, fewest_singles, most_singles = plaited.singles
    return (
        Step("splice", "pass",
             f"End {here}: tuck each right-hand pair into {into}, under a left-hand pair of the "
             "body and beside a right-hand one, whose way it follows; and each left-hand pair "
             "under a right-hand one, likewise: like runs with like, under unlike. When all four "
             "are in, that is one round. Draw all down alike.", here,
             (body.mark_id("tail_throat"),), ("fid",)),
        Step("splice", "pass",
             f"End {here}: go on, each pair over one and under one, to {pairs} rounds in pairs "
             f"({fewest} to {most} are customary). The last comes out about at the last pair "
             "mark.", here, (body.mark_id("last_pair_tuck"),), ("fid",)),
        Step("splice", "cut_strands",
             f"End {here}: drop one strand of every pair, and tuck the other for {singles} more "
             f"rounds ({fewest_singles} to {most_singles} are customary). It comes out about at "
             "the last tuck. Cut the strands that were dropped only when all is drawn down, not "
             "flush with the rope.", here, (body.mark_id("last_tuck"),), ("fid", "knife"), KNIFE),
    )  # fmt: skip


def closing_steps(request: EndRequest | None, throats: tuple[str, ...]) -> tuple[Step, ...]:
    """Work the splice even, and hold it against the rope's own instruction."""
    here = request.name if request else None
    return (
        Step("splice", "smooth",
             "Take the tape off and work the splice even from the throat outward.", here, throats),
        Step("splice", "check",
             "Hold the splice against the rope maker's own instruction for this rope. This sheet "
             "is guidance only: where it differs, or where there is no instruction, do not load "
             "the splice.", here, throats),
    )  # fmt: skip


def tools(request: EndRequest) -> tuple[Tool, ...]:
    """What opens the pairs."""
    size = request.write.write(request.rope.diameter_mm)
    return (
        Tool("fid", f"to open the pairs of {size} rope: a hollow one or a spike"),
        Tool("the rope maker's splice instruction", "for this very rope: ask for it before work"),
    )


def _past(throat_mm: float, reach: Length) -> Length:
    low_mm, high_mm = reach.bounds_mm
    return Length(throat_mm + reach.mm, throat_mm + low_mm, throat_mm + high_mm)
