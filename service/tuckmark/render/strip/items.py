"""What a strip is made of, before it is drawn: its zero is x = 0, its upper edge y = 0."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from tuckmark.render.svg import Anchor, Picture, Point
from tuckmark.render.type import text_width_mm

THIN_MM: Final = 0.25  # the thinnest line that a 203 dpi head prints whole
ASCENT: Final = 0.78  # of the font size: what reaches above the baseline
TEXT_HEIGHT: Final = 1.02  # of the font size: from the highest letter to the lowest
MARGIN_MM: Final = 0.8  # least distance of words from an edge of the strip or from a line


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text on its baseline."""

    at: Point
    text: str
    size_mm: float
    bold: bool = False
    anchor: Anchor = "start"

    def moved(self, by_mm: float) -> "Words":
        """The same further along the strip."""
        return replace(self, at=_along(self.at, by_mm))

    @property
    def width_mm(self) -> float:
        """How long it is."""
        return text_width_mm(self.text, self.size_mm, bold=self.bold)

    def draw(self, picture: Picture, left_mm: float, top_mm: float) -> None:
        """Draws it with the strip's zero and upper edge there."""
        x, y = self.at
        at = (x + left_mm, y + top_mm)
        picture.text(at, self.text, self.size_mm, bold=self.bold, anchor=self.anchor)


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line, level or upright; ``dash_mm`` long pieces of it where it is broken."""

    start: Point
    end: Point
    width_mm: float = THIN_MM
    dash_mm: float | None = None

    def moved(self, by_mm: float) -> "Rule":
        """The same further along the strip."""
        return replace(self, start=_along(self.start, by_mm), end=_along(self.end, by_mm))

    def draw(self, picture: Picture, left_mm: float, top_mm: float) -> None:
        """Draws it with the strip's zero and upper edge there.

        As filled rectangles: some PDF renderers lose or misplace strokes that lie more than
        32,767 dots out, which is 4.1 m at 203 dpi, but fill rectangles anywhere.
        """
        (x1, y1), (x2, y2) = self.start, self.end
        x1, x2 = sorted((x1 + left_mm, x2 + left_mm))
        y1, y2 = sorted((y1 + top_mm, y2 + top_mm))
        half_mm = self.width_mm / 2
        if y1 == y2:
            _fill(picture, x1, y1 - half_mm, x2, y2 + half_mm)
            return
        for top, bottom in _dashes(y1, y2, self.dash_mm):
            _fill(picture, x1 - half_mm, top, x2 + half_mm, bottom)


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle."""

    centre: Point
    radius_mm: float

    def moved(self, by_mm: float) -> "Dot":
        """The same further along the strip."""
        return replace(self, centre=_along(self.centre, by_mm))

    def draw(self, picture: Picture, left_mm: float, top_mm: float) -> None:
        """Draws it with the strip's zero and upper edge there."""
        x, y = self.centre
        picture.circle((x + left_mm, y + top_mm), self.radius_mm)


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled shape, or an open one drawn as a line."""

    points: tuple[Point, ...]
    open_mm: float = 0.0

    def moved(self, by_mm: float) -> "Shape":
        """The same further along the strip."""
        return replace(self, points=tuple(_along(point, by_mm) for point in self.points))

    def draw(self, picture: Picture, left_mm: float, top_mm: float) -> None:
        """Draws it with the strip's zero and upper edge there."""
        moved = [(x + left_mm, y + top_mm) for x, y in self.points]
        if not self.open_mm:
            picture.polygon(moved)
            return
        for start, end in pairwise(moved):
            picture.line(start, end, self.open_mm)


Item = Words | Rule | Dot | Shape


def extent(item: Item) -> tuple[float, float]:
    """From where to where an item reaches along the strip; lines without their thickness."""
    match item:
        case Words():
            start = item.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * (
                item.width_mm
            )
            return (start, start + item.width_mm)
        case Rule():
            return (min(item.start[0], item.end[0]), max(item.start[0], item.end[0]))
        case Dot():
            return (item.centre[0] - item.radius_mm, item.centre[0] + item.radius_mm)
        case Shape():
            return (min(x for x, _ in item.points), max(x for x, _ in item.points))


def within(items: Iterable[Item], low_mm: float, high_mm: float) -> list[Item]:
    """What lies between two places; a level line that goes on past them is cut there."""
    found: list[Item] = []
    for item in items:
        low, high = extent(item)
        if low_mm <= low and high <= high_mm:
            found.append(item)
        elif isinstance(item, Rule) and low < high_mm and high > low_mm:
            y = item.start[1]
            ends = ((max(low, low_mm), y), (min(high, high_mm), y))
            found.append(replace(item, start=ends[0], end=ends[1]))
    return found


def _dashes(low: float, high: float, dash_mm: float | None) -> list[tuple[float, float]]:
    """Dashes about as long as wanted, half as far apart, so that both ends are inked."""
    if dash_mm is None:
        return [(low, high)]
    count = max(1, round(((high - low) / dash_mm + 0.5) / 1.5))
    length_mm = (high - low) / (1.5 * count - 0.5)
    begins = [low + 1.5 * n * length_mm for n in range(count)]
    return [(begin, begin + length_mm) for begin in begins]


def _along(point: Point, by_mm: float) -> Point:
    return (point[0] + by_mm, point[1])


def _fill(picture: Picture, left: float, top: float, right: float, bottom: float) -> None:
    picture.polygon([(left, top), (right, top), (right, bottom), (left, bottom)])
