"""A strip cut into rows for sheets of office paper, with joins to lay them together by.

Neighbouring rows both show the stretch at their join. No words stand there but which join of which
strip and plan it is, so that every label is whole on one row, and rows that are cut out cannot be
taken for those of another strip; a mark that lies there is on both.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from tuckmark.render.strip.axes import Axis, Line, is_metric
from tuckmark.render.strip.ends import (
    Wording,
    footer,
    header,
    job_words,
    plan_digits,
    reach,
    with_edges,
    wording,
)
from tuckmark.render.strip.items import (
    ASCENT,
    MARGIN_MM,
    TEXT_HEIGHT,
    Item,
    Rule,
    Words,
    within,
)
from tuckmark.render.strip.labels import Frame, Gap, labels
from tuckmark.render.strip.pieces import Strip
from tuckmark.render.svg import Picture
from tuckmark.render.type import fitting
from tuckmark.render.view import CannotShowError, PlanDocument, Showing

Paper = Literal["a4", "letter"]

#: width and height, lying
PAPERS_MM: Final[dict[Paper, tuple[float, float]]] = {
    "a4": (297.0, 210.0),
    "letter": (279.4, 215.9),
}
MOST_SHEETS: Final = 200
OVERLAP_MM: Final = 20.0
_SIDE_MM: Final = 13.0  # what office printers leave blank, and a little
_TOP_MM: Final = 10.0
_HEAD_MM: Final = 15.0
_CAPTION_MM: Final = 4.0
_BETWEEN_MM: Final = 3.0
_SMALL_MM: Final = 2.6
_BAR_MM: Final = 1.2
_LABEL_ROOM_MM: Final = 160.0  # behind the last line
_ROOM_BESIDE_MM: Final = 45.0  # between a line and a join, for its label
_CLEAR_MM: Final = 3.0
_CROSS_MM: Final = 1.2  # from the edge
_JOIN_DIGITS: Final = 5  # as many as fit beside a join


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet: a stretch of a strip.

    Attributes:
        strip: all of it.
        number: of the row among those of its strip, from 1.
        count: of rows of its strip.
        low_mm: where it begins on the rope.
        high_mm: where it ends.
    """

    strip: Strip
    number: int
    count: int
    low_mm: float
    high_mm: float


def rows(axis: Axis, showing: Showing, frame: Frame, paper: Paper) -> list[Row]:
    """A strip cut for one kind of paper.

    Raises:
        labels.TooNarrowError: the words do not fit.
    """
    longest_mm = PAPERS_MM[paper][0] - 2 * _SIDE_MM
    metric = is_metric(showing)
    words = wording(showing.plan, axis, "", metric=metric)
    before = header(words, frame, at_bitter_end=axis.zero is None)
    low, _ = with_edges(*reach(before))
    joins = _joins(axis.lines, low, longest_mm)
    items = [*before, *labels(axis.lines, replace(frame, barriers=joins))]
    behind = reach(items)[1]
    joins, begin = _last_join(joins, low, behind, longest_mm - _length_mm(words, frame))
    items += footer(words, frame, begin)
    for number, join in enumerate(joins, 1):
        items = _with_join(items, join, _join_words(showing.plan, axis, number), frame)
    high = with_edges(*reach(items))[1]
    strip = Strip(words.called, items, low, high)
    starts = [low, *(join[0] for join in joins)]
    ends = [*(join[1] for join in joins), high]
    return [
        Row(strip, number, len(starts), *window)
        for number, window in enumerate(zip(starts, ends, strict=True), 1)
    ]


def sheets(found: Sequence[Row], showing: Showing, width_mm: float, paper: Paper) -> list[Picture]:
    """Rows on as few sheets as hold them.

    Raises:
        CannotShowError: they are more than anyone prints.
    """
    wide_mm, high_mm = PAPERS_MM[paper]
    pitch_mm = _CAPTION_MM + width_mm + _BETWEEN_MM
    each = math.floor((high_mm - 2 * _TOP_MM - _HEAD_MM + _BETWEEN_MM) / pitch_mm)
    count = math.ceil(len(found) / each)
    if count > MOST_SHEETS:
        detail = (
            f"This would take {count} sheets; at most {MOST_SHEETS} are made. "
            "Without page the strip is continuous."
        )
        raise CannotShowError("too_many_sheets", detail, "page")
    made = []
    for number in range(count):
        title = f"Sheet {number + 1} of {count}"
        picture = Picture(wide_mm, high_mm, title, "Rows of a splicing strip at true scale.")
        _head(picture, showing, title)
        for place, row in enumerate(found[number * each : (number + 1) * each]):
            _draw_row(picture, row, _TOP_MM + _HEAD_MM + place * pitch_mm, width_mm)
        made.append(picture)
    return made


# --- joins ----------------------------------------------------------------------------------


def _joins(lines: Sequence[Line], low_mm: float, longest_mm: float) -> list[Gap]:
    """The stretches that neighbouring rows share."""
    joins: list[Gap] = []
    start = low_mm
    while lines[-1].at_mm + _LABEL_ROOM_MM > start + longest_mm:
        begin = _best_join(lines, start, longest_mm)
        joins.append((begin, begin + OVERLAP_MM))
        start = begin
    return joins


