"""What is measured on the finished work: a box for each, beside what was planned."""

from collections.abc import Iterator
from typing import Any, Final

from tuckmark.render.sheet.cut import along, laid_flat
from tuckmark.render.sheet.figures import Figures
from tuckmark.render.sheet.model import AsBuiltRow
from tuckmark.render.view import PlanDocument
from tuckmark.render.words import words

_ROPE: Final = (
    ("diameter", "diameter of the rope"),
    ("pitch", "pitch, one turn of a strand"),
    ("lay_length", "lay length, one turn of a strand"),
)


def rows(plan: PlanDocument, figures: Figures) -> tuple[AsBuiltRow, ...]:
    """The boxes in the order in which they are filled in."""
    return tuple(AsBuiltRow(label, *_planned(length, figures)) for label, length in _asked(plan))


def pieces(quantity: int) -> str:
    """Which of several pieces a filled-in sheet is of."""
    return f"Piece ____ of {quantity}: fill in a sheet for each." if quantity > 1 else ""


def _asked(plan: PlanDocument) -> Iterator[tuple[str, Any]]:
    rope, lengths = plan["rope"], plan["lengths"]
    for key, label in _ROPE:
        if rope[key] is not None:
            yield label, rope[key]
    yield "rope used", lengths["cut"]
    for name, end in plan.get("ends", {}).items():
        if "eye" in end:
            yield f"inside length of the eye, end {name}", end["eye"]["inside_length"]
    if (inside := laid_flat(plan)) is not None:
        state = words(lengths["state"])
        yield f"inside length of the loop laid flat, {state}", inside
    for state in ("as_spliced", "after_setting"):
        yield f"finished, {words(state)}, {along(lengths['between'])}", lengths[state]


def _planned(length: Any, figures: Figures) -> tuple[str, str]:
    if length is None:
        return "", ""
    return length["text"], figures.figure(length).expect
