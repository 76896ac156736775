"""What the splices of a double braid share: fid sections, marks on cover and core, the knot.

Marks on the cover are measured from the bitter end; those on the core from where it comes out
of the cover, toward the standing part.
"""

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from tuckmark.compare import equal
from tuckmark.families.base import EndRequest
from tuckmark.families.marking import KINDS as BURY_KINDS
from tuckmark.families.marking import Kind
from tuckmark.faults import Fault, Refused
from tuckmark.plan import GIVEN, Figures, Length, Mark, Part, Share, share_of

_BITTER_END: Final = "bitter_end"
_SHARED_BY: Final = ("polyester", "nylon")
_NO_HOLD: Final = "the hold ratio is reckoned for a single hollow braid only"

KINDS: Final[dict[str, Kind]] = BURY_KINDS | {
    "taper_start": Kind("cover taper", "ring", "from here to the tip the cover tail is thinned"),
    "crossover": Kind("crossover", "ring", "where this cover crosses the core: at its cover entry"),
    "body_throat": Kind("body throat", "ring", "where the core comes out of the cover"),
    "core_tail_exit": Kind("core tail exit", "dot", "where the core tail comes out of the cover"),
    "knot": Kind("slip knot", "ring", "the slip knot goes here, or further from the throat"),
    "core_out": Kind(
        "core out", "ring", "where the core leaves the cover at rest: start of its marks"
    ),
    "cover_entry": Kind(
        "cover entry",
        "ring",
        "where the cover tail goes into the core; counted from core out toward the knot",
    ),
    "cover_exit": Kind(
        "cover exit",
        "dot",
        "where the tool, and the cover tail behind it, come out; counted from core out toward the "
        "knot",
    ),
}


class Sections(Struct, frozen=True):
    """The three sections of a full fid for the rope, in mm, and how they were found."""

    full_mm: float
    short_mm: float
    long_mm: float
    figures: Figures


class Place(Struct, frozen=True):
    """Where one mark lies: on which part, how far from the bitter end or from another mark."""

    name: str
    part: Part
    mm: float
    measured_from: str = _BITTER_END


def fid_sections(request: EndRequest) -> Sections:
    """Full, short and long section by the table; in proportion where a full fid is given."""
    rope, table = request.rope, request.reference.fid(request.rope.diameter_mm)
    given = rope.fid is not None and rope.fid.source == GIVEN
    scale = rope.full_fid_mm / table.full.value
    note = table.note or "a row of the table"
    if given:
        note = "short and long as in the table, in proportion to the full fid given"
        request.notices.assume(
            "short and long fid sections in proportion to the full one given", table.short.source
        )
    short, long = (
        Length(section.value * scale, source=section.source)
        for section in (table.short, table.long)
    )
    full = Length(rope.full_fid_mm, source=GIVEN if given else table.full.source)
    figures: Figures = {"full": full, "short": short, "long": long, "note": note}
    return Sections(full.mm, short.mm, long.mm, figures)


def cover_taper(request: EndRequest, fid: Sections) -> Length:
    """From the bitter end to where the thinning of the cover tail starts: a third of a fid."""
    rule = request.reference.rule("double_braid.cover_taper")
    return Length(rule.value * fid.full_mm, source=rule.source)


def knot_past_throat(request: EndRequest, fid: Sections) -> Length:
    """From the throat to the slip knot, at least; five to ten full fids are quoted."""
    rule = request.reference.rule("double_braid.knot")
    low, high = rule.bounds
    request.notices.assume(
        f"slip knot {rule.value:g} full fids past the throat ({low:g} to {high:g})", rule.source
    )
    return Length(
        rule.value * fid.full_mm, low * fid.full_mm, high * fid.full_mm, source=rule.source
    )


def shortening(request: EndRequest) -> Length:
    """Length that one splice takes from the body: none, up to a few diameters."""
    rule = request.reference.rule("double_braid.shortening")
    low, high = rule.bounds
    diameter_mm = request.rope.diameter_mm
    request.notices.assume(
        f"shortening of a double-braid splice {rule.value:g} d ({low:g} to {high:g})", rule.source
    )
    return Length(rule.value * diameter_mm, low * diameter_mm, high * diameter_mm, rule.source)


def no_hold() -> Figures:
    """Why no hold ratio is printed for a double braid."""
    names = ("ratio", "low", "critical_length")
    return {**dict.fromkeys(names), "assumed": (), "reasons": dict.fromkeys(names, _NO_HOLD)}


