"""Labels beside what they name: each on a thin staff, none on another, none across a staff.

A flag stands on its mark. Where flags would meet, the one nearer to the bitter end is lifted
above those that its words would run into; so no staff ever goes through words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tuckmark.render.svg import Picture
from tuckmark.render.type import text_width_mm

SMALL_MM: Final = 2.6
MIDDLE_MM: Final = 3.4
LARGE_MM: Final = 4.8
HAIRLINE_MM: Final = 0.25

_BESIDE_MM: Final = 0.9
_APART_MM: Final = 1.6
_ABOVE_MM: Final = 1.0
_LEADING: Final = 1.28
_DESCENT: Final = 0.24
_SPACE_MM: Final = 0.8


@dataclass(frozen=True, slots=True)
class Run:
    """Words of one size and weight."""

    text: str
    size_mm: float = SMALL_MM
    bold: bool = False

    @property
    def width_mm(self) -> float:
        """How wide it is set."""
        return text_width_mm(self.text, self.size_mm, bold=self.bold)


Words = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Flag:
    """Lines of words that belong to one place of the picture.

    Attributes:
        x: the place.
        lines: the words.
        foot_mm: how much further than the base of all flags its staff reaches.
    """

    x: float
    lines: tuple[Words, ...]
    foot_mm: float = 0.0

    @property
    def width_mm(self) -> float:
        """From the staff to the end of the longest line."""
        return _BESIDE_MM + max(line_width_mm(line) for line in self.lines)

    @property
    def height_mm(self) -> float:
        """Of all lines."""
        return sum(_line_height_mm(line) for line in self.lines)


@dataclass(frozen=True, slots=True)
class Flags:
    """Flags, each with how far its foot stands off the thing it names.

    Attributes:
        placed: (flag, distance of its near side from the base).
        rightward: words run to the right of their staff, else to the left.
        height_mm: room that all need.
    """

    placed: tuple[tuple[Flag, float], ...]
    rightward: bool
    height_mm: float

    @property
    def left_mm(self) -> float:
        """Left edge of all words."""
        return min((self._edges(flag)[0] for flag, _ in self.placed), default=float("inf"))

    @property
    def right_mm(self) -> float:
        """Right edge of all words."""
        return max((self._edges(flag)[1] for flag, _ in self.placed), default=float("-inf"))

    def _edges(self, flag: Flag) -> tuple[float, float]:
        if self.rightward:
            return flag.x, flag.x + flag.width_mm
        return flag.x - flag.width_mm, flag.x

    def draw_above(self, picture: Picture, base_y: float) -> None:
        """Staffs go up from ``base_y``."""
        for flag, off in self.placed:
            top = base_y - off - flag.height_mm
            picture.line((flag.x, base_y + flag.foot_mm), (flag.x, top), HAIRLINE_MM)
            self._write(picture, flag, top)

    def draw_below(self, picture: Picture, base_y: float) -> None:
        """Staffs go down from ``base_y``."""
        for flag, off in self.placed:
            bottom = base_y + off + flag.height_mm
            picture.line((flag.x, base_y - flag.foot_mm), (flag.x, bottom), HAIRLINE_MM)
            self._write(picture, flag, base_y + off)

    def _write(self, picture: Picture, flag: Flag, top: float) -> None:
        y = top
        for line in flag.lines:
            y += _line_height_mm(line)
            x = flag.x + _BESIDE_MM if self.rightward else flag.x - _BESIDE_MM - line_width_mm(line)
            write_line(picture, (x, y - _DESCENT * _line_size_mm(line)), line)


def arranged(flags: Sequence[Flag], *, rightward: bool) -> Flags:
    """Room for each flag.

    Args:
        flags: in any order.
        rightward: whether words run to the right of their staff.
    """
    turn = 1 if rightward else -1
    placed: list[tuple[Flag, float]] = []
    for flag in sorted(flags, key=lambda flag: -turn * flag.x):
        reach = turn * flag.x + flag.width_mm + _APART_MM
        under = [off + other.height_mm for other, off in placed if turn * other.x < reach]
        placed.append((flag, max(under, default=0.0) + _ABOVE_MM))
    height = max((off + flag.height_mm for flag, off in placed), default=0.0)
    return Flags(tuple(placed), rightward, height)


def write_line(picture: Picture, at: tuple[float, float], line: Words) -> None:
    """Runs one after the other on one baseline, from the left."""
    x = at[0]
    for run in line:
        picture.text((x, at[1]), run.text, run.size_mm, bold=run.bold)
        x += run.width_mm + _SPACE_MM


def line_width_mm(line: Words) -> float:
    """From the beginning of the first run to the end of the last."""
    return sum(run.width_mm for run in line) + _SPACE_MM * (len(line) - 1)


def _line_size_mm(line: Words) -> float:
    return max(run.size_mm for run in line)


def _line_height_mm(line: Words) -> float:
    return _LEADING * _line_size_mm(line)
