"""The one type family of everything that is seen, and how wide its words are."""

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Final

FAMILY: Final = "Noto Sans"
_UNITS_PER_EM: Final = 1000
_UNKNOWN: Final = 1000  # letters of scripts the family lacks are set from another


def text_width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of a line of text.

    Args:
        text: any text; letters the family lacks count as one em each.
        size_mm: font size.
        bold: the weight.
    """
    advances = _advances()["bold" if bold else "regular"]
    return sum(advances.get(letter, _UNKNOWN) for letter in text) * size_mm / _UNITS_PER_EM


def fitting(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits, with an ellipsis."""
    if text_width_mm(text, size_mm, bold=bold) <= width_mm:
        return text
    shorter = text
    while shorter and text_width_mm(shorter + "\u2026", size_mm, bold=bold) > width_mm:
        shorter = shorter[:-1]
    return shorter.rstrip() + "\u2026"


def wrapped(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> list[str]:
    """The text on as many lines as it needs; a word longer than a line is broken.

    Args:
        text: any text.
        size_mm: font size.
        width_mm: of a line.
        bold: the weight.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if text_width_mm(longer, size_mm, bold=bold) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while text_width_mm(line, size_mm, bold=bold) > width_mm:
            fits = _letters_that_fit(line, size_mm, width_mm, bold=bold)
            lines.append(line[:fits])
            line = line[fits:]
    return [*lines, line] if line else lines


def _letters_that_fit(word: str, size_mm: float, width_mm: float, *, bold: bool) -> int:
    """How many letters of a word fit; one at the least."""
    fits = len(word)
    while fits > 1 and text_width_mm(word[:fits], size_mm, bold=bold) > width_mm:
        fits -= 1
    return fits


@cache
def _advances() -> Mapping[str, Mapping[str, int]]:
    text = resources.files("tuckmark.render").joinpath("fonts", "advances.json").read_text("utf-8")
    advances: Mapping[str, Mapping[str, int]] = json.loads(text)
    return advances
