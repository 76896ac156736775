"""The marks of a buried eye: one table of names, shapes and purposes, one way to lay them out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tuckmark.families.base import EndRequest
from tuckmark.families.bury import Buried
from tuckmark.plan import Length, Mark, Shape
from tuckmark.units import force_text


@dataclass(frozen=True, slots=True)
class Kind:
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
_SAME_PLACE_MM: Final = 1e-6


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
) -> tuple[Mark, ...]:
    """Every mark of a buried eye, in order along the rope from this end's bitter end.

    Args:
        stitched_from: the mark where the stitching starts; None where there is none.
        kinds: what the marks are called and for.
        without: positions that this splice does not mark.
    """
    places: list[tuple[str, Kind, Length, int | None]] = [
        (f"taper_{n + 1}", _taper_kind(n + 1, step.strands_left),
         buried.figure(lambda layout, n=n: layout.taper[n].at_mm), step.picks)  # type: ignore[misc] # mypy cannot type a lambda's default
        for n, step in enumerate(buried.nominal.taper)
    ]  # fmt: skip
    for name in (name for name in buried.nominal.positions_mm if name not in without):
        at = buried.figure(lambda layout, name=name: layout.positions_mm[name])  # type: ignore[misc] # as above
        places.append((name, kinds[name], at, None))
    if stitched_from:
        run_mm = request.reference.rule("stitch.length").value * request.rope.diameter_mm
        for name, further_mm in (("stitch_start", 0.0), ("stitch_end", run_mm)):
            start = buried.figure(lambda layout: layout.positions_mm[stitched_from])
            places.append((name, kinds[name], _shifted(start, further_mm), None))
    places.sort(key=lambda place: place[2].mm)  # stable: at one place, in the order above
    marks: list[Mark] = []
    for name, kind, distance, picks in places:
        before = marks[-1] if marks and _together(marks[-1].distance, distance) else None
        marks.append(
            Mark(
                id=request.mark_id(name),
                end=request.name,
                part="rope",
                name=kind.name,
                measured_from="bitter_end",
                distance=distance,
                from_a=None,
                fids=distance.mm / request.rope.full_fid_mm,
                tolerance=None,
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


def _shifted(at: Length, further_mm: float) -> Length:
    low, high = (None if mm is None else mm + further_mm for mm in (at.low_mm, at.high_mm))
    return Length(at.mm + further_mm, low, high)


def _together(one: Length, other: Length) -> bool:
    return abs(one.mm - other.mm) < _SAME_PLACE_MM
