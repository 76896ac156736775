"""Strokes that several parts of a drawing share: rope, breaks, marks, rulers."""

import math
from collections.abc import Mapping
from typing import Final

from tuckmark.render.drawing.axis import Along
from tuckmark.render.drawing.flags import HAIRLINE_MM, SMALL_MM
from tuckmark.render.svg import Picture, Point, number
from tuckmark.render.type import text_width_mm
from tuckmark.units import MM_PER_INCH
from tuckmark.writing import LengthText

OUTLINE_MM: Final = 0.35
STRONG_MM: Final = 0.7
#: half the drawn thickness of each part
HALF_MM: Final[Mapping[str, float]] = {"rope": 2.4, "cover": 2.4, "core": 1.7, "strand": 1.0}
RULER_HEIGHT_MM: Final = 5.0

_RING_OVER_MM: Final = 0.7
_DOT_MM: Final = 0.95
_PAIR_MM: Final = 1.5
_BREAK_MM: Final = 1.4
_TICK_MM: Final = 1.2
_TICKS_APART_MM: Final = 8.0
_LEAST_TICK_MM: Final = 10.0
_FIGURES_APART_MM: Final = 1.5
_INCH_STEPS: Final = (1, 2, 3, 6, 12, 24, 36, 60, 120, 240, 600, 1200, 3000, 6000)


def rope(
    picture: Picture, from_x: float, to_x: float, y: float, half_mm: float, *, open_end: bool
) -> None:
    """A length of rope from its bitter end; the other end is broken off where ``open_end``."""
    for edge in (y - half_mm, y + half_mm):
        picture.line((from_x, edge), (to_x, edge), OUTLINE_MM)
    picture.line((from_x, y - half_mm), (from_x, y + half_mm), OUTLINE_MM)
    if open_end:
        break_line(picture, to_x, y, half_mm)
    else:
        picture.line((to_x, y - half_mm), (to_x, y + half_mm), OUTLINE_MM)


def cut_out(picture: Picture, x: float, y: float, half_mm: float) -> None:
    """A visible break in a rope: white between two torn edges."""
    left, right, reach = x - _BREAK_MM, x + _BREAK_MM, half_mm + 0.5
    white = [(left, y - reach), (right, y - reach), (right, y + reach), (left, y + reach)]
    picture.polygon(white, fill="#fff")
    break_line(picture, left, y, half_mm)
    break_line(picture, right, y, half_mm)


def break_line(picture: Picture, x: float, y: float, half_mm: float) -> None:
    """The torn edge of a rope that goes on."""
    top, bottom = y - half_mm - 0.9, y + half_mm + 0.9
    picture.path(
        f"M {number(x)} {number(top)} C {number(x + 1.3)} {number(y - half_mm / 3)} "
        f"{number(x - 1.3)} {number(y + half_mm / 3)} {number(x)} {number(bottom)}",
        OUTLINE_MM,
    )


def mark_shape(picture: Picture, shape: str, at: Point, half_mm: float, *, rightward: bool) -> None:
    """The shape of a mark on a rope: its kind can be told without words or colour.

    Args:
        picture: where it is drawn.
        shape: ``ring``, ``dot`` or ``pair``.
        at: its place, on the middle of the rope.
        half_mm: of the rope's thickness.
        rightward: whether the rope runs to the right from its bitter end.
    """
    x, y = at
    match shape:
        case "ring":  # across the whole rope
            over = half_mm + _RING_OVER_MM
            picture.line((x, y - over), (x, y + over), STRONG_MM)
        case "dot":
            picture.circle(at, min(_DOT_MM, half_mm))
        case _:  # two strands, a V open toward the bitter end, its point on the place
            open_x = x - _PAIR_MM if rightward else x + _PAIR_MM
            for edge in (y - half_mm, y + half_mm):
                picture.line((open_x, edge), at, STRONG_MM)


def ruler(picture: Picture, along: Along, to_mm: float, y: float, write: LengthText) -> None:
    """A scale under a rope, in round steps of its own distances; breaks say what they leave out.

    Args:
        picture: where it is drawn.
        along: where the distances lie.
        to_mm: as far as it goes.
        y: its line.
        write: writes its figures.
    """
    figures_y = y + _TICK_MM + SMALL_MM
    breaks = along.breaks(along.x(to_mm))
    ends = sorted((along.x(0.0), along.x(to_mm)))
    gaps = sorted((x - _BREAK_MM, x + _BREAK_MM) for x, _ in breaks)
    edges = [ends[0], *(edge for gap in gaps for edge in gap), ends[1]]
    for from_x, to_x in zip(edges[::2], edges[1::2], strict=True):
        picture.line((from_x, y), (to_x, y), HAIRLINE_MM)
    taken: list[tuple[float, float]] = []
    for x, cut in breaks:
        text = f"{write.write(along.axis.left_out_mm(cut))} left out"
        picture.text((x, figures_y), text, SMALL_MM, anchor="middle")
        taken.append((x, text_width_mm(text, SMALL_MM)))
    step_mm = _tick_step_mm(along, to_mm, write)
    cuts = [sorted((at - along.zero_mm) * along.sign for at in cut) for _, cut in breaks]
    for i in range(math.floor(to_mm / step_mm) + 1):
        at_mm = i * step_mm
        if any(low < at_mm < high for low, high in cuts):
            continue
        x, text = along.x(at_mm), write.write(at_mm) if i else "0"
        picture.line((x, y), (x, y + _TICK_MM), HAIRLINE_MM)
        width = text_width_mm(text, SMALL_MM)
        if all(abs(x - other) > (width + room) / 2 + _FIGURES_APART_MM for other, room in taken):
            picture.text((x, figures_y), text, SMALL_MM, anchor="middle")


def _tick_step_mm(along: Along, to_mm: float, write: LengthText) -> float:
    """The least round step whose figures stand well apart."""
    widest = text_width_mm(write.write(to_mm), SMALL_MM) + _TICKS_APART_MM
    wanted_mm = max(_LEAST_TICK_MM, widest / along.axis.scale)
    if write.metric:
        power = 10.0 ** math.floor(math.log10(wanted_mm))
        return next(n * power for n in (1, 2, 5, 10, 20) if n * power >= wanted_mm)
    steps = (n * MM_PER_INCH for n in _INCH_STEPS)
    return next((step for step in steps if step >= wanted_mm), _INCH_STEPS[-1] * MM_PER_INCH)
