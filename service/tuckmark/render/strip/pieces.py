"""A continuous strip, divided where it is longer than a printer or a PDF page takes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from tuckmark.render.strip.axes import Axis, Line, is_metric
from tuckmark.render.strip.ends import footer, header, reach, with_edges, wording
from tuckmark.render.strip.items import Item
from tuckmark.render.strip.labels import Frame, labels
from tuckmark.render.view import CannotShowError, Showing
from tuckmark.units import MM_PER_INCH
from tuckmark.writing import LengthText

#: a piece has at most 5 m of paper (a PDF page may have 5,080 mm): the rest is for both ends and
#: the words behind the last line
ROPE_PER_PIECE_MM: Final = 4400.0
MOST_PIECES: Final = 60
_SEARCHED_MM: Final = 1500.0
_CLEAR_MM: Final = 80.0


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip of paper, ready to be drawn.

    Attributes:
        called: such as ``End a, rope, 1 of 2``.
        items: what it carries; x as on the rope.
        low_mm: its left edge on the rope.
        high_mm: its right edge.
    """

    called: str
    items: Sequence[Item]
    low_mm: float
    high_mm: float


def pieces(axis: Axis, showing: Showing, frame: Frame) -> list[Strip]:
    """The pieces of one strip, in order.

    Raises:
        CannotShowError: there would be more than anyone prints.
        labels.TooNarrowError: the words do not fit.
    """
    metric = is_metric(showing)
    parts = _divided(axis, metric=metric)
    made = []
    for number, part in enumerate(parts, 1):
        lines = _with_words(part, number, len(parts))
        numbered = f", {number} of {len(parts)}" if len(parts) > 1 else ""
        own = replace(axis, lines=tuple(part))
        words = wording(showing.plan, own, numbered, metric=metric)
        start = lines[0].at_mm
        at_bitter_end = number == 1 and axis.zero is None
        before = header(words, frame, at_bitter_end=at_bitter_end)
        items: list[Item] = [item.moved(start) for item in before]
        items += labels(lines, frame)
        items += footer(words, frame, reach(items)[1])
        low, high = with_edges(*reach(items))
        made.append(Strip(f"{words.called}", items, low, low + math.ceil(high - low)))
    return made


def _divided(axis: Axis, *, metric: bool) -> list[list[Line]]:
    """The lines of each piece; where one ends and the next begins, both have the same line."""
    if axis.last_mm > MOST_PIECES * (ROPE_PER_PIECE_MM - _SEARCHED_MM):
        detail = (
            f"The last mark of end {axis.end}, {axis.part} lies {axis.last_mm / 1000:.0f} m out: "
            "too far for a strip. Measure with a tape."
        )
        raise CannotShowError("strip_too_long", detail)
    parts: list[list[Line]] = []
    lines = list(axis.lines)
    while axis.last_mm > lines[0].at_mm + ROPE_PER_PIECE_MM:
        restart = _restart(lines, metric=metric)
        parts.append([line for line in lines if line.at_mm < restart.at_mm] + [restart])
        lines = [restart] + [line for line in lines if line.at_mm >= restart.at_mm]
    return [*parts, lines]


def _with_words(lines: Sequence[Line], number: int, count: int) -> list[Line]:
    """The lines of a piece, with what comes before and after it said where it is cut."""
    said = list(lines)
    if number > 1:
        said[0] = replace(said[0], names=f"restart: {number - 1} of {count} ends here")
    if number < count:
        said[-1] = replace(said[-1], names=f"restart: {number + 1} of {count} begins here")
    return said


def _restart(lines: Sequence[Line], *, metric: bool) -> Line:
    """A round distance, as far on as one piece reaches and well clear of the marks."""
    step_mm = 100.0 if metric else 6 * MM_PER_INCH
    furthest = lines[0].at_mm + ROPE_PER_PIECE_MM
    steps = math.floor(furthest / step_mm)
    candidates = [n for n in range(steps, 0, -1) if n * step_mm > furthest - _SEARCHED_MM]

    def clear_mm(n: int) -> float:
        return min(_CLEAR_MM, *(abs(line.at_mm - n * step_mm) for line in lines))

    at_mm = max(candidates, key=clear_mm) * step_mm  # the first of equals, which is the furthest
    write = LengthText("metric" if metric else "inch")
    return Line(round(at_mm, 4), write.write(at_mm), "restart", ring=False, restart=True)
