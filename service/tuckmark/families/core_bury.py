"""How far a load-carrying core is buried in itself: by the core's own diameter.

The published instruction counts its tail in full fids of the rope. The core alone carries the
load, so the tail is buried by the core's own diameter where that is longer, and both are named.
"""

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.compare import above, below
from tuckmark.families.base import BuryLimits, EndRequest
from tuckmark.families.bury_length import given_bury_mm
from tuckmark.families.bury_rules import judge_bury, straight_limits
from tuckmark.families.cover_core import Sections
from tuckmark.faults import Fault, Refused
from tuckmark.figure_tree import length_in
from tuckmark.plan import GIVEN, Figures, Length
from tuckmark.writing import decimal_text


class CoreBury(Struct, frozen=True):
    """The lengths of one core bury.

    Attributes:
        core: diameter of the core.
        tail: bitter end to tail throat; all of it goes into the core.
        taper: from the core's end to where its thinning starts.
        exit_mm: on the core, from where it leaves the cover to the tool exit.
        knot: from the body throat to the slip knot, at least.
    """

    core: Length
    tail: Length
    taper: Length
    exit_mm: float
    knot: Length


def core_bury(request: EndRequest, fid: Sections) -> CoreBury:
    """The lengths as planned, judged by the rules and named beside the published ones.

    Args:
        fid: sections of the whole rope's fid.

    Raises:
        Refused: ``core_diameter_unlikely``, ``taper_longer_than_buried_tail``.
    """
    core = _core_diameter(request)
    of_core = _as_rope_of_the_core(request, core)
    tail = _tail(request, of_core, fid)
    if request.rope.core_diameter is None:
        _say_assumed(request, core, tail)
    exit_ratio = request.reference.rule("tool_exit.high_modulus").value
    knot = request.reference.rule("core_bury.knot")
    exit_mm = fid.short_mm + exit_ratio * tail.mm
    bury = CoreBury(
        core=core,
        tail=tail,
        taper=_core_taper(request, of_core, tail),
        exit_mm=exit_mm,
        # the published distance goes with the published tail: never short of the tool exit
        knot=Length(max(knot.value * fid.full_mm, exit_mm), source=knot.source),
    )
    _judge(request, of_core, fid, bury)
    return bury


def published(request: EndRequest, fid: Sections, eye_mm: float) -> Figures:
    """The marks of the published instruction, to compare with."""
    rule = request.reference.rule
    tail = rule("core_bury.tail")
    throat_mm = tail.value * fid.full_mm + eye_mm
    return {
        "tail_throat": Length(tail.value * fid.full_mm),
        "body_throat": Length(throat_mm),
        "knot": Length(throat_mm + rule("core_bury.knot").value * fid.full_mm),
        "bury_entry": Length(fid.short_mm),
        "tail_exit": Length(_published_exit_mm(request, fid)),
        "source": tail.source,
    }


def core_bury_limits(request: EndRequest, figures: Figures) -> BuryLimits:
    """The rules for the core's buried tail, in diameters of the core.

    Args:
        figures: of the end's plan; ``core_diameter`` is taken.
    """
    core = length_in(figures, "core_diameter")
    return straight_limits(_as_rope_of_the_core(request, core), figures)


def _published_exit_mm(request: EndRequest, fid: Sections) -> float:
    return (
        fid.short_mm + request.reference.rule("core_bury.exit").value * fid.full_mm + fid.short_mm
    )


def _core_diameter(request: EndRequest) -> Length:
    """The core's diameter as given, else as a customary share of the rope's."""
    given, diameter_mm = request.rope.core_diameter, request.rope.diameter_mm
    if given is None:
        rule = request.reference.rule("core_bury.core_diameter")
        request.notices.assume(f"core diameter {rule.value:g} of the rope's", rule.source)
        return Length(rule.value * diameter_mm, source=rule.source)
    least_mm = request.reference.rule("core_bury.core_diameter_least").value * diameter_mm
    if below(given.mm, least_mm) or not below(given.mm, diameter_mm):
        write = request.write.write
        raise Refused(
            (
                Fault(
                    "/rope/core_diameter",
                    "core_diameter_unlikely",
                    "The core lies inside the cover and carries the load: it cannot be as thick as "
                    "the whole rope, nor so much thinner.",
                    allowed=f"{request.write.write_up(least_mm)} to less than {write(diameter_mm)}",
                    given=write(given.mm),
                    hint="Check the unit of core_diameter, or leave it out.",
                ),
            )
        )
    return given


