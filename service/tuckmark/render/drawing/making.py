"""What makers of worked ends share: where an end lies, its eye, its captions."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.render.drawing.axis import Along
from tuckmark.render.drawing.flags import Flag, Run
from tuckmark.render.drawing.pieces import Eye, Piece, Stitches, Tail
from tuckmark.render.drawing.reading import End

_STRANDS: Final = 12
_LEAST_EYE_MM: Final = 14.0
_FITTINGS: Final[Mapping[str, str]] = {"pin": "on its pin", "thimble": "on its thimble"}


@dataclass(frozen=True, slots=True)
class Made:
    """A worked end or join.

    Attributes:
        pieces: in the order they are drawn.
        captions: what the pieces along the body are, each at its place.
        eye_caption: what the eye is, where there is one.
    """

    pieces: tuple[Piece, ...]
    captions: tuple[Flag, ...]
    eye_caption: Flag | None = None


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one end is made.

    Attributes:
        end: the end.
        along: its distances across the picture.
        far_x: where its body leaves the picture.
    """

    end: End
    along: Along
    far_x: float

    def x(self, *marks: str) -> float:
        """Where the first of these marks that is there lies across the picture."""
        return self.along.x(self.end.place(*marks))

    @property
    def bodyward(self) -> float:
        """Away from the bitter end: 1 to the right, -1 to the left."""
        return 1.0 if self.along.rightward else -1.0

    def beyond(self, mark: str, figure: str) -> float:
        """Where a length among the figures, laid off from a mark into the body, comes to."""
        return self.along.x(self.end.place(mark) + (self.end.figure_mm(figure) or 0.0))

    def text(self, figure: str) -> str:
        """A length among the figures as the plan writes it."""
        return str(self.end.figures[figure]["text"])


def caption(x: float, *lines: str) -> Flag:
    """What stands at ``x``, in a few short lines."""
    return Flag(x, tuple((Run(line),) for line in lines))


def eye(spot: Spot, *, filled: bool = False) -> tuple[Eye, Flag]:
    """The eye before the body throat, as long as half the rope in it, and what it is."""
    figures: Mapping[str, Any] = spot.end.figures["eye"]
    throat_mm = spot.end.place("body_throat")
    throat_x = spot.along.x(throat_mm)
    crown_x = spot.along.x(throat_mm - figures["perimeter"]["mm"] / 2)
    if abs(crown_x - throat_x) < _LEAST_EYE_MM:
        crown_x = throat_x - spot.bodyward * _LEAST_EYE_MM
    fitting = figures["form"] if figures["form"] in _FITTINGS else ""
    lines = ["eye"]
    if figures["inside_length"]:
        lines.append(f"{figures['inside_length']['text']} inside")
    if fitting:
        lines.append(_FITTINGS[fitting])
    at_x = crown_x + spot.bodyward * 4.0
    return Eye(throat_x, crown_x, fitting, filled), caption(at_x, *lines)


def stitches(spot: Spot) -> tuple[tuple[Piece, ...], tuple[Flag, ...]]:
    """Cross-stitching, where there is any, and its caption."""
    start, end = spot.end.at("stitch_start"), spot.end.at("stitch_end")
    if start is None or end is None:
        return (), ()
    from_x, to_x = spot.along.x(start), spot.along.x(end)
    return (Stitches(from_x, to_x),), (caption((from_x + to_x) / 2, "cross-stitch"),)


def tapered_tail(entry_x: float, tip_x: float, end: End) -> Tail:
    """A buried tail with the taper of ``end``, between where it goes in and where its tip rests."""
    buried_mm = end.figure_mm("buried") or 1.0
    drawn = (tip_x - entry_x) / buried_mm
    taper = end.figures.get("taper")
    steps = tuple(
        (tip_x - step["at"]["mm"] * drawn, step["strands_left"] / _STRANDS)
        for step in reversed(taper["steps"] if taper else ())
    )
    return Tail(entry_x, steps, tip_x)


def taper_words(end: End) -> tuple[str, ...]:
    """How many strands go on toward the tip, step by step."""
    taper = end.figures.get("taper")
    if not taper:
        return ()
    left = ", ".join(str(step["strands_left"]) for step in reversed(taper["steps"]))
    return ("strands left toward", f"the tip: {left}")
