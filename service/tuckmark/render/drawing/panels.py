"""An end, or two ends that are joined: the unworked rope with its marks, then what it becomes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from tuckmark.render.drawing.axis import Along, axis_between
from tuckmark.render.drawing.block import Block, Gap, Paragraph, heading
from tuckmark.render.drawing.details import detail_blocks
from tuckmark.render.drawing.fitting import Wide, fitted
from tuckmark.render.drawing.flags import MIDDLE_MM, Flags, Run, arranged
from tuckmark.render.drawing.made import made_end, made_join
from tuckmark.render.drawing.making import Made, Spot
from tuckmark.render.drawing.pieces import EYE_MM, HALF_MM, LOOP_FALL_MM, LOOP_OUT_MM, Return
from tuckmark.render.drawing.reading import End, Sketch
from tuckmark.render.drawing.rows import Row, row_of
from tuckmark.render.drawing.shapes import RULER_HEIGHT_MM, cut_out, ruler
from tuckmark.render.drawing.words import mark_names, writer
from tuckmark.render.svg import Picture
from tuckmark.render.words import tension_text, words
from tuckmark.writing import LengthText

Json = Mapping[str, Any]

_NAME_ROOM_MM: Final = 17.0
_FAR_ROOM_MM: Final = 4.0
_EDGE_MM: Final = 1.6
_UNDER_HEADING_MM: Final = 1.2
_UNDER_EYE_MM: Final = EYE_MM + 2.2
_OVER_BODY_MM: Final = HALF_MM + 1.0
LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Ruler:
    """The scale under the lines of an end."""

    along: Along
    to_mm: float
    write: LengthText

    @property
    def height_mm(self) -> float:
        """Line, ticks and figures."""
        return RULER_HEIGHT_MM

    def draw(self, picture: Picture, top_mm: float) -> None:
        """As far as the last mark."""
        ruler(picture, self.along, self.to_mm, top_mm + 0.6, self.write)


@dataclass(frozen=True, slots=True)
class AsSpliced:
    """The worked end or join, with its captions: under it where an eye is in the way, else over.

    Attributes:
        made: the pieces.
        captions: their names.
        breaks: where the body is cut out.
        under: whether they stand under it.
        title: what it is, as read out.
    """

    made: Made
    captions: Flags
    breaks: tuple[float, ...]
    under: bool
    title: str

    @property
    def height_mm(self) -> float:
        """Above the middle of the rope, and below it."""
        return self._rise_mm + self._fall_mm

    def draw(self, picture: Picture, top_mm: float) -> None:
        """All pieces, then the captions."""
        y = top_mm + self._rise_mm
        with picture.group(self.title, "spliced"):
            for piece in self.made.pieces:
                piece.draw(picture, y)
            for x in self.breaks:
                cut_out(picture, x, y, HALF_MM)
            if self.under:
                self.captions.draw_below(picture, y + _UNDER_EYE_MM)
            else:
                self.captions.draw_above(picture, y - _OVER_BODY_MM)

    @property
    def _rise_mm(self) -> float:
        return _UNDER_EYE_MM if self.under else _OVER_BODY_MM + self.captions.height_mm

    @property
    def _fall_mm(self) -> float:
        looped = any(isinstance(piece, Return) for piece in self.made.pieces)
        if self.under:
            return _UNDER_EYE_MM + self.captions.height_mm
        return (LOOP_FALL_MM if looped else 0.0) + _OVER_BODY_MM


def end_panel(
    sketch: Sketch,
    end: End,
    left_mm: float,
    right_mm: float,
    letters: Sequence[str],
    *,
    for_both: bool = False,
) -> tuple[tuple[Block, ...], int]:
    """One spliced end: a from the left, b from the right.

    Args:
        sketch: the plan.
        end: the end.
        left_mm: left edge.
        right_mm: right edge.
        letters: names for details.
        for_both: whether the other end is alike and this one stands for both.

    Returns:
        The blocks, and how many letters they took.
    """
    rightward = end.name == "a"

    def along_of(left_room: float, right_room: float) -> Along:
        left, right = left_mm + left_room, right_mm - right_room
        places = sorted({0.0, *end.worked_mm})
        ends = (left, right) if rightward else (right, left)
        return Along(axis_between(places, *ends, bodies=(False, True)))

    far_x = right_mm - _EDGE_MM if rightward else left_mm + _EDGE_MM
    rooms = (_NAME_ROOM_MM, _FAR_ROOM_MM) if rightward else (_FAR_ROOM_MM, _NAME_ROOM_MM)

    def rows_of(along: Along) -> list[Row]:
        return _rows(sketch, end, along, far_x, letters)

    along = fitted(
        along_of,
        lambda made: (
            [row.flags for row in rows_of(made)] + [_spliced_end(end, made, far_x).captions]
        ),
        rooms,
        left_mm,
        right_mm,
    )
    rows = rows_of(along)
    details = detail_blocks(rows, left_mm, right_mm, sketch.plan)
    blocks = (
        _heading((left_mm, right_mm), *_of_end(sketch, end, for_both=for_both)),
        Gap(_UNDER_HEADING_MM),
        *rows,
        Ruler(along, end.places_mm[-1], writer(sketch.plan)),
        *details,
        heading(left_mm, Run("As spliced", bold=True)),
        _spliced_end(end, along, far_x),
    )
    return blocks, sum(len(row.details) for row in rows)


def join_panel(sketch: Sketch, left_mm: float, right_mm: float) -> tuple[Block, ...]:
    """Two ends worked into each other, on one axis through their throats: a to the right."""
    a, b = sketch.ends["a"], sketch.ends["b"]
    throat = {end.name: end.place("body_throat", "tail_throat") for end in (a, b)}
    places = sorted(
        {0.0 - throat["a"], throat["b"]}
        | {at_mm - throat["a"] for at_mm in a.worked_mm}
        | {throat["b"] - at_mm for at_mm in b.worked_mm}
    )

    def alongs_of(left_room: float, right_room: float) -> tuple[Along, Along]:
        left, right = left_mm + left_room, right_mm - right_room
        axis = axis_between(places, left, right, bodies=(True, True))
        return Along(axis, -throat["a"], 1), Along(axis, throat["b"], -1)

    edge_mm = LOOP_OUT_MM if sketch.one_rope else _EDGE_MM
    far = (right_mm - edge_mm, left_mm + edge_mm)

    def rows_of(alongs: tuple[Along, Along]) -> tuple[list[Row], list[Row]]:
        of_a = _rows(sketch, a, alongs[0], far[0], LETTERS)
        taken = sum(len(row.details) for row in of_a)
        return of_a, _rows(sketch, b, alongs[1], far[1], LETTERS[taken:])

    def spliced(alongs: tuple[Along, Along]) -> AsSpliced:
        made = made_join(Spot(a, alongs[0], far[0]), Spot(b, alongs[1], far[1]))
        captions = arranged(made.captions, rightward=False)
        return AsSpliced(
            made,
            captions,
            alongs[0].axis.breaks,
            under=False,
            title=f"as spliced: {words(a.splice)}",
        )

    def wide_of(alongs: tuple[Along, Along]) -> list[Wide]:
        of_a, of_b = rows_of(alongs)
        return [*of_a, *of_b, spliced(alongs).captions]

    alongs = fitted(alongs_of, wide_of, (_FAR_ROOM_MM, _FAR_ROOM_MM), left_mm, right_mm)
    of_a, of_b = rows_of(alongs)
    write = writer(sketch.plan)
    return (
        _heading((left_mm, right_mm), "Join" if not sketch.one_rope else "Loop", a.figures, ""),
        _end_heading(sketch, a, left_mm),
        Gap(_UNDER_HEADING_MM),
        *of_a,
        Ruler(alongs[0], a.places_mm[-1], write),
        _end_heading(sketch, b, left_mm),
        Gap(_UNDER_HEADING_MM),
        *of_b,
        Ruler(alongs[1], b.places_mm[-1], write),
        *detail_blocks([*of_a, *of_b], left_mm, right_mm, sketch.plan),
        heading(left_mm, Run("As spliced", bold=True)),
        spliced(alongs),
    )


def _rows(
    sketch: Sketch, end: End, along: Along, far_x: float, letters: Sequence[str]
) -> list[Row]:
    names = mark_names(sketch.plan["marks"])
    rows: list[Row] = []
    for line in end.lines:
        taken = sum(len(row.details) for row in rows)
        to_x = along.x(_strand_mm(end)) if line.part == "strand" else far_x
        rows.append(row_of(end, line, along, to_x, letters[taken:], sketch.plan, names))
    return rows


def _strand_mm(end: End) -> float:
    """How long a strand is where it has been unlaid."""
    length_mm: float = end.figures["strand"]["unlaid"]["mm"]
    return length_mm


def _spliced_end(end: End, along: Along, far_x: float) -> AsSpliced:
    made = made_end(Spot(end, along, far_x))
    foot_mm = _UNDER_EYE_MM - _OVER_BODY_MM
    captions = [replace(flag, foot_mm=foot_mm) for flag in made.captions]
    if made.eye_caption:
        captions.append(made.eye_caption)
    throat_x = along.x(end.place("body_throat", "tail_throat"))
    bodyward = along.breaks(far_x)
    breaks = tuple(x for x, _ in bodyward if along.rightward == (x > throat_x))
    title = f"end {end.name} as spliced: {words(end.splice)}"
    return AsSpliced(
        made, arranged(captions, rightward=not along.rightward), breaks, under=True, title=title
    )


def _heading(edges_mm: tuple[float, float], what: str, figures: Json, more: str) -> Block:
    """What is made; beside it, or below where there is no room, how it is measured."""
    guidance = ", guidance only" if figures.get("standing") == "guidance_only" else ""
    name = Run(f"{what}: {words(figures['splice'])}{guidance}", MIDDLE_MM, bold=True)
    beside = Paragraph(edges_mm[0], ((name, Run(more)),))
    if beside.width_mm <= edges_mm[1] - edges_mm[0]:
        return beside
    return Paragraph(edges_mm[0], ((name,), (Run(more),)))


def _of_end(sketch: Sketch, end: End, *, for_both: bool) -> tuple[str, Json, str]:
    if not for_both:
        return f"End {end.name}", end.figures, _measured(sketch, end)
    from_each = f"{_pulled(sketch)}: mark each end from its own bitter end"
    return "Both ends, alike", end.figures, from_each


def _end_heading(sketch: Sketch, end: End, left_mm: float) -> Block:
    what = "End" if sketch.one_rope else "Rope"
    return heading(left_mm, Run(f"{what} {end.name}", bold=True), Run(_measured(sketch, end)))


def _measured(sketch: Sketch, end: End) -> str:
    return f"{_rope_length(sketch, end)}{_pulled(sketch)}: mark from bitter end {end.name}"


def _pulled(sketch: Sketch) -> str:
    tension = sketch.plan["rope"]["hand_tension"]
    return f"unworked, pulled straight with {tension_text(tension)}" if tension else "unworked"


def _rope_length(sketch: Sketch, end: End) -> str:
    """How long one of two ropes is, as it was read."""
    pointer = f"/join/ropes/{'ab'.index(end.name)}/length"
    read = [quantity for quantity in sketch.plan["read_as"] if quantity["pointer"] == pointer]
    return f"{writer(sketch.plan).write(read[0]['mm'])}, " if read else ""
