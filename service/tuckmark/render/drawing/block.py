"""A drawing is a column of blocks: each knows its height before anything is drawn."""

from dataclasses import dataclass
from typing import Final, Protocol

from tuckmark.render.drawing.flags import Run, Words, line_width_mm, write_line
from tuckmark.render.svg import Picture

_LEADING: Final = 1.35
_DESCENT: Final = 0.3


class Block(Protocol):
    """Something as wide as the drawing."""

    @property
    def height_mm(self) -> float:
        """Its height."""

    def draw(self, picture: Picture, top_mm: float) -> None:
        """Draws it with its upper edge at ``top_mm``."""


@dataclass(frozen=True, slots=True)
class Gap:
    """White space."""

    height_mm: float

    def draw(self, picture: Picture, top_mm: float) -> None:
        """Nothing."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines of words, from the left."""

    left_mm: float
    lines: tuple[Words, ...]

    @property
    def height_mm(self) -> float:
        """Of all lines."""
        return sum(map(_height_mm, self.lines))

    @property
    def width_mm(self) -> float:
        """Of the longest line."""
        return max(map(line_width_mm, self.lines))

    def draw(self, picture: Picture, top_mm: float) -> None:
        """One line under the other."""
        y = top_mm
        for line in self.lines:
            y += _height_mm(line)
            size_mm = max(run.size_mm for run in line)
            write_line(picture, (self.left_mm, y - _DESCENT * size_mm), line)


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks side by side, each drawing in its own columns."""

    blocks: tuple[Block, ...]

    @property
    def height_mm(self) -> float:
        """Of the tallest."""
        return max(block.height_mm for block in self.blocks)

    def draw(self, picture: Picture, top_mm: float) -> None:
        """All at the same height."""
        for block in self.blocks:
            block.draw(picture, top_mm)


@dataclass(frozen=True, slots=True)
class Boxed:
    """A column of blocks in a frame."""

    left_mm: float
    right_mm: float
    inside: tuple[Block, ...]
    frame_mm: float
    pad_mm: float = 1.6

    @property
    def height_mm(self) -> float:
        """With its frame."""
        return sum(block.height_mm for block in self.inside) + 2 * self.pad_mm

    def draw(self, picture: Picture, top_mm: float) -> None:
        """The frame, then what is in it."""
        bottom = top_mm + self.height_mm
        corners = [
            (self.left_mm, top_mm), (self.right_mm, top_mm),
            (self.right_mm, bottom), (self.left_mm, bottom),
        ]  # fmt: skip
        picture.polygon(corners, self.frame_mm, "none")
        stack(picture, self.inside, top_mm + self.pad_mm)


def stack(picture: Picture, blocks: tuple[Block, ...], top_mm: float) -> None:
    """Blocks one under the other."""
    for block in blocks:
        block.draw(picture, top_mm)
        top_mm += block.height_mm


def heading(left_mm: float, *runs: Run) -> Paragraph:
    """One line."""
    return Paragraph(left_mm, (runs,))


def _height_mm(line: Words) -> float:
    return _LEADING * max(run.size_mm for run in line)
