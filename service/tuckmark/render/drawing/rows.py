"""One part of an end on its own line: the rope, its marks at their places, a flag on each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.render.drawing.axis import Along
from tuckmark.render.drawing.crowds import Crowd, crowds
from tuckmark.render.drawing.flags import (
    HAIRLINE_MM,
    SMALL_MM,
    Flag,
    Flags,
    Run,
    arranged,
)
from tuckmark.render.drawing.reading import End, Line, Place
from tuckmark.render.drawing.shapes import HALF_MM, cut_out, mark_shape, rope
from tuckmark.render.drawing.words import LINE_NAMES, place_lines, place_title
from tuckmark.render.svg import Anchor, Picture, number
from tuckmark.render.type import text_width_mm

_OVER_MM: Final = 1.2
_BRACKET_MM: Final = 1.0
_NAME_OFF_MM: Final = 1.6

Json = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Detail:
    """A crowd that is drawn again, larger."""

    letter: str
    crowd: Crowd
    line: Line
    end: End


@dataclass(frozen=True, slots=True)
class Row:
    """A line laid out on its axis.

    Attributes:
        end: whose it is.
        line: the part and its places.
        along: where they lie.
        far_x: where it leaves the picture.
        flags: what stands above it.
        details: what is drawn again elsewhere.
        names: of all marks, by id.
    """

    end: End
    line: Line
    along: Along
    far_x: float
    flags: Flags
    details: tuple[Detail, ...]
    names: Mapping[str, str]

    @property
    def half_mm(self) -> float:
        """Half the drawn thickness."""
        return HALF_MM[self.line.part]

    @property
    def height_mm(self) -> float:
        """Flags, and the rope under them."""
        return self.flags.height_mm + 2 * (self.half_mm + _OVER_MM)

    @property
    def left_mm(self) -> float:
        """Left edge of all words."""
        name = self._name_x - self._name_width_mm if self.along.rightward else self._name_x
        return min(name, self.flags.left_mm)

    @property
    def right_mm(self) -> float:
        """Right edge of all words."""
        name = self._name_x if self.along.rightward else self._name_x + self._name_width_mm
        return max(name, self.flags.right_mm)

    def draw(self, picture: Picture, top_mm: float) -> None:
        """The rope, its name, its marks, their flags."""
        y = top_mm + self.flags.height_mm + _OVER_MM + self.half_mm
        rope(picture, self.along.x(0.0), self.far_x, y, self.half_mm, open_end=True)
        for x, _ in self.along.breaks(self.far_x):
            cut_out(picture, x, y, self.half_mm)
        self._name(picture, y)
        for place in self.line.places:
            draw_place(picture, self, place, y)
        for detail in self.details:
            self._bracket(picture, detail, y - self.half_mm - _OVER_MM)
        self.flags.draw_above(picture, y - self.half_mm - _OVER_MM)

    def _name(self, picture: Picture, y: float) -> None:
        """What the line is, and where it begins, before its bitter end."""
        anchor: Anchor = "end" if self.along.rightward else "start"
        name, origin = LINE_NAMES[self.line.part]
        picture.text((self._name_x, y - 0.4), name, SMALL_MM, bold=True, anchor=anchor)
        picture.text((self._name_x, y + SMALL_MM), origin, SMALL_MM, anchor=anchor)

    @property
    def _name_x(self) -> float:
        return self.along.x(0.0) + (-_NAME_OFF_MM if self.along.rightward else _NAME_OFF_MM)

    @property
    def _name_width_mm(self) -> float:
        name, origin = LINE_NAMES[self.line.part]
        return max(text_width_mm(name, SMALL_MM, bold=True), text_width_mm(origin, SMALL_MM))

    def _bracket(self, picture: Picture, detail: Detail, y: float) -> None:
        first, last = (self.along.x(detail.crowd[i].at_mm) for i in (0, -1))
        low, high = sorted((first, last))
        picture.path(
            f"M {number(low)} {number(y + _BRACKET_MM)} L {number(low)} {number(y)} "
            f"L {number(high)} {number(y)} L {number(high)} {number(y + _BRACKET_MM)}",
            HAIRLINE_MM,
        )


def draw_place(picture: Picture, row: Any, place: Place, y: float) -> None:
    """Each shape that is marked at a place, once, with what it is for those who cannot see it."""
    ids = " ".join(mark["id"] for mark in place.marks)
    with picture.group(place_title(place, row.end.name, row.names), f"mark {ids}"):
        for shape in dict.fromkeys(mark["shape"] for mark in place.marks):
            at = (row.along.x(place.at_mm), y)
            mark_shape(picture, shape, at, row.half_mm, rightward=row.along.rightward)


def row_of(
    end: End,
    line: Line,
    along: Along,
    far_x: float,
    letters: Sequence[str],
    plan: Json,
    names: Mapping[str, str],
) -> Row:
    """A line laid out on an axis.

    Args:
        end: whose it is.
        line: the part and its places.
        along: where they lie.
        far_x: where it leaves the picture.
        letters: names for details, enough of them.
        plan: as published.
        names: of all marks, by id.
    """
    found = crowds(line.places, along)
    details = tuple(
        Detail(letter, crowd, line, end) for letter, crowd in zip(letters, found, strict=False)
    )
    apart = [place for place in line.places if not any(place in crowd for crowd in found)]
    flags = [Flag(along.x(place.at_mm), place_lines(place, plan, names)) for place in apart]
    for detail in details:
        middle = (along.x(detail.crowd[0].at_mm) + along.x(detail.crowd[-1].at_mm)) / 2
        flags.append(Flag(middle, ((Run(f"detail {detail.letter}", bold=True),),)))
    return Row(end, line, along, far_x, arranged(flags, rightward=along.rightward), details, names)
