"""What a worked rope is drawn from: body, eye, tail inside, stitches, lock, tucks, crown, knot.

A piece knows where it lies across the picture; it is drawn about the line of the rope.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from tuckmark.render.drawing.flags import HAIRLINE_MM
from tuckmark.render.drawing.shapes import OUTLINE_MM, STRONG_MM, break_line
from tuckmark.render.svg import Picture, number

HALF_MM: Final = 2.4
#: half the height of an eye, to the middle of its rope
EYE_MM: Final = 6.0
_LEG_MM: Final = 3.6
_TAIL_GREY: Final = "#8c8c8c"
#: half the thickness of what lies in an eye, and the play that it has
_INSIDE_MM: Final = 3.0
_PLAY_MM: Final = 0.7
#: how far the handles of a half circle reach, in radii
_HALF_CIRCLE: Final = 4 / 3
_LEG_BEND: Final = 0.45
_LOOP_MM: Final = 9.0
_CORE_MM: Final = 1.4
_CORNER_MM: Final = 6.0
_SEAM_MM: Final = 0.1  # of a corner, drawn white into the body so that no line closes it


class Piece(Protocol):
    """One part of the picture of a worked rope."""

    def draw(self, picture: Picture, y: float) -> None:
        """Draws it about the line ``y``."""


@dataclass(frozen=True, slots=True)
class Body:
    """Standing rope between two places; torn off where it goes on."""

    from_x: float
    to_x: float
    torn_from: bool = False
    torn_to: bool = False

    def draw(self, picture: Picture, y: float) -> None:
        """Two edges."""
        for edge in (y - HALF_MM, y + HALF_MM):
            picture.line((self.from_x, edge), (self.to_x, edge), OUTLINE_MM)
        for x, torn in ((self.from_x, self.torn_from), (self.to_x, self.torn_to)):
            if torn:
                break_line(picture, x, y, HALF_MM)


@dataclass(frozen=True, slots=True)
class Eye:
    """The eye, from its throat to its crown.

    Attributes:
        throat_x: where both legs meet.
        crown_x: the far end, on the middle of the rope.
        fitting: what lies in it: ``pin``, ``thimble`` or nothing.
        filled: whether a second part of the rope runs inside it all round.
    """

    throat_x: float
    crown_x: float
    fitting: str = ""
    filled: bool = False

    def draw(self, picture: Picture, y: float) -> None:
        """A loop of rope, and what is in it."""
        way = self._way(y)
        picture.path(way, _LEG_MM + OUTLINE_MM)
        picture.path(way, _LEG_MM - OUTLINE_MM, stroke="#fff")
        if self.filled:
            picture.path(way, _LEG_MM * 0.38, stroke=_TAIL_GREY)
        inward = 1.0 if self.throat_x > self.crown_x else -1.0
        middle_x = self.crown_x + inward * EYE_MM
        if self.fitting == "pin":
            picture.circle((middle_x - inward * _PLAY_MM, y), _INSIDE_MM, OUTLINE_MM, fill="none")
        if self.fitting == "thimble":
            nose_x = middle_x + inward * 2.4 * _INSIDE_MM
            tail_x = middle_x - inward * (_INSIDE_MM + _PLAY_MM)
            picture.path(self._loop(nose_x, tail_x, y, _INSIDE_MM), OUTLINE_MM)

    def _way(self, y: float) -> str:
        return self._loop(self.throat_x, self.crown_x, y, EYE_MM)

    @staticmethod
    def _loop(throat_x: float, crown_x: float, y: float, half_mm: float) -> str:
        """From the throat along one leg, half round the crown, and back along the other leg."""
        inward = 1.0 if throat_x > crown_x else -1.0
        crown_from_x = crown_x + inward * half_mm
        round_x = number(crown_from_x - inward * half_mm * _HALF_CIRCLE)
        leg = (throat_x - crown_from_x) * _LEG_BEND
        from_x, near_x = number(throat_x - leg), number(crown_from_x + leg)
        start, top, bottom = number(throat_x), number(y - half_mm), number(y + half_mm)
        middle, crown = number(y), number(crown_from_x)
        return (
            f"M {start} {middle} C {from_x} {middle} {near_x} {top} {crown} {top} "
            f"C {round_x} {top} {round_x} {bottom} {crown} {bottom} "
            f"C {near_x} {bottom} {from_x} {middle} {start} {middle}"
        )


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail inside the rope, thinner step by step toward its tip.

    Attributes:
        entry_x: where it goes in.
        steps: (place, share of its strands that goes on from there), from the entry to the tip.
        tip_x: where its tip rests.
        half_mm: of its full thickness.
        off_mm: of its middle from the middle of the rope.
    """

    entry_x: float
    steps: tuple[tuple[float, float], ...]
    tip_x: float
    half_mm: float = 1.3
    off_mm: float = 0.0

    def draw(self, picture: Picture, y: float) -> None:
        """A grey shape with an outline."""
        middle = y + self.off_mm
        upper = [(self.entry_x, self.half_mm)]
        thick = self.half_mm
        for x, share in self.steps:
            upper += [(x, thick), (x, self.half_mm * share)]
            thick = self.half_mm * share
        upper.append((self.tip_x, thick))
        there = [(x, middle - half) for x, half in upper]
        back = [(x, middle + half) for x, half in reversed(upper)]
        picture.polygon([*there, *back], HAIRLINE_MM, _TAIL_GREY)


@dataclass(frozen=True, slots=True)
class Core:
    """The core of a double braid inside its cover."""

    from_x: float
    to_x: float

    def draw(self, picture: Picture, y: float) -> None:
        """Two fine lines inside those of the cover."""
        for edge in (y - _CORE_MM, y + _CORE_MM):
            picture.line((self.from_x, edge), (self.to_x, edge), HAIRLINE_MM)


