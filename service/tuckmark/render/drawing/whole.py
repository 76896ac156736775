"""The whole rope on one line, bitter end to bitter end, with its plain body cut out."""

from dataclasses import dataclass
from typing import Final

from tuckmark.render.drawing.axis import Along, Axis, axis_of_parts
from tuckmark.render.drawing.flags import HAIRLINE_MM, MIDDLE_MM, SMALL_MM
from tuckmark.render.drawing.reading import End, Sketch
from tuckmark.render.drawing.shapes import HALF_MM, cut_out, mark_shape, rope
from tuckmark.render.drawing.words import writer
from tuckmark.render.svg import Picture
from tuckmark.render.type import text_width_mm
from tuckmark.render.words import words

_DIMENSION_MM: Final = 6.0
_BAND_MM: Final = 2 * HALF_MM["rope"] + 2.0
_REGIONS_MM: Final = 4.0
_ENDS_MM: Final = 4.4
_BESIDE_MM: Final = 0.08  # plain rope shown beside the last mark, as a share of what is marked
_PLAIN_MM: Final = 0.2  # of a plain end
_GAP_MM: Final = 34.0
#: body that takes no more of the rope than this is drawn in full
_SHORT_BODY: Final = 0.5
_ARROW_MM: Final = 1.8
_WITHOUT_LENGTH: Final = "length of body not given"


@dataclass(frozen=True, slots=True)
class Whole:
    """One rope, laid out.

    Attributes:
        sketch: the plan.
        a: distances from bitter end a.
        b: distances from bitter end b.
        left_out: what is said of the break, if there is one.
    """

    sketch: Sketch
    a: Along
    b: Along
    left_out: str

    @property
    def height_mm(self) -> float:
        """Cut length, rope, regions, ends."""
        return _DIMENSION_MM + _BAND_MM + _REGIONS_MM + _ENDS_MM

    def draw(self, picture: Picture, top_mm: float) -> None:
        """The cut length over the rope, regions and ends under it."""
        left, right = self.a.x(0.0), self.b.x(0.0)
        half = HALF_MM["rope"]
        self._dimension(picture, left, right, top_mm + _DIMENSION_MM - 2.2)
        y = top_mm + _DIMENSION_MM + _BAND_MM / 2
        rope(picture, left, right, y, half, open_end=False)
        regions_y = y + _BAND_MM / 2 + SMALL_MM
        taken = self._break(picture, y, regions_y)
        for along, end in ((self.a, self.sketch.ends["a"]), (self.b, self.sketch.ends["b"])):
            for throat in ("tail_throat", "body_throat"):
                at_mm = end.at(throat)
                if at_mm is not None:
                    at = (along.x(at_mm), y)
                    mark_shape(picture, "ring", at, half, rightward=along.rightward)
            self._regions(picture, along, end, regions_y, taken)
        ends_y = regions_y + _ENDS_MM
        a, b = self.sketch.ends["a"], self.sketch.ends["b"]
        picture.text((left, ends_y), f"bitter end a: {words(a.splice)}", SMALL_MM)
        picture.text((right, ends_y), f"bitter end b: {words(b.splice)}", SMALL_MM, anchor="end")

    def _dimension(self, picture: Picture, left: float, right: float, y: float) -> None:
        """The cut length between two arrows."""
        cut = self.sketch.plan["lengths"]["cut"]
        text = f"cut {cut['text']}" if cut else "no cut length: mark from each bitter end"
        middle = (left + right) / 2
        reach = text_width_mm(text, MIDDLE_MM, bold=True) / 2 + 2.0
        picture.text((middle, y + 1.2), text, MIDDLE_MM, bold=True, anchor="middle")
        for tip, inner in ((left, middle - reach), (right, middle + reach)):
            turn = 1.0 if inner > tip else -1.0
            picture.line((tip, y), (inner, y), HAIRLINE_MM)
            picture.line((tip, y - 1.4), (tip, y + 1.4), HAIRLINE_MM)
            barb = tip + turn * _ARROW_MM
            picture.polygon([(tip, y), (barb, y - 0.7), (barb, y + 0.7)])

    def _break(self, picture: Picture, y: float, text_y: float) -> tuple[float, float] | None:
        """The break in the body and what it leaves out; what its words take of the line."""
        if not self.left_out:
            return None
        middle = self.a.axis.breaks[0]
        cut_out(picture, middle, y, HALF_MM["rope"])
        picture.text((middle, text_y), self.left_out, SMALL_MM, anchor="middle")
        half = text_width_mm(self.left_out, SMALL_MM) / 2 + 1.5
        return middle - half, middle + half

    def _regions(
        self, picture: Picture, along: Along, end: End, y: float, taken: tuple[float, float] | None
    ) -> None:
        """Tail and eye by name, where there is room for the words."""
        tail, body = end.at("tail_throat"), end.at("body_throat")
        spans = (("tail", 0.0, tail), ("eye", tail, body))
        for name, from_mm, to_mm in spans:
            if from_mm is None or to_mm is None:
                continue
            low, high = sorted((along.x(from_mm), along.x(to_mm)))
            middle, half = (low + high) / 2, text_width_mm(name, SMALL_MM) / 2
            clear = taken is None or middle + half < taken[0] or middle - half > taken[1]
            if high - low > 2 * half + 1.0 and clear:
                picture.text((middle, y), name, SMALL_MM, anchor="middle")


def whole(sketch: Sketch, left_mm: float, right_mm: float) -> Whole:
    """One rope between two edges; its plain body is cut out where it would take the most room."""
    last = {name: end.last_mm for name, end in sketch.ends.items()}
    marked_mm = sum(last.values())
    shown = {
        name: last_mm + (_BESIDE_MM if last_mm else _PLAIN_MM) * marked_mm
        for name, last_mm in last.items()
    }
    cut_mm = sketch.cut_mm
    left, right = left_mm + _ARROW_MM / 9, right_mm - _ARROW_MM / 9
    if cut_mm is None:
        end_mm = sum(shown.values()) + marked_mm
        axis = _broken(shown, end_mm, left, right)
        return Whole(sketch, Along(axis), Along(axis, end_mm, -1), _WITHOUT_LENGTH)
    if cut_mm - marked_mm <= _SHORT_BODY * cut_mm:
        axis = Axis(((0.0, left), (cut_mm, right)))
        return Whole(sketch, Along(axis), Along(axis, cut_mm, -1), "")
    axis = _broken(shown, cut_mm, left, right)
    out_mm = cut_mm - sum(shown.values())
    text = f"{writer(sketch.plan).write(out_mm)} left out"
    return Whole(sketch, Along(axis), Along(axis, cut_mm, -1), text)


def _broken(shown: dict[str, float], end_mm: float, left: float, right: float) -> Axis:
    first = (0.0, shown["a"])
    last = (end_mm - shown["b"], end_mm)
    return axis_of_parts(first, last, left, right, _GAP_MM)
