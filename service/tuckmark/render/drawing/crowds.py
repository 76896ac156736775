"""Where marks stand too close to be named in place, and the enlarged detail that names them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from tuckmark.render.drawing.axis import Along
from tuckmark.render.drawing.reading import Place

#: nearer than this, neighbours belong to one crowd
_NEAR_MM: Final = 4.6
#: a crowd of two is still told apart unless it is nearer than this
_TOUCHING_MM: Final = 2.2
_MANY: Final = 3

Crowd = tuple[Place, ...]


def crowds(places: Sequence[Place], along: Along) -> tuple[Crowd, ...]:
    """Runs of neighbours that need a detail, in order."""
    return tuple(run for run in _runs(places, along) if _needs_detail(run, along))


def _runs(places: Sequence[Place], along: Along) -> Iterator[Crowd]:
    run: list[Place] = []
    for place in places:
        if run and _apart_mm(run[-1], place, along) >= _NEAR_MM:
            yield tuple(run)
            run = []
        run.append(place)
    if run:
        yield tuple(run)


def _needs_detail(run: Crowd, along: Along) -> bool:
    nearest = min(
        (_apart_mm(one, other, along) for one, other in pairwise(run)),
        default=_NEAR_MM,
    )
    return len(run) >= _MANY or nearest < _TOUCHING_MM


def _apart_mm(one: Place, other: Place, along: Along) -> float:
    return abs(along.x(other.at_mm) - along.x(one.at_mm))
