"""Figures of a plan as they are printed: fraction apart, range in words, source by number."""

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from tuckmark.render.sheet.model import Figure, Source
from tuckmark.render.spans import span, span_on_tape
from tuckmark.render.view import PlanDocument
from tuckmark.render.words import printable, prose, words
from tuckmark.writing import LengthText

Json = Mapping[str, Any]

#: whole part, fraction and unit of a figure's text
_TEXT: Final = re.compile(r"(?:(?P<number>.*?) ?(?P<fraction>\d+/\d+)|(?P<whole>.*)) (?P<unit>\w+)")
_CODE: Final = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?")
_ASSUMED: Final = "C"


class Figures:
    """Writes the figures of one plan.

    Args:
        plan: as published.
    """

    def __init__(self, plan: PlanDocument) -> None:
        display = plan["display"]
        self._write = LengthText(display["units"], display["inch_fraction"])
        self._sources: Json = plan["sources"]
        self._numbers = {key: n for n, key in enumerate(self._sources, 1)}

    def figure(self, figure: Any, source: str | None = None) -> Figure:
        """Any figure of the plan: a length, force, mass, angle, ratio, count or a code.

        Args:
            figure: as it stands in the plan.
            source: where it comes from, if it does not say so itself.
        """
        match figure:
            case {"text": text}:
                number, fraction, unit = split_text(text)
            case {"deg": degrees}:
                number, fraction, unit = f"{degrees:g}\u00b0", "", ""
            case {"value": value}:
                number, fraction, unit = plain(value), "", ""
            case _:
                return Figure(plain(figure), refs=self.refs(source))
        source = figure.get("source", source)
        return Figure(
            number,
            fraction,
            unit,
            assumed=source is not None and self._sources[source]["confidence"] == _ASSUMED,
            expect=self._range_of(figure),
            refs=self.refs(source),
        )

    def of_rope(self, fact: Json) -> Figure:
        """A fact of the rope; told finely where its step would put it outside its own range."""
        found = self.figure(fact)
        match fact:
            case {"mm": mm, "low_mm": low_mm, "high_mm": high_mm}:
                if not low_mm <= self._write.as_read(mm) <= high_mm:
                    number, fraction, unit = split_text(self._write.write_finely(mm))
                    return replace(found, number=number, fraction=fraction, unit=unit)
        return found

    def distance(self, distance: Json) -> Figure:
        """How far a mark is; its range only where that can be seen on a tape."""
        low_mm, high_mm = (distance.get(key, distance["mm"]) for key in ("low_mm", "high_mm"))
        expect = prose(span_on_tape(self._write, low_mm, high_mm))
        return replace(self.figure(distance), expect=expect)

    def _range_of(self, figure: Json) -> str:
        """``17.990 to 18.010 m``; empty where it has no width that can be told."""
        match figure:
            case {"low_mm": low_mm, "high_mm": high_mm}:
                return prose(span(self._write, low_mm, high_mm))
            case {"low": low, "high": high, "value": value}:
                return "" if low == high == value else f"{low:g} to {high:g}"
        return ""

    def refs(self, *sources: str | None) -> tuple[int, ...]:
        """Numbers of sources in the sheet's list."""
        return tuple(self._numbers[source] for source in sources if source is not None)

    def sources(self) -> tuple[Source, ...]:
        """Every source of the plan, numbered."""
        return tuple(
            Source(
                self._numbers[key],
                f"{source['title']}: {source['section']}. {source['confidence']}",
                source["confidence"] == _ASSUMED,
            )
            for key, source in self._sources.items()
        )


def split_text(text: str) -> tuple[str, str, str]:
    """Whole part, fraction and unit of a figure's text: ``("12 ft 3", "1/2", "in")``."""
    found = _TEXT.fullmatch(text)
    if found is None:
        return text, "", ""
    return found["number"] or found["whole"] or "", found["fraction"] or "", found["unit"]


def as_text(figure: Figure) -> str:
    """A figure in one line of plain text."""
    return "\u00a0".join(part for part in (figure.number, figure.fraction, figure.unit) if part)


def plain(value: Any) -> str:
    """A ratio, a count, a code or a text of the plan in words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}"
    text = str(value)
    return words(text) if _CODE.fullmatch(text) else printable(text)
