"""A plan as one picture: blocks one under the other, in the order of the work."""

from collections.abc import Mapping
from typing import Any, Final

from tuckmark.render.alike import ends_alike
from tuckmark.render.drawing import notices
from tuckmark.render.drawing.block import Block, Gap, stack
from tuckmark.render.drawing.panels import LETTERS, end_panel, join_panel
from tuckmark.render.drawing.reading import Sketch, sketch_of
from tuckmark.render.drawing.whole import whole
from tuckmark.render.drawing.words import (
    DO_NOT_SPLICE,
    SEVERITIES,
    mark_names,
    mark_title,
    one_line,
)
from tuckmark.render.svg import Picture
from tuckmark.render.view import of_two_ropes
from tuckmark.render.words import words

Json = Mapping[str, Any]

WIDTH_MM: Final = 170.0
_MARGIN_MM: Final = 5.0
_BARE_MARGIN_MM: Final = 1.0
_BETWEEN_MM: Final = 4.0
_BEFORE_LEGEND_MM: Final = 1.6
_OVERPRINT_MM: Final = 8.6
_OVERPRINT_DEG: Final = -16.0
_OVERPRINT_EVERY_MM: Final = 90.0


def draw(plan: Json, *, alone: bool = True, width_mm: float = WIDTH_MM) -> Picture:
    """The drawing of a plan as published.

    Args:
        plan: as published.
        alone: with the job, all warnings and all cautions; else only the ropes, for a sheet
            that says the rest itself.
        width_mm: of the whole picture; 170 mm goes on A4 and Letter.

    Raises:
        ValueError: the width leaves no room for the labels.
    """
    margin = _MARGIN_MM if alone else _BARE_MARGIN_MM
    left, right = margin, width_mm - margin
    sketch = sketch_of(plan)
    ropes = _ropes(sketch, left, right)
    before: tuple[Block, ...] = (Gap(margin),)
    after: tuple[Block, ...] = (Gap(_BETWEEN_MM),)
    if alone:
        before += (*notices.job(plan, left, right), *notices.warnings(plan, left, right))
        after += (*notices.cautions(plan, left, right), Gap(_BEFORE_LEGEND_MM))
    after += (*notices.legend(left, right, plan), Gap(margin))
    top, middle = _height_mm(before), _height_mm(ropes)
    height = top + middle + _height_mm(after)
    picture = Picture(width_mm, height, _title(plan, sketch), _description(plan))
    stack(picture, (*before, *ropes, *after), 0.0)
    if not plan["usable"]:
        _overprint(picture, top, middle)
    return picture


def draw_parts(plan: Json, width_mm: float) -> tuple[Picture, ...]:
    """The ropes alone, in pictures that may stand on different pages.

    The whole rope, then each end or the join, ends that are alike once; what explains them stands
    under the last. The page itself overprints a plan that must not be used.

    Args:
        plan: as published.
        width_mm: of every picture.
    """
    left, right = _BARE_MARGIN_MM, width_mm - _BARE_MARGIN_MM
    sketch = sketch_of(plan)
    for_both = ends_alike(plan)
    parts = [
        (Gap(_BARE_MARGIN_MM), *blocks) for blocks in _parts(sketch, left, right, for_both=for_both)
    ]
    legend = (Gap(_BETWEEN_MM), *notices.legend(left, right))
    parts[-1:] = [(*parts[-1], *legend)] if parts else [legend]
    pictures = []
    for n, blocks in enumerate(parts):
        title = _title(plan, sketch) + (f", part {n + 1}" if n else "")
        said = _description(plan) if n == 0 else "Described with the first part."
        picture = Picture(width_mm, _height_mm(blocks), title, said, f"part-{n + 1}-")
        stack(picture, blocks, 0.0)
        pictures.append(picture)
    return tuple(pictures)


def _ropes(sketch: Sketch, left: float, right: float) -> tuple[Block, ...]:
    blocks = [block for part in _parts(sketch, left, right) for block in (*part, Gap(_BETWEEN_MM))]
    return tuple(blocks[:-1])


def _parts(
    sketch: Sketch, left: float, right: float, *, for_both: bool = False
) -> list[tuple[Block, ...]]:
    """The whole rope, then its ends; only the first of them where it stands for both."""
    parts: list[tuple[Block, ...]] = []
    if sketch.one_rope:
        parts.append((whole(sketch, left, right),))
    if sketch.joined:
        return [*parts, join_panel(sketch, left, right)]
    letters = LETTERS
    for end in list(sketch.ends.values())[: 1 if for_both else None]:
        if end.lines:
            panel, taken = end_panel(sketch, end, left, right, letters, for_both=for_both)
            letters = letters[taken:]
            parts.append(tuple(panel))
    return parts


def _overprint(picture: Picture, top_mm: float, height_mm: float) -> None:
    """The one thing that must not be missed, across all ropes."""
    count = max(1, round(height_mm / _OVERPRINT_EVERY_MM))
    for i in range(count):
        centre = (picture.width_mm / 2, top_mm + (i + 0.5) * height_mm / count)
        picture.overprint(centre, DO_NOT_SPLICE, _OVERPRINT_MM, _OVERPRINT_DEG)


def _height_mm(blocks: tuple[Block, ...]) -> float:
    return sum(block.height_mm for block in blocks)


def _title(plan: Json, sketch: Sketch) -> str:
    stop = "" if plan["usable"] else f"STOP, {DO_NOT_SPLICE}. "
    if sketch.joined:
        splices = words(sketch.ends["a"].splice)
    else:
        splices = "; ".join(f"end {end.name}: {words(end.splice)}" for end in sketch.ends.values())
    what = plan["job"]["description"]
    return one_line(f"{stop}Splicing drawing{f' of {what}' if what else ''}: {splices}")


def _description(plan: Json) -> str:
    """Everything that the drawing says, in words."""
    names = mark_names(plan["marks"])
    said = [f"{SEVERITIES[item['severity']]}: {item['message']}" for item in plan["warnings"]]
    cut = plan["lengths"]["cut"]
    called = "Both ropes together" if of_two_ropes(plan) else "Cut length"
    said += [f"{called} {cut['text']}."] if cut else []
    said += [
        f"End {mark['end']}, {mark['part']}: {mark_title(mark, mark['end'], names)}."
        for mark in plan["marks"]
    ]
    return one_line(" ".join(said))