def _best_join(lines: Sequence[Line], start: float, longest_mm: float) -> float:
    """As late as may be where no line is near; else where the fewest are."""
    latest = math.floor(start + longest_mm - OVERLAP_MM)
    earliest = max(math.ceil(start + longest_mm / 2), lines[0].at_mm + _CLEAR_MM)

    def merit(begin: float) -> tuple[int, float]:
        low, high = begin - _CLEAR_MM, begin + OVERLAP_MM + _CLEAR_MM
        inside = sum(low <= line.at_mm <= high for line in lines)
        behind = min((begin - line.at_mm for line in lines if line.at_mm <= begin), default=0.0)
        return (-inside, min(behind, _ROOM_BESIDE_MM))

    candidates = [latest - n for n in range(math.floor(latest - earliest) + 1)]
    return max(candidates, key=merit)  # the first of equals, which is the latest


def _last_join(
    joins: Sequence[Gap], low: float, behind: float, room_mm: float
) -> tuple[list[Gap], float]:
    """The joins that are needed, and where the footer begins.

    Args:
        joins: as chosen from the lines alone.
        low: left edge of the strip.
        behind: where the last label ends.
        room_mm: length of a row less that of the footer.
    """
    kept = [join for join in joins if join[0] < behind]
    start = kept[-1][0] if kept else low
    if behind <= start + room_mm:
        return kept, behind
    spare = [join for join in joins if join[0] >= behind]
    begin = spare[0][0] if spare else behind + _CLEAR_MM
    kept.append((begin, begin + OVERLAP_MM))
    return kept, begin + OVERLAP_MM


def _length_mm(words: Wording, frame: Frame) -> float:
    return with_edges(0.0, reach(footer(words, frame, 0.0))[1])[1]


def _join_words(plan: PlanDocument, axis: Axis, number: int) -> tuple[tuple[str, str], ...]:
    """What stands to both sides of a join, in two rows: its name, its part and plan."""
    return ("join", f"{axis.end} {number}"), (axis.part, plan_digits(plan)[:_JOIN_DIGITS])


def _with_join(
    items: Sequence[Item], join: Gap, said: Sequence[tuple[str, str]], frame: Frame
) -> list[Item]:
    """A dashed line across, two crosses on it, and its name, for which leaders make way."""
    middle, width = (join[0] + join[1]) / 2, frame.width_mm
    row_mm = TEXT_HEIGHT * _SMALL_MM
    top = width / 2 - row_mm
    words = []
    for row, (before, behind) in enumerate(said):
        y = top + row * row_mm + ASCENT * _SMALL_MM
        words += [
            Words((middle - MARGIN_MM, y), before, _SMALL_MM, anchor="end"),
            Words((middle + MARGIN_MM, y), behind, _SMALL_MM, bold=row == 0),
        ]
    left, right = reach(words)
    lane = (top - MARGIN_MM, top + len(said) * row_mm + MARGIN_MM)
    kept: list[Item] = []
    for item in items:
        if isinstance(item, Rule) and lane[0] < item.start[1] == item.end[1] < lane[1]:
            sides = (-math.inf, left - MARGIN_MM), (right + MARGIN_MM, math.inf)
            kept += [part for side in sides for part in within([item], *side)]
        else:
            kept.append(item)
    crosses = [Rule((middle - 1.5, y), (middle + 1.5, y)) for y in (_CROSS_MM, width - _CROSS_MM)]
    return [*kept, Rule((middle, 0.0), (middle, width), dash_mm=1.2), *crosses, *words]


# --- sheets ---------------------------------------------------------------------------------


def _head(picture: Picture, showing: Showing, title: str) -> None:
    bar = "100 mm" if is_metric(showing) else "100 mm (3 15/16 in)"
    job = showing.plan["job"]
    said = job_words(job)
    room_mm = picture.width_mm - 2 * _SIDE_MM
    y = _TOP_MM + ASCENT * 3.2
    picture.text((_SIDE_MM, y), title, 3.2, bold=True)
    called = fitting(said, 3.2, room_mm - 40)
    picture.text((picture.width_mm - _SIDE_MM, y), called, 3.2, anchor="end")
    y += 4.2
    how = (
        "Print at 100 %, not fitted to the page. Cut the rows out; cut each join open along its "
        "dashed line on the later row, lay it on the same line of the row before, and glue."
    )
    picture.text((_SIDE_MM, y), how, _SMALL_MM)
    y += 3.4
    x = _SIDE_MM + 100
    picture.polygon([(_SIDE_MM, y - _BAR_MM), (x, y - _BAR_MM), (x, y), (_SIDE_MM, y)])
    picture.text(
        (x + 3, y), f"This bar is {bar}. Measure it: if it is not, do not use the sheet.", _SMALL_MM
    )


def _draw_row(picture: Picture, row: Row, top_mm: float, width_mm: float) -> None:
    numbered = f": row {row.number} of {row.count}" if row.count > 1 else ""
    y = top_mm + _CAPTION_MM - 1.0
    picture.text((_SIDE_MM, y), f"{row.strip.called}{numbered}", _SMALL_MM)
    left = _SIDE_MM - row.low_mm
    top = top_mm + _CAPTION_MM
    right = left + row.high_mm
    picture.polygon(
        [(_SIDE_MM, top), (right, top), (right, top + width_mm), (_SIDE_MM, top + width_mm)],
        width_mm=0.25,
        fill="none",
    )
    for item in within(row.strip.items, row.low_mm, row.high_mm):
        item.draw(picture, left, top)
