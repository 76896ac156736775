"""The marks of a buried eye: one table of names, shapes and purposes, one way to lay them out."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from tuckmark.compare import equal
from tuckmark.families.base import EndRequest
from tuckmark.families.bury import Buried
from tuckmark.families.bury_length import bury_source
from tuckmark.plan import GIVEN, Length, Mark, Shape, Tolerance
from tuckmark.writing import force_text


class Kind(Struct, frozen=True):
    """What a mark is called, drawn as, and for."""

    name: str
    shape: Shape
    purpose: str


KINDS: Final[dict[str, Kind]] = {
    "tail_throat": Kind("tail throat", "ring", "where the tail meets the throat of the eye"),
    "body_throat": Kind("body throat", "ring", "where the body meets the throat of the eye"),
    "lock_return": Kind("lock return", "ring", "where the tail comes back through the body"),
    "bury_entry": Kind("bury entry", "ring", "where the tail goes into the centre of the body"),
    "tip_rest": Kind("tip rest", "dot", "where the tip lies when all is smooth: feel for it here"),
    "tail_exit": Kind("tool exit", "dot", "where the tool, and the tail behind it, come out"),
    "stitch_start": Kind("stitching starts", "dot", "first stitch, next to the throat"),
    "stitch_end": Kind("stitching ends", "dot", "last stitch of a row, then back"),
}
#: where the place of each mark comes from; the tail throat's is the bury's own
_SOURCES: Final[dict[str, str]] = {
    "body_throat": "derived_eye_geometry",
    "lock_return": "common_practice_lock",
    "tip_rest": "derived_braid_geometry",
    "tail_exit": "toss_p_125_127_140",
}


def hand_tension(request: EndRequest) -> str:
    """The tension that marks are set and lengths are measured under, for a step's text."""
    force = force_text(request.rope.hand_tension.kn, request.write.metric)
    return f"hand tension, about {force}"


def lay_marks(
    request: EndRequest,
    buried: Buried,
    stitched_from: str | None,
    kinds: Mapping[str, Kind] = KINDS,
    without: tuple[str, ...] = (),
    tolerances: Mapping[str, Tolerance] = MappingProxyType({}),
) -> tuple[Mark, ...]:
    """Every mark of a buried eye, in order along the rope from this end's bitter end.

    Args:
        stitched_from: the mark where the stitching starts; None where there is none.
        kinds: what the marks are called and for.
        without: positions that this splice does not mark.
        tolerances: what the rules let a position be off.
    """
    taper_source = GIVEN if request.end.taper else request.reference.taper_pattern("default").source
    places: list[tuple[str, Kind, Length, int | None]] = [
        (
            f"taper_{n + 1}",
            _taper_kind(n + 1, step.strands_left),
            buried.cut(n, taper_source),
            step.picks,
        )
        for n, step in enumerate(buried.nominal.taper)
    ]
    laid = buried.nominal.positions_mm
    locked = "lock_return" in laid
    of_bury = bury_source(request, locked=locked)
    for name in (name for name in laid if name not in without):
        source = _SOURCES.get(name, of_bury)
        if name == "bury_entry" and locked:
            source = _SOURCES["lock_return"]
        places.append((name, kinds[name], buried.position(name, source), None))
    if stitched_from:
        run = request.reference.rule("stitch.length")
        run_mm = run.value * request.rope.diameter_mm
        for name, further_mm in (("stitch_start", 0.0), ("stitch_end", run_mm)):
            at = buried.position(stitched_from, run.source, further_mm)
            places.append((name, kinds[name], at, None))
    places.sort(key=lambda place: place[2].mm)  # stable: at one place, in the order above
    marks: list[Mark] = []
    for name, kind, distance, picks in places:
        before = marks[-1] if marks and equal(marks[-1].distance.mm, distance.mm) else None
        marks.append(
            Mark(
                id=request.mark_id(name),
                end=request.name,
                part="rope",
                name=kind.name,
                measured_from="bitter_end",
                distance=distance,
                fids=distance.mm / request.rope.full_fid_mm,
                tolerance=tolerances.get(name),
                shape=before.shape if before else kind.shape,
                picks=picks,
                same_as=(before.same_as or before.id) if before else None,
                purpose=kind.purpose,
            )
        )
    return tuple(marks)


def _taper_kind(n: int, strands_left: int) -> Kind:
    return Kind(
        f"taper pair {n}",
        "pair",
        f"one left and one right strand to cut; {strands_left} strands go on to the tip",
    )
