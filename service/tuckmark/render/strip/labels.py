"""Where the words of each line go: beside it, or in lanes further on with leaders from it.

Lines run from edge to edge, so words may only stand between two of them. Where the next line is
too near, the labels of the whole crowd are stacked in the first gap behind it that holds them,
one above the other in the order of the lines, each with a leader from its own line. A crowd
that is more than one column holds gets a second column, half a row lower, whose leaders pass
between the rows of the first.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from tuckmark.render.strip.axes import Line
from tuckmark.render.strip.items import (
    ASCENT,
    MARGIN_MM,
    TEXT_HEIGHT,
    Dot,
    Item,
    Rule,
    Shape,
    Words,
)
from tuckmark.render.type import text_width_mm

Gap = tuple[float, float]

RING_MM: Final = 0.7
_LEADER_MM: Final = 2.5
_ROW: Final = 1.5  # of the font size: rows so far apart that a leader passes between two
_BEST_TOP_MM: Final = 4.0
_MIDDLE: Final = 0.36  # of the font size: half the height of a figure
_GLYPH: Final = 0.3  # of the font size: half the height of a V, or a dot's radius
_V_LENGTH: Final = 1.6  # of half its height
_JOINT_MM: Final = 0.45
_FRACTION_FROM_MM: Final = 6.0  # its figures are three fifths as high as the others
_FRACTION: Final = re.compile(r"(\d+)/(\d+)")
_UPPER: Final = str.maketrans(
    "0123456789", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"
)
_LOWER: Final = str.maketrans(
    "0123456789", "\u2080\u2081\u2082\u2083\u2084\u2085\u2086\u2087\u2088\u2089"
)


class TooNarrowError(Exception):
    """The labels do not fit a strip of this width."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """The three font sizes of a strip, in mm."""

    distance_mm: float
    name_mm: float
    small_mm: float

    @property
    def tried(self) -> tuple[tuple[float, float], ...]:
        """Sizes of a distance and its names, the preferred first."""
        return (
            (self.distance_mm, self.name_mm),
            (self.name_mm, self.small_mm),
            (self.small_mm, self.small_mm),
        )


@dataclass(frozen=True, slots=True)
class Frame:
    """What labels have to keep to.

    Attributes:
        width_mm: of the strip.
        sizes: of its words.
        barriers: stretches that must stay free of words, in order.
    """

    width_mm: float
    sizes: Sizes
    barriers: Sequence[Gap] = ()


def sizes_for(width_mm: float) -> Sizes:
    """Larger words on wider strips."""
    if width_mm < 20:
        return Sizes(4.0, 2.8, 2.5)
    return Sizes(5.0, 3.2, 2.6) if width_mm < 40 else Sizes(7.0, 4.2, 3.0)


def labels(lines: Sequence[Line], frame: Frame) -> list[Item]:
    """Lines and labels of a strip.

    Args:
        lines: in order. One without names stands without words.
        frame: what they have to keep to.

    Raises:
        TooNarrowError: a crowd of lines has more labels than the width holds.
    """
    items = [_across(line, frame.width_mm) for line in lines]
    first = 0
    while first < len(lines):
        gap = _gap(lines, first, frame)
        beside = _beside(lines[first], gap, frame)
        if beside is not None:
            items += beside
            first += 1
            continue
        last, stacked = _stack(lines, first, frame)
        items += stacked
        first = last + 1
    return items


def top_mm(width_mm: float, height_mm: float) -> float:
    """Upper edge of a block of words: centred, but near the upper edge of a wide strip.

    Raises:
        TooNarrowError: it is too high for the strip.
    """
    room_mm = (width_mm - height_mm) / 2
    if room_mm < MARGIN_MM:
        raise TooNarrowError
    return min(room_mm, _BEST_TOP_MM)


def _across(line: Line, width_mm: float) -> Item:
    ends = ((line.at_mm, 0.0), (line.at_mm, width_mm))
    if line.restart:
        return Rule(*ends, 0.5, dash_mm=2.0)
    return Rule(*ends, RING_MM if line.ring else 0.35)


def _gap(lines: Sequence[Line], index: int, frame: Frame) -> Gap:
    """The stretch behind a line, up to the next, that is free for words."""
    line = lines[index]
    half_mm = _GLYPH * frame.sizes.distance_mm
    start = line.at_mm + MARGIN_MM + (half_mm if line.glyph == "dot" else RING_MM / 2)
    if index + 1 == len(lines):
        return (start, math.inf)
    following = lines[index + 1]
    taken = {"pair": _V_LENGTH * half_mm, "dot": half_mm, None: RING_MM / 2}[following.glyph]
    return (start, following.at_mm - taken - MARGIN_MM)


def _free(gap: Gap, barriers: Sequence[Gap]) -> Iterator[Gap]:
    """What the barriers leave of a gap, in order."""
    start, end = gap
    for low, high in barriers:
        if high <= start or low >= end:
            continue
        yield (start, low - MARGIN_MM)
        start = high + MARGIN_MM
    yield (start, end)


# --- beside the line ------------------------------------------------------------------------


def _beside(line: Line, gap: Gap, frame: Frame) -> list[Item] | None:
    """The label next to its own line, the distance above the names; None where it cannot stand."""
    if not line.names:
        return []
    start, end = next(_free(gap, frame.barriers))
    for figures_mm, names_mm in frame.sizes.tried:
        rows = _wrapped(line.names, names_mm, end - start)
        figures = Words((start, 0.0), _set(line.distance, figures_mm), figures_mm, bold=True)
        if rows is None or figures.width_mm > end - start:
            continue
        try:
            return _block(line, figures, rows, names_mm, frame.width_mm)
        except TooNarrowError:
            continue
    return None


def _block(
    line: Line, figures: Words, rows: Sequence[str], names_mm: float, width_mm: float
) -> list[Item]:
    """A distance with its names below."""
    start, size = figures.at[0], figures.size_mm
    leading_mm = 1.1 * names_mm
    height_mm = TEXT_HEIGHT * size + leading_mm * len(rows)
    y = top_mm(width_mm, height_mm) + ASCENT * size
    below = y + (TEXT_HEIGHT - ASCENT) * (size - names_mm) + leading_mm
    return [
        replace(figures, at=(start, y)),
        *_glyph(line, y - _MIDDLE * size, size),
        *(Words((start, below + n * leading_mm), row, names_mm) for n, row in enumerate(rows)),
    ]


def _set(distance: str, size_mm: float) -> str:
    """A distance with its fraction set as one, where that can be read at arm's length."""
    if size_mm < _FRACTION_FROM_MM:
        return distance
    return _FRACTION.sub(
        lambda found: f"{found[1].translate(_UPPER)}\u2044{found[2].translate(_LOWER)}", distance
    )


