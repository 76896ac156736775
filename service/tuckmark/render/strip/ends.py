"""Both ends of a strip: whose it is, the bar that proves its scale, which way the bitter end is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.render.strip.axes import Axis
from tuckmark.render.strip.items import (
    ASCENT,
    MARGIN_MM,
    TEXT_HEIGHT,
    Item,
    Rule,
    Shape,
    Words,
    extent,
)
from tuckmark.render.strip.labels import Frame, top_mm
from tuckmark.render.type import fitting, text_width_mm
from tuckmark.render.view import PlanDocument, not_as_printed
from tuckmark.render.words import printable

CHECK_BAR_MM: Final = 100.0
_BAR_MM: Final = 1.2
_BETWEEN_ROWS_MM: Final = 0.35
_EDGE_MM: Final = 3.0
_BEFORE_ARROW_MM: Final = 8.0
_ARROW_MM: Final = 12.0
_HEAD_MM: Final = 3.0
_LONGEST_BLOCK_MM: Final = 125.0
_PLAN_DIGITS: Final = 8
_NOT_AS_PRINTED: Final = "NOT THE PLAN THAT WAS PRINTED, compare the two. "


@dataclass(frozen=True, slots=True)
class Wording:
    """What the ends of a strip say.

    Attributes:
        called: whose strip it is.
        job: for which job; shortened where there is no room.
        check: what to do with the bar.
        laying: how the strip is laid along the rope.
    """

    called: str
    job: str
    check: str
    laying: str


def wording(plan: PlanDocument, axis: Axis, numbered: str, *, metric: bool) -> Wording:
    """The words of one strip.

    Args:
        plan: as published.
        axis: what the strip carries.
        numbered: such as ``1 of 2``; may be empty.
        metric: whether the plan writes mm.
    """
    changed = _NOT_AS_PRINTED if not_as_printed(plan) else ""
    bar = "100 mm" if metric else "100 mm (3 15/16 in)"
    return Wording(
        called=f"{changed}{whose(axis)}{numbered}",
        job="".join(f" \u00b7 {part}" for part in (job_words(plan["job"]),) if part),
        check=f"This bar is {bar}. Measure it first: if it is not, do not use the strip.",
        laying=f"{_laying(plan, axis)} Plan {plan_digits(plan)}.",
    )


def whose(axis: Axis) -> str:
    """Such as ``End a, core, from core out``."""
    measured = f", from {axis.zero}" if axis.zero else ""
    return f"End {axis.end}, {axis.part}{measured}"


def job_words(job: dict[str, Any]) -> str:
    """Order, item and what it is for, as far as they are given."""
    number = " / ".join(job[key] for key in ("order", "item") if job[key])
    return printable(" \u00b7 ".join(part for part in (number, job["description"]) if part))


def plan_digits(plan: PlanDocument) -> str:
    """What tells strips of two plans apart: as the digest at the foot of the sheet begins."""
    return str(plan["digest"]).removeprefix("sha256:")[:_PLAN_DIGITS]


def _laying(plan: PlanDocument, axis: Axis) -> str:
    """Hand tension is reckoned for the whole rope: other parts are only drawn straight."""
    if axis.part not in ("rope", "cover"):
        return f"Lay it along the {axis.part}, drawn straight by hand."
    force = plan["rope"]["hand_tension"]["text"]
    counting = " Count the picks: the count decides." if axis.is_counted else ""
    return f"Lay it along the rope under hand tension, about {force}.{counting}"


def header(words: Wording, frame: Frame, *, at_bitter_end: bool) -> list[Item]:
    """What stands before the first line, which lies at x = 0.

    Args:
        words: what it says.
        frame: width and sizes.
        at_bitter_end: whether the first line is the bitter end itself.
    """
    if at_bitter_end:
        arrow = _arrow("bitter end", frame, right_mm=-0.6, leftward=False)
    else:
        arrow = _arrow("to the bitter end", frame, right_mm=-2.0, leftward=True)
    start, _ = reach(arrow)
    block, width_mm = _block(words, frame)
    return [*arrow, *_moved(block, start - _EDGE_MM - width_mm)]


def footer(words: Wording, frame: Frame, left_mm: float) -> list[Item]:
    """What stands behind the last line and its words, from a place on."""
    arrow = _arrow("to the bitter end", frame, right_mm=0.0, leftward=True)
    start, _ = reach(arrow)
    arrow = _moved(arrow, left_mm + _BEFORE_ARROW_MM - start)
    block, _ = _block(words, frame)
    return [*arrow, *_moved(block, left_mm + _BEFORE_ARROW_MM + _EDGE_MM - start)]


def reach(items: Sequence[Item]) -> tuple[float, float]:
    """From where to where these reach along the strip."""
    extents = [extent(item) for item in items]
    return (min(low for low, _ in extents), max(high for _, high in extents))


def with_edges(low_mm: float, high_mm: float) -> tuple[float, float]:
    """The ends of the paper, for a strip that is printed from there to there."""
    return (low_mm - _EDGE_MM, high_mm + _EDGE_MM)


def _block(words: Wording, frame: Frame) -> tuple[list[Item], float]:
    """Three rows and the bar; with the length that they take."""
    size = frame.sizes.small_mm
    row_mm = TEXT_HEIGHT * size + _BETWEEN_ROWS_MM
    height_mm = 3 * row_mm + _BAR_MM
    y = top_mm(frame.width_mm, height_mm)
    said = max(text_width_mm(words.check, size), text_width_mm(words.laying, size))
    width_mm = max(CHECK_BAR_MM, said)
    first = fitting(words.called + words.job, size, max(width_mm, _LONGEST_BLOCK_MM), bold=True)
    width_mm = max(width_mm, text_width_mm(first, size, bold=True))
    bar = y + row_mm + _BETWEEN_ROWS_MM / 2
    below = bar + _BAR_MM + _BETWEEN_ROWS_MM
    block: list[Item] = [
        Words((0.0, y + ASCENT * size), first, size, bold=True),
        Shape(
            (
                (0.0, bar),
                (CHECK_BAR_MM, bar),
                (CHECK_BAR_MM, bar + _BAR_MM),
                (0.0, bar + _BAR_MM),
            )
        ),
        Words((0.0, below + ASCENT * size), words.check, size),
        Words((0.0, below + row_mm + ASCENT * size), words.laying, size),
    ]
    return block, width_mm


def _arrow(said: str, frame: Frame, right_mm: float, *, leftward: bool) -> list[Item]:
    """An arrow under its words; its right end and theirs lie there."""
    size = frame.sizes.name_mm
    length_mm = max(_ARROW_MM, text_width_mm(said, size))
    y = top_mm(frame.width_mm, TEXT_HEIGHT * size + MARGIN_MM + _HEAD_MM)
    middle = y + TEXT_HEIGHT * size + MARGIN_MM + _HEAD_MM / 2
    left_mm = right_mm - length_mm
    tip, back = (left_mm, left_mm + _HEAD_MM) if leftward else (right_mm, right_mm - _HEAD_MM)
    tail = right_mm if leftward else left_mm
    half_mm = _HEAD_MM / 2
    return [
        Words((right_mm - MARGIN_MM, y + ASCENT * size), said, size, anchor="end"),
        Rule((tail, middle), (back, middle), 0.6),
        Shape(((tip, middle), (back, middle - half_mm), (back, middle + half_mm))),
    ]


def _moved(items: Sequence[Item], by_mm: float) -> list[Item]:
    return [item.moved(by_mm) for item in items]
