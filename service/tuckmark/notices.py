"""Warnings and cautions: collected while planning, worded by one data file.

``data/notices.json`` gives each code its severity, its sentence and what to do;
the code that finds a fault gives only the figures. So the wording, the severity
and the page that explains a code can never disagree.
"""

import json
from collections import Counter
from collections.abc import Container, Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from tuckmark import plan, writing

_GRAVITY: Final[tuple[plan.Severity, ...]] = ("stop", "warn", "info")


class Notice(Struct, frozen=True):
    """What is known of a code: one entry of ``data/notices.json``."""

    code: str
    kind: Literal["warning", "caution"]
    severity: plan.Severity
    title: str
    message: str
    explanation: str
    fix: str
    example: Mapping[str, Any] | None = None


@cache
def register() -> Mapping[str, Notice]:
    """Every warning and caution by its code."""
    text = (resources.files("tuckmark") / "data" / "notices.json").read_text(encoding="utf-8")
    entries: dict[str, dict[str, Any]] = json.loads(text)
    return {code: Notice(code=code, **entry) for code, entry in entries.items()}


def cautions() -> tuple[plan.Caution, ...]:
    """The dangers of the work, said on every plan."""
    return tuple(
        plan.Caution(notice.code, notice.message)
        for notice in register().values()
        if notice.kind == "caution"
    )


def changed_since_print(printed: str, engine: str, tables: str) -> plan.Warning:
    """What leads a plan that an older printed address asked for.

    Args:
        printed: the digest's beginning that stands on the paper.
        engine: version of the computation now.
        tables: version of the tables now.
    """
    notice = register()["changed_since_print"]
    message = notice.message.format(printed=printed, engine=engine, tables=tables)
    return plan.Warning(notice.code, notice.severity, message, "", None, None, None)


class Notices:
    """Collects what one plan has to say, in the order it is found.

    Args:
        write: writes the lengths inside the sentences.
    """

    def __init__(self, write: writing.LengthText) -> None:
        self._write = write
        self._warnings: list[plan.Warning] = []
        self._assumed: dict[str, str] = {}
        self._of_fact: dict[str, str] = {}

    def add(
        self,
        code: str,
        pointer: str,
        *,
        value: plan.Measure | None = None,
        limit: plan.Measure | None = None,
        source: str | None = None,
        more_sources: tuple[str, ...] = (),
        **words: str,
    ) -> None:
        """Say one warning.

        Args:
            code: its code in ``data/notices.json``.
            pointer: JSON Pointer of what in the spec brought it about.
            value: the figure that brought it about.
            limit: the figure it is judged against.
            source: key of the source of the limit.
            more_sources: of further figures that it speaks of.
            words: further words its sentence needs.
        """
        notice = register()[code]
        told, against = self._texts(value, limit)
        message = notice.message.format(value=told, limit=against, **words)
        warning = plan.Warning(
            code, notice.severity, message, pointer, value, limit, source, more_sources
        )
        if warning not in self._warnings:  # two ends alike are warned of once
            self._warnings.append(warning)

    def assume(self, what: str, source: str, *, fact: str | None = None) -> None:
        """Note an assumption; all of them are said together in one line.

        Args:
            fact: of the rope, that it stands for; see ``keep_assumed``.
        """
        self._assumed[what] = source
        if fact is not None:
            self._of_fact[what] = fact

    def keep_assumed(self, read: Container[str]) -> None:
        """Drop assumptions for facts of the rope that nothing in the plan depends on."""
        for what, fact in self._of_fact.items():
            if fact not in read:
                self._assumed.pop(what, None)

    def all(self) -> tuple[plan.Warning, ...]:
        """Every warning, the gravest first, the assumptions grouped in one last line."""
        if self._assumed:
            first, *more = dict.fromkeys(self._assumed.values())
            self.add(
                "assumptions",
                "/rope",
                source=first,
                more_sources=tuple(more),
                figures="; ".join(self._assumed),
            )
            self._assumed = {}
        told = _told_apart(self._warnings)
        return tuple(sorted(told, key=lambda warning: _GRAVITY.index(warning.severity)))

    def _texts(self, value: plan.Measure | None, limit: plan.Measure | None) -> tuple[str, str]:
        """Both figures, finely where they would read alike: "480 mm, shorter than 480 mm"."""
        told, against = self.text(value), self.text(limit)
        if told == against and isinstance(value, plan.Length) and isinstance(limit, plan.Length):
            return self._write.write_finely(value.mm), self._write.write_finely(limit.mm)
        if told == against and isinstance(value, plan.Temperature):
            return f"{value.deg_c:.2f} degC", against
        return told, against

    def finely(self, length_mm: float) -> str:
        """A small length inside a sentence: a tolerance of half a millimetre is not a whole one."""
        return self._write.write_finely(length_mm)

    def text(self, measure: plan.Measure | None) -> str:
        """A figure as it is written inside a sentence."""
        match measure:
            case None:
                return ""
            case str():
                return measure
            case plan.Length(mm):
                return self._write.write(mm)
            case plan.Force(kn):
                return writing.force_text(kn, self._write.metric)
            case plan.Mass(kg):
                return writing.mass_text(kg, self._write.metric)
            case plan.Angle(deg):
                return f"{writing.rounded(deg, 1):g}°"
            case plan.Temperature(deg_c):
                return writing.temperature_text(deg_c, self._write.metric)
            case _:
                return f"{writing.rounded(measure, 3):g}"


def _told_apart(warnings: Sequence[plan.Warning]) -> list[plan.Warning]:
    """Where the two ends are warned of in the same words, each with its end named first."""
    times = Counter((warning.code, warning.message) for warning in warnings)
    return [
        replace(warning, message=f"End {end}: {warning.message}")
        if end and times[warning.code, warning.message] > 1
        else warning
        for warning, end in ((warning, _end_of(warning.pointer)) for warning in warnings)
    ]


def _end_of(pointer: str) -> str | None:
    """The one end that a pointer leads to; None for both, a join or anything else."""
    _, section, name, *_ = (*pointer.split("/"), "", "")
    return name if section == "ends" and name in ("a", "b") else None
