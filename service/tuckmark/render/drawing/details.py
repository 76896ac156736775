"""A crowd of marks drawn again, larger, with its own scale said."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.render.drawing.axis import Along, Axis
from tuckmark.render.drawing.block import Beside, Block, Gap, heading
from tuckmark.render.drawing.fitting import fitted
from tuckmark.render.drawing.flags import Flag, Flags, Run, arranged
from tuckmark.render.drawing.reading import End, Line, Place
from tuckmark.render.drawing.rows import Detail, Row, draw_place
from tuckmark.render.drawing.shapes import HALF_MM, OUTLINE_MM, break_line
from tuckmark.render.drawing.words import place_lines
from tuckmark.render.svg import Picture

Json = Mapping[str, Any]

_BEFORE_MM: Final = 6.0
_AFTER_MM: Final = 4.0
_TORN_MM: Final = 1.3
_OVER_MM: Final = 1.2
_BETWEEN_MM: Final = 8.0
_UNDER_MM: Final = 1.4
#: room for a mark in a detail, at the most
_WIDEST_MM: Final = 34.0
_NARROWEST_MM: Final = 19.0


@dataclass(frozen=True, slots=True)
class Enlarged:
    """One detail laid out.

    Attributes:
        end: whose it is.
        line: the part.
        places: the crowd.
        along: their axis.
        from_x: left edge of the rope that is shown.
        to_x: right edge.
        flags: what stands above.
        names: of all marks, by id.
    """

    end: End
    line: Line
    places: tuple[Place, ...]
    along: Along
    from_x: float
    to_x: float
    flags: Flags
    names: Mapping[str, str]

    @property
    def half_mm(self) -> float:
        """Half the drawn thickness."""
        return HALF_MM[self.line.part]

    @property
    def height_mm(self) -> float:
        """Flags and rope."""
        return self.flags.height_mm + 2 * (self.half_mm + _OVER_MM)

    def draw(self, picture: Picture, top_mm: float) -> None:
        """A piece of rope torn off at both sides, its marks, their flags."""
        y = top_mm + self.flags.height_mm + _OVER_MM + self.half_mm
        for edge in (y - self.half_mm, y + self.half_mm):
            picture.line((self.from_x, edge), (self.to_x, edge), OUTLINE_MM)
        break_line(picture, self.from_x, y, self.half_mm)
        break_line(picture, self.to_x, y, self.half_mm)
        for place in self.places:
            draw_place(picture, self, place, y)
        self.flags.draw_above(picture, y - self.half_mm - _OVER_MM)


def detail_blocks(
    rows: Sequence[Row], left_mm: float, right_mm: float, plan: Json
) -> tuple[Block, ...]:
    """Every detail of these rows, beside each other where that takes less height."""
    shelves: list[_Shelf] = []
    for row in rows:
        for detail in row.details:
            alone = _shelf([(row, detail)], left_mm, right_mm, plan)
            if shelves and _roomy([*shelves[-1].found, (row, detail)], right_mm - left_mm):
                both = _shelf([*shelves[-1].found, (row, detail)], left_mm, right_mm, plan)
                if both.height_mm <= shelves[-1].height_mm + alone.height_mm:
                    shelves[-1] = both
                    continue
            shelves.append(alone)
    return tuple(block for shelf in shelves for block in shelf.blocks)


@dataclass(frozen=True, slots=True)
class _Shelf:
    """Details beside each other.

    Attributes:
        found: the rows and what of them is shown.
        blocks: titles, pictures, and the space under them.
    """

    found: tuple[tuple[Row, Detail], ...]
    blocks: tuple[Block, ...]

    @property
    def height_mm(self) -> float:
        return sum(block.height_mm for block in self.blocks)


def _roomy(found: Sequence[tuple[Row, Detail]], width_mm: float) -> bool:
    marks = sum(len(detail.crowd) for _, detail in found)
    return width_mm - _BETWEEN_MM * (len(found) - 1) >= _NARROWEST_MM * marks


def _shelf(
    found: Sequence[tuple[Row, Detail]], left_mm: float, right_mm: float, plan: Json
) -> _Shelf:
    """Details beside each other in the order in which they lie on the rope."""
    marks = sum(len(detail.crowd) for _, detail in found)
    room = right_mm - left_mm - _BETWEEN_MM * (len(found) - 1)
    each_mm = min(room / marks, _WIDEST_MM)
    titles, pictures, start = [], [], left_mm
    for row, detail in sorted(found, key=_first_x):
        end = start + each_mm * len(detail.crowd)
        enlarged = _enlarged(row, detail, start, end, plan)
        titles.append(_title(row, detail, enlarged, start))
        pictures.append(enlarged)
        start = end + _BETWEEN_MM
    blocks = (Beside(tuple(titles)), Beside(tuple(pictures)), Gap(_UNDER_MM))
    return _Shelf(tuple(found), blocks)


def _first_x(found: tuple[Row, Detail]) -> float:
    row, detail = found
    return row.along.x(detail.crowd[0].at_mm)


def _title(row: Row, detail: Detail, enlarged: Enlarged, left_mm: float) -> Block:
    times = enlarged.along.axis.scale / row.along.axis.scale
    part = "" if row.line.part == "rope" else f", {row.line.part}"
    return heading(
        left_mm,
        Run(f"Detail {detail.letter}", bold=True),
        Run(f"{times:.1f} times as long as above{part}"),
    )


def _enlarged(row: Row, detail: Detail, left_mm: float, right_mm: float, plan: Json) -> Enlarged:
    places = detail.crowd
    first_mm, last_mm = places[0].at_mm, places[-1].at_mm
    rightward = row.along.rightward

    def along_of(left_room: float, right_room: float) -> Along:
        left, right = left_mm + left_room, right_mm - right_room
        ends = (left, right) if rightward else (right, left)
        return Along(Axis(((first_mm, ends[0]), (last_mm, ends[1]))))

    def flags_of(along: Along) -> Flags:
        flags = [
            Flag(along.x(place.at_mm), place_lines(place, plan, row.names)) for place in places
        ]
        return arranged(flags, rightward=rightward)

    rooms = (_BEFORE_MM, _AFTER_MM) if rightward else (_AFTER_MM, _BEFORE_MM)
    along = fitted(along_of, lambda made: [flags_of(made)], rooms, left_mm, right_mm)
    return Enlarged(
        end=row.end,
        line=row.line,
        places=places,
        along=along,
        from_x=left_mm + _TORN_MM,
        to_x=right_mm - _TORN_MM,
        flags=flags_of(along),
        names=row.names,
    )
