"""What a drawing that stands alone must say beside the rope: the job, warnings, cautions."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from tuckmark.render.drawing.block import Beside, Block, Boxed, Gap, Paragraph, heading
from tuckmark.render.drawing.flags import LARGE_MM, MIDDLE_MM, SMALL_MM, Run, Words
from tuckmark.render.drawing.words import (
    CONSTRUCTIONS,
    DO_NOT_SPLICE,
    LEGEND,
    SEVERITIES,
    one_line,
)
from tuckmark.render.type import wrapped
from tuckmark.render.view import of_two_ropes
from tuckmark.render.words import in_words, words

Json = Mapping[str, Any]

_STRONG_FRAME_MM: Final = 0.7
_FRAME_MM: Final = 0.35
_PAD_MM: Final = 2.0
_COLUMN_GAP_MM: Final = 8.0
_DIGEST: Final = len("sha256:") + 16


def job(plan: Json, left_mm: float, right_mm: float) -> tuple[Block, ...]:
    """What it is for, and of which rope."""
    width = right_mm - left_mm
    what = plan["job"]
    title = one_line(what["description"] or "Splicing drawing")
    lines = [(Run(text, LARGE_MM, bold=True),) for text in _fit(title, LARGE_MM, width, bold=True)]
    for text in (_order(what), _rope(plan), _lengths(plan)):
        lines += [(Run(line, SMALL_MM),) for line in _fit(text, SMALL_MM, width)]
    return (Paragraph(left_mm, tuple(lines)), Gap(1.6))


def warnings(plan: Json, left_mm: float, right_mm: float) -> tuple[Block, ...]:
    """STOP, CHECK and NOTE in boxes of their own, the gravest first."""
    blocks: list[Block] = []
    for severity, word in SEVERITIES.items():
        found = [item for item in plan["warnings"] if item["severity"] == severity]
        if not found:
            continue
        inside = left_mm + _PAD_MM
        lead = word if severity != "stop" else f"{word}: {DO_NOT_SPLICE}"
        lines: list[Words] = [(Run(lead, MIDDLE_MM, bold=True),)]
        for item in found:
            text = one_line(in_words(item["message"]))
            lines += [(Run(line),) for line in _fit(text, SMALL_MM, right_mm - _PAD_MM - inside)]
        frame = _STRONG_FRAME_MM if severity == "stop" else _FRAME_MM
        blocks.append(Boxed(left_mm, right_mm, (Paragraph(inside, tuple(lines)),), frame))
        blocks.append(Gap(1.6))
    return tuple(blocks)


def cautions(plan: Json, left_mm: float, right_mm: float) -> tuple[Block, ...]:
    """Every caution of the plan, in two columns."""
    width = (right_mm - left_mm - _COLUMN_GAP_MM) / 2
    texts = [_fit(one_line(caution["text"]), SMALL_MM, width) for caution in plan["cautions"]]
    half = sum(map(len, texts)) / 2
    columns: tuple[list[Words], list[Words]] = ([], [])
    for text in texts:
        columns[len(columns[0]) >= half].extend((Run(line),) for line in text)
    starts = (left_mm, left_mm + width + _COLUMN_GAP_MM)
    paragraphs = tuple(
        Paragraph(start, tuple(lines)) for start, lines in zip(starts, columns, strict=True)
    )
    return (heading(left_mm, Run("Cautions", MIDDLE_MM, bold=True)), Beside(paragraphs))


def legend(left_mm: float, right_mm: float, plan: Json | None = None) -> tuple[Block, ...]:
    """How to read the drawing, and which plan it is of where nothing else says so."""
    lines = list(_fit(LEGEND, SMALL_MM, right_mm - left_mm))
    if plan is not None:
        lines.append(f"Plan {plan['digest'][:_DIGEST]}, engine {plan['made_with']['engine']}")
    return (Paragraph(left_mm, tuple((Run(line),) for line in lines)),)


def _order(what: Json) -> str:
    pieces = "1 piece" if what["quantity"] == 1 else f"{what['quantity']} pieces"
    found = [f"order {what['order']}" if what["order"] else "",
             f"item {what['item']}" if what["item"] else "", pieces]  # fmt: skip
    found += [f"{name} {value}" for name, value in what["references"].items()]
    return one_line(", ".join(text for text in found if text))


def _rope(plan: Json) -> str:
    rope = plan["rope"]
    name = CONSTRUCTIONS[rope["construction"]]
    return f"{name}, {words(rope['fibre'])}, {rope['diameter']['text']}"


def _lengths(plan: Json) -> str:
    lengths = plan["lengths"]
    if not lengths["cut"] or not lengths["finished"]:
        return ""
    how = f"{words(lengths['between'])}, {words(lengths['state'])}"
    rope = f"{'both ropes together' if of_two_ropes(plan) else 'cut'} {lengths['cut']['text']}"
    return f"{rope}, finished {lengths['finished']['text']} ({how})"


def _fit(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> Sequence[str]:
    return wrapped(text, size_mm, width_mm, bold=bold)
