"""What lies along each strip: the plan's marks, by end, part and the point they are measured from.

A strip has one zero. Marks of a core that are measured from where it comes out of its cover get a
strip of their own, for the core's bitter end is no longer at hand by then.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final, Literal

from tuckmark.render.counts import counts_of
from tuckmark.render.marks_table import chosen_marks
from tuckmark.render.view import Showing

Glyph = Literal["dot", "pair"]
Mark = Mapping[str, Any]

BITTER_END: Final = "bitter_end"
_TENTH: Final = 1
_NO_BREAK: Final = "\u00a0"


@dataclass(frozen=True, slots=True)
class Line:
    """One line across a strip, with all that is to be made at its place.

    Attributes:
        at_mm: from the zero of the strip.
        distance: the same as the plan writes it.
        names: of the marks at this place.
        ring: whether one of them is a line round the whole rope.
        glyph: what else is made there.
        restart: whether it is no mark, but where one piece ends and the next begins.
        counted: whether one of its marks is found by counting picks.
    """

    at_mm: float
    distance: str
    names: str
    ring: bool = True
    glyph: Glyph | None = None
    restart: bool = False
    counted: bool = False


@dataclass(frozen=True, slots=True)
class Axis:
    """All lines that one strip carries.

    Attributes:
        end: ``a`` or ``b``.
        part: of the rope.
        zero: name of what lies at 0; None for the bitter end.
        lines: in order; the first lies at 0.
    """

    end: str
    part: str
    zero: str | None
    lines: tuple[Line, ...]

    @property
    def last_mm(self) -> float:
        """Where the last mark lies."""
        return self.lines[-1].at_mm

    @property
    def is_counted(self) -> bool:
        """Whether some of its marks are found by counting picks."""
        return any(line.counted for line in self.lines)


@dataclass(frozen=True, slots=True)
class _Placed:
    mark: Mark
    root: str
    at_mm: float
    distance: str
    count: str | None

    @property
    def names(self) -> str:
        """With the count where a mark is found by counting: there the distance is but a check."""
        name = str(self.mark["name"])
        return name if self.count is None else f"{name}, {self.count.replace(' ', _NO_BREAK)}"


def axes(showing: Showing) -> tuple[Axis, ...]:
    """The strips of a plan, in its own order.

    Raises:
        CannotShowError: the plan has no marks of the end or part asked for.
    """
    by_id = {mark["id"]: mark for mark in showing.plan["marks"]}
    counts = counts_of(showing.plan["marks"])
    placed = [_place(mark, by_id, counts) for mark in chosen_marks(showing)]
    keys = dict.fromkeys((one.mark["end"], one.mark["part"], one.root) for one in placed)
    return tuple(
        _axis(key, [one for one in placed if _key(one) == key], by_id, showing) for key in keys
    )


def is_metric(showing: Showing) -> bool:
    """Whether the plan writes its lengths in mm and m."""
    return bool(showing.plan["display"]["units"] == "metric")


def _key(one: _Placed) -> tuple[str, str, str]:
    return (one.mark["end"], one.mark["part"], one.root)


def _place(mark: Mark, by_id: Mapping[str, Mark], counts: Mapping[str, str]) -> _Placed:
    """Where a mark lies on its strip: its distance, and those of the marks it is measured from."""
    distance, count = mark["distance"], counts.get(mark["id"])
    base = by_id.get(mark["from"])
    if base is None or base["part"] != mark["part"]:
        return _Placed(mark, mark["from"], distance["mm"], distance["text"], count)
    below = _place(base, by_id, counts)
    at_mm = round(below.at_mm + distance["mm"], _TENTH)
    said = distance["text"] if not below.at_mm else f"{distance['text']} from {base['name']}"
    return _Placed(mark, below.root, at_mm, said, count)


def _axis(
    key: tuple[str, str, str],
    placed: Sequence[_Placed],
    by_id: Mapping[str, Mark],
    showing: Showing,
) -> Axis:
    end, part, root = key
    ordered = sorted(placed, key=lambda one: one.at_mm)
    lines = [_line(at_mm, list(at)) for at_mm, at in groupby(ordered, lambda one: one.at_mm)]
    zero = None if root == BITTER_END else str(by_id[root]["name"])
    if lines[0].at_mm > 0:
        lines.insert(0, Line(0.0, "0 mm" if is_metric(showing) else "0 in", zero or ""))
    elif zero is not None:
        zero = lines[0].names
    return Axis(end, part, zero, tuple(lines))


def _line(at_mm: float, placed: Sequence[_Placed]) -> Line:
    shapes = [one.mark["shape"] for one in placed]
    glyphs: list[Glyph] = [shape for shape in ("pair", "dot") if shape in shapes]
    return Line(
        at_mm,
        _joined(one.distance for one in placed),
        _joined(one.names for one in placed),
        ring="ring" in shapes,
        glyph=glyphs[0] if glyphs else None,
        counted=any(one.count is not None for one in placed),
    )


def _joined(words: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(words))