def _say_assumed(request: EndRequest, core: Length, tail: Length) -> None:
    request.notices.add(
        "core_diameter_assumed",
        "/rope",
        value=Length(core.mm),
        source=core.source,
        share=decimal_text(core.mm / request.rope.diameter_mm, 2),
        tail=request.write.write(tail.mm),
        diameters=decimal_text(tail.mm / core.mm, 1),
    )


def _as_rope_of_the_core(request: EndRequest, core: Length) -> EndRequest:
    """The same end with the core for its rope: rules in diameters and fids become the core's."""
    full = request.reference.fid(core.mm).full
    rope = replace(request.rope, diameter=core, fid=Length(full.value, source=full.source))
    return replace(request, rope=rope)


def _tail(request: EndRequest, of_core: EndRequest, fid: Sections) -> Length:
    """Bitter end to tail throat: as given, else the longest of the book's and the core's rules."""
    given_mm = given_bury_mm(of_core)
    if given_mm is not None:
        return Length(given_mm, source=GIVEN)
    rule = request.reference.rule
    book, least = rule("core_bury.tail"), rule("bury.high_modulus.least")
    uncoated = request.rope.coating == "uncoated"
    by_core = rule(f"bury.high_modulus.{'uncoated' if uncoated else 'default'}")
    lengths = (
        Length(book.value * fid.full_mm, source=book.source),
        Length(by_core.value * of_core.rope.diameter_mm, source=by_core.source),
        Length(least.value, source=least.source),
    )
    return max(lengths, key=lambda length: length.mm)


def _core_taper(request: EndRequest, of_core: EndRequest, tail: Length) -> Length:
    """From the core's end to where its thinning starts: about one full fid of the core's size."""
    taper_mm = of_core.rope.full_fid_mm
    if above(taper_mm, tail.mm):
        raise Refused(
            (
                Fault(
                    request.pointer,
                    "taper_longer_than_buried_tail",
                    "The core tail is shorter than its taper, one full fid of the core's size.",
                    allowed=f"at least {request.write.write_up(taper_mm)} of buried tail",
                    hint="Leave the bury out to get the rule for this rope.",
                ),
            )
        )
    return Length(taper_mm, source=request.reference.taper_pattern("default").source)


def _judge(request: EndRequest, of_core: EndRequest, fid: Sections, bury: CoreBury) -> None:
    """The tail against the rules for a buried tail, and beside the published one."""
    rope, rule, write = request.rope, request.reference.rule, request.write.write
    if not rope.high_modulus:
        request.notices.add(
            "core_fibre_not_high_modulus",
            "/rope" if rope.core_fibre is None else "/rope/core_fibre",
            value=rope.core_fibre or rope.fibre,
            source=rope.load_class_source,
        )
    tail_mm = bury.tail.mm
    judge_bury(of_core, bury_mm=tail_mm, buried_mm=tail_mm, locked=False)
    book = rule("core_bury.tail")
    book_mm = book.value * fid.full_mm
    request.notices.add(
        "core_bury_beside_published",
        request.pointer,
        value=Length(tail_mm),
        limit=Length(book_mm),
        source=book.source,
        diameters=decimal_text(tail_mm / bury.core.mm, 1),
        limit_diameters=decimal_text(book_mm / bury.core.mm, 1),
        rope_diameters=decimal_text(book_mm / rope.diameter_mm, 1),
        exit=write(bury.exit_mm),
        published_exit=write(_published_exit_mm(request, fid)),
        published_knot=write(rule("core_bury.knot").value * fid.full_mm),
        floor=f"{rule('bury.high_modulus.floor').value:g}",
        rule=f"{rule('bury.high_modulus.default').value:g}",
    )