def _wrapped(text: str, size_mm: float, width_mm: float) -> list[str] | None:
    """The text in rows no longer than this; None where a word is."""
    rows: list[str] = []
    for word in text.split(" "):
        if text_width_mm(word, size_mm) > width_mm:
            return None
        if rows and text_width_mm(f"{rows[-1]} {word}", size_mm) <= width_mm:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows


def _glyph(line: Line, y: float, size_mm: float) -> list[Item]:
    """A V open toward the bitter end, or a filled circle."""
    half_mm = _GLYPH * size_mm
    if line.glyph == "dot":
        return [Dot((line.at_mm, y), half_mm)]
    if line.glyph == "pair":
        back = line.at_mm - _V_LENGTH * half_mm
        return [Shape(((back, y - half_mm), (line.at_mm, y), (back, y + half_mm)), 0.35)]
    return []


# --- in lanes -------------------------------------------------------------------------------


def _stack(lines: Sequence[Line], first: int, frame: Frame) -> tuple[int, list[Item]]:
    """The labels of a crowd that begins with a line; with the line that ends it."""
    for last in range(first, len(lines)):
        crowd = [line for line in lines[first : last + 1] if line.names]
        for figures_mm, names_mm in frame.sizes.tried:
            lanes = _lanes(len(crowd), frame.width_mm, figures_mm)
            if lanes is None:
                continue
            rows = [_Row(line, figures_mm, names_mm) for line in crowd]
            for gap in _free(_gap(lines, last, frame), frame.barriers):
                start = gap[0] + _LEADER_MM
                columns = _columns(rows, lanes, start)
                if max(x + row.width_mm for x, row in zip(columns, rows, strict=True)) <= gap[1]:
                    placed = zip(rows, columns, lanes, strict=True)
                    return last, [item for row, x, y in placed for item in row.items(x, y)]
    raise TooNarrowError


def _lanes(count: int, width_mm: float, size_mm: float) -> list[float] | None:
    """Middles of the rows from the top; twice as close where they stand in two columns."""
    pitch_mm = _ROW * size_mm
    most = math.floor((width_mm - 2 * MARGIN_MM - TEXT_HEIGHT * size_mm) / pitch_mm + 1e-9) + 1
    if count > 2 * most - 1:
        return None
    step_mm = pitch_mm if count <= most else pitch_mm / 2
    height_mm = (count - 1) * step_mm + TEXT_HEIGHT * size_mm
    first = top_mm(width_mm, height_mm) + (ASCENT - _MIDDLE) * size_mm
    return [first + n * step_mm for n in range(count)]


def _columns(rows: Sequence["_Row"], lanes: Sequence[float], start: float) -> list[float]:
    """Where each row begins: every other one further on, where lanes are closer than rows are."""
    if len(rows) < 2 or lanes[1] - lanes[0] >= _ROW * rows[0].figures_mm - 1e-9:
        return [start] * len(rows)
    second = start + max(row.width_mm for row in rows[::2]) + _LEADER_MM
    return [second if n % 2 else start for n in range(len(rows))]


@dataclass(frozen=True, slots=True)
class _Row:
    """A label in one row."""

    line: Line
    figures_mm: float
    names_mm: float

    @property
    def _words_at_mm(self) -> float:
        return text_width_mm(self._distance, self.figures_mm, bold=True) + self.names_mm / 2

    @property
    def _distance(self) -> str:
        return _set(self.line.distance, self.figures_mm)

    @property
    def width_mm(self) -> float:
        return self._words_at_mm + text_width_mm(self.line.names, self.names_mm)

    def items(self, x: float, middle: float) -> Iterator[Item]:
        """The label from x on, its leader and what is made at its line."""
        y = middle + _MIDDLE * self.figures_mm
        yield from _glyph(self.line, middle, self.figures_mm)
        if self.line.glyph is None:
            yield Dot((self.line.at_mm, middle), _JOINT_MM)
        yield Rule((self.line.at_mm, middle), (x - MARGIN_MM, middle))
        yield Words((x, y), self._distance, self.figures_mm, bold=True)
        yield Words((x + self._words_at_mm, y), self.line.names, self.names_mm)
