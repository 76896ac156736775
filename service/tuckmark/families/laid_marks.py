"""The marks of a tucked splice in laid rope: rings and dots on the rope, one on every strand."""

from typing import Final

from msgspec.structs import replace

from tuckmark.families.base import EndRequest
from tuckmark.families.laid import Tucked
from tuckmark.families.marking import Kind
from tuckmark.plan import Length, Mark, Miss, Part, Tolerance

KINDS: Final[dict[str, Kind]] = {
    "tail_throat": Kind(
        "tail throat", "ring", "unlaying stops here: the seizing goes on this ring"
    ),
    "body_throat": Kind("body throat", "ring", "where the tail meets the body and the tucks begin"),
    "last_full_tuck": Kind("last full tuck", "dot", "about here the last full tuck comes out"),
    "last_tuck": Kind("last tuck", "dot", "about here the last thinned tuck comes out"),
    "strand_tail": Kind(
        "strand tail",
        "ring",
        "on every strand, counted from its own end: from here to that end it stands past the full "
        "tucks",
    ),
}


def mark_at(
    request: EndRequest, name: str, distance: Length, kind: Kind | None = None, part: Part = "rope"
) -> Mark:
    """One mark, measured from this end's bitter end (on a strand: from the strand's own end)."""
    kind = kind or KINDS[name]
    return Mark(
        id=request.mark_id(name),
        end=request.name,
        part=part,
        name=kind.name,
        measured_from="bitter_end",
        distance=distance,
        fids=None,
        tolerance=None,
        shape=kind.shape,
        picks=None,
        same_as=None,
        purpose=kind.purpose,
    )


def tuck_marks(request: EndRequest, tucked: Tucked, throat_mm: float) -> tuple[Mark, ...]:
    """Where tucks that begin at a throat come out.

    Args:
        throat_mm: from the bitter end of the body they are tucked into.
    """
    full = mark_at(request, "last_full_tuck", _past(throat_mm, tucked.reach(tucked.counts.full)))
    if not tucked.counts.tapered:
        return (full,)
    return full, mark_at(request, "last_tuck", _past(throat_mm, tucked.run))


def strand_mark(request: EndRequest, past_full_mm: float) -> Mark:
    """On every strand: what must stand past its last full tuck."""
    mark = mark_at(request, "strand_tail", Length(past_full_mm), part="strand")
    return replace(mark, tolerance=Tolerance(minus=Miss(0.0, "tail_rule")))


def _past(throat_mm: float, reach: Length) -> Length:
    low_mm, high_mm = reach.bounds_mm
    return Length(throat_mm + reach.mm, throat_mm + low_mm, throat_mm + high_mm)