@dataclass(frozen=True, slots=True)
class Stitches:
    """Cross-stitching between two places."""

    from_x: float
    to_x: float

    def draw(self, picture: Picture, y: float) -> None:
        """Two rows of crossing stitches."""
        low, high = sorted((self.from_x, self.to_x))
        count = max(2, round((high - low) / 1.6))
        step = (high - low) / count
        for i in range(count):
            left, right = low + i * step, low + (i + 1) * step
            picture.line((left, y - 1.5), (right, y + 1.5), HAIRLINE_MM)
            picture.line((left, y + 1.5), (right, y - 1.5), HAIRLINE_MM)


@dataclass(frozen=True, slots=True)
class Passes:
    """A tail that passes from side to side through the body, at each place once."""

    xs: tuple[float, ...]

    def draw(self, picture: Picture, y: float) -> None:
        """A strong line from side to side, beside the body between the passes."""
        side = -(HALF_MM + 0.9)
        points = [(self.xs[0], y + side)]
        for x in self.xs[:-1]:
            points += [(x, y + side), (x, y - side)]
            side = -side
        points += [(self.xs[-1], y + side), (self.xs[-1], y)]
        way = " L ".join(f"{number(x)} {number(at_y)}" for x, at_y in points)
        picture.path(f"M {way}", STRONG_MM)


@dataclass(frozen=True, slots=True)
class Tucks:
    """Rounds of tucks from one place to another: full ones, then thinned ones.

    Attributes:
        from_x: where they begin.
        to_x: where the last comes out.
        full: rounds with whole strands.
        tapered: rounds after those.
        tails: whether strand ends stand out past the last.
    """

    from_x: float
    to_x: float
    full: int
    tapered: int = 0
    tails: bool = True

    def draw(self, picture: Picture, y: float) -> None:
        """A slanted strand a round, thinner for the tapered ones."""
        rounds = self.full + self.tapered
        step = (self.to_x - self.from_x) / rounds
        slant = 0.42 * step
        for i in range(rounds):
            x = self.from_x + (i + 0.5) * step
            half = HALF_MM if i < self.full else HALF_MM * 0.55
            width = min(1.5, abs(step) * 0.34) if i < self.full else STRONG_MM
            start, end = (x - slant, y + half), (x + slant, y - half)
            picture.line(start, end, max(width, OUTLINE_MM))
        if self.tails:
            turn = 1.0 if step > 0 else -1.0
            for side in (-1.0, 1.0):
                foot = (self.to_x, y + side * HALF_MM)
                tip = (self.to_x + turn * 3.2, y + side * (HALF_MM + 1.6))
                picture.line(foot, tip, STRONG_MM)


@dataclass(frozen=True, slots=True)
class Crown:
    """The end of a back splice: the strands turned down over each other."""

    x: float
    outward: float  # 1 to the right, -1 to the left

    def draw(self, picture: Picture, y: float) -> None:
        """A rounded knob over the end of the rope."""
        over, out = HALF_MM + 0.8, self.x + self.outward * 3.4
        picture.path(
            f"M {number(self.x)} {number(y - over)} C {number(out)} {number(y - over)} "
            f"{number(out)} {number(y + over)} {number(self.x)} {number(y + over)} Z",
            STRONG_MM,
            "#fff",
        )
        picture.line((self.x, y - over), (self.x + self.outward * 2.2, y + over - 1.4), OUTLINE_MM)


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two strands that meet, are knotted and tucked away to either side."""

    x: float

    def draw(self, picture: Picture, y: float) -> None:
        """A knot and a strand to each side."""
        picture.circle((self.x, y), 1.2)
        picture.line((self.x - 3.4, y - HALF_MM - 1.0), (self.x, y), STRONG_MM)
        picture.line((self.x, y), (self.x + 3.4, y + HALF_MM + 1.0), STRONG_MM)


@dataclass(frozen=True, slots=True)
class Throat:
    """A line across the rope where two throats meet."""

    x: float

    def draw(self, picture: Picture, y: float) -> None:
        """As the ring marks that lie together there."""
        picture.line((self.x, y - HALF_MM - 0.7), (self.x, y + HALF_MM + 0.7), STRONG_MM)


@dataclass(frozen=True, slots=True)
class Return:
    """The rest of a loop: from one end of the splice round to the other."""

    left_x: float
    right_x: float

    def draw(self, picture: Picture, y: float) -> None:
        """A bend at each end and the far side, broken in its middle."""
        for way in self._bends(y, 0.0):
            picture.path(way, 2 * HALF_MM + OUTLINE_MM)
        for way in self._bends(y, _SEAM_MM):
            picture.path(way, 2 * HALF_MM - OUTLINE_MM, stroke="#fff")
        middle = (self.left_x + self.right_x) / 2
        break_line(picture, middle - 1.4, y + _LOOP_MM, HALF_MM)
        break_line(picture, middle + 1.4, y + _LOOP_MM, HALF_MM)

    def _bends(self, y: float, over_mm: float) -> Sequence[str]:
        middle, low = (self.left_x + self.right_x) / 2, number(y + _LOOP_MM)
        bends = ((self.left_x, -_CORNER_MM, -1.4), (self.right_x, _CORNER_MM, 1.4))
        return [
            f"M {number(x - over_mm * out)} {number(y)} L {number(x)} {number(y)} "
            f"C {number(x + out)} {number(y)} {number(x + out)} {low} {number(x)} {low} "
            f"L {number(middle + gap)} {low}"
            for x, out, gap in bends
        ]


LOOP_FALL_MM: Final = _LOOP_MM
LOOP_OUT_MM: Final = _CORNER_MM * 0.75 + HALF_MM + OUTLINE_MM
