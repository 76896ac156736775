"""The catalogue that explains each code, and the one shape of everything that is refused."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, Literal

from tuckmark.faults import Fault
from tuckmark.validation import MAX_FAULTS

_TYPE: Final = "https://tuckmark.example/problems/"

Item = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of a code.

    Attributes:
        kind: ``problem`` is an answer's own code, ``fault`` one item of its ``errors``;
            ``warning`` and ``caution`` come with a plan.
        status: HTTP status, of problems only.
        severity: of warnings and cautions only.
    """

    code: str
    kind: Literal["problem", "fault", "warning", "caution"]
    title: str
    explanation: str
    fix: str
    status: int | None = None
    severity: str | None = None
    example: Any = None

    def listing(self) -> dict[str, Any]:
        """The entry as ``/problems/{code}`` shows it."""
        facts = {
            "code": self.code,
            "kind": self.kind,
            "status": self.status,
            "severity": self.severity,
            "title": self.title,
            "explanation": self.explanation,
            "fix": self.fix,
            "example": self.example,
            "href": help_path(self.code),
        }
        return {name: value for name, value in facts.items() if value is not None}


@cache
def catalogue() -> Mapping[str, Entry]:
    """Every code of problems, faults, warnings and cautions."""
    entries: dict[str, Entry] = {}
    for file in ("problems.json", "notices.json"):
        text = resources.files("tuckmark").joinpath("data", file).read_text(encoding="utf-8")
        for code, facts in json.loads(text).items():
            known = {name: facts[name] for name in Entry.__slots__ if name in facts}
            entries[code] = Entry(code=code, **known)
    return MappingProxyType(entries)


def status_of(code: str) -> int:
    """HTTP status of a problem."""
    status = catalogue()[code].status
    if status is None:
        raise ValueError(f"{code} is no problem of its own")
    return status


def help_path(code: str) -> str:
    """Where this service explains a code."""
    return f"/problems/{code}"


def as_json(
    code: str, detail: str | None = None, errors: Sequence[Item] = (), count: int | None = None
) -> dict[str, Any]:
    """A problem as it is written (RFC 9457).

    Args:
        code: a ``problem`` of the catalogue.
        detail: one sentence on this occurrence; the code's explanation when absent.
        errors: what is wrong, item by item.
        count: how many there are in all, where ``errors`` are the first of them.
    """
    entry = catalogue()[code]
    return {
        "type": _TYPE + code,
        "title": entry.title,
        "status": status_of(code),
        "detail": detail or entry.explanation,
        "help": help_path(code),
        "errors": list(errors[:MAX_FAULTS]),
        "error_count": len(errors) if count is None else count,
    }


def summary(faults: Sequence[Fault], count: int) -> str:
    """The first fault in words, and how many there are."""
    detail = faults[0].detail
    return detail if count == 1 else f"{detail} There are {count} faults in all; see errors."