def core_share(request: EndRequest) -> Share:
    """How much of the strength of load-shared rope is in its core."""
    return share_of(request.reference.rule("double_braid.core_share"))


def refuse_unshared_load(request: EndRequest) -> None:
    """Cover and core must share the load: neither may be of high-modulus fibre.

    Raises:
        Refused: ``load_not_shared``.
    """
    rope = request.rope
    core_fibre = rope.core_fibre or rope.fibre
    if rope.high_modulus:
        raise Refused((_core_carries(core_fibre, given_as_core=rope.core_fibre is not None),))
    if request.reference.load_class(rope.fibre).value == "high_modulus":
        raise Refused((_cover_carries(rope.fibre),))
    fibres = dict.fromkeys((rope.fibre, core_fibre))
    others = [fibre for fibre in fibres if fibre not in _SHARED_BY]
    if others:
        request.notices.add(
            "double_braid_fibre_unpublished",
            "/rope/fibre" if rope.fibre in others else "/rope/core_fibre",
            value=" and ".join(others),
            source=request.reference.rule("double_braid.cover_taper").source,
        )


def is_stitched(request: EndRequest, unstitched: str = "double_braid_unstitched") -> bool:
    """Whether the throat is cross-stitched: always, unless the spec says none.

    Args:
        unstitched: the warning to say where it is not.
    """
    stitched = request.end.stitching != "none"
    if not stitched:
        request.notices.add(
            unstitched,
            f"{request.pointer}/stitching",
            source=request.reference.rule("stitch.length").source,
        )
    return stitched


def stitch_places(request: EndRequest, throat_mm: float) -> tuple[Place, ...]:
    """The first and the last stitch of a row, from the body throat on."""
    run_mm = request.reference.rule("stitch.length").value * request.rope.diameter_mm
    return (
        Place("stitch_start", "cover", throat_mm),
        Place("stitch_end", "cover", throat_mm + run_mm),
    )


def core_places(
    entry: str, entry_mm: float, leave: str, leave_mm: float, *, out_of: str = "body_throat"
) -> tuple[Place, ...]:
    """The marks on the core, from where it comes out of the cover toward the standing part.

    Args:
        out_of: the mark on the cover where the core comes out.
    """
    return (
        Place("core_out", "core", 0.0, out_of),
        Place(entry, "core", entry_mm, "core_out"),
        Place(leave, "core", leave_mm, "core_out"),
    )


def lay_marks(
    request: EndRequest, places: Iterable[Place], kinds: dict[str, Kind] = KINDS
) -> tuple[Mark, ...]:
    """The marks of a double braid: the cover's by distance, then the core's as they are given."""
    laid = list(places)
    cover = sorted((at for at in laid if at.part == "cover"), key=lambda at: at.mm)
    ordered = [*cover, *(at for at in laid if at.part != "cover")]
    marks: list[Mark] = []
    for place in ordered:
        kind = kinds[place.name]
        start = place.measured_from
        start = start if start == _BITTER_END else request.mark_id(start)
        before = marks[-1] if marks and _together(marks[-1], place, start) else None
        marks.append(
            Mark(
                id=request.mark_id(place.name),
                end=request.name,
                part=place.part,
                name=kind.name,
                measured_from=start,
                distance=Length(place.mm),
                fids=place.mm / request.rope.full_fid_mm,
                tolerance=None,
                shape=before.shape if before else kind.shape,
                picks=None,
                same_as=(before.same_as or before.id) if before else None,
                purpose=kind.purpose,
            )
        )
    return tuple(marks)


def _together(before: Mark, place: Place, start: str) -> bool:
    one_line = before.part == place.part and before.measured_from == start
    return one_line and equal(before.distance.mm, place.mm)


def _core_carries(fibre: str, *, given_as_core: bool) -> Fault:
    return Fault(
        "/rope/core_fibre" if given_as_core else "/rope/fibre",
        "load_not_shared",
        f"A core of {fibre} carries the load alone: it hardly stretches, so the cover takes no "
        "share. This splice passes half of the load through the cover, and would fail there.",
        allowed=_SHARED_BY,
        given=fibre,
        hint="Give the construction as core_dependent_double_braid and the splice as "
        "core_bury_eye, which buries the core in itself.",
    )


def _cover_carries(fibre: str) -> Fault:
    return Fault(
        "/rope/fibre",
        "load_not_shared",
        f"A cover of {fibre} over a core that stretches more takes nearly all of the load; this "
        "splice is for rope whose cover and core share it.",
        allowed=_SHARED_BY,
        given=fibre,
        hint="Follow the rope maker's own instruction for this rope.",
    )
