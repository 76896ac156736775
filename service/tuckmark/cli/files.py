"""What every command shares: exit codes, files and how refusals are written."""

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final, TypeAlias

import orjson

GOOD: Final = 0
BAD: Final = 1
UNREADABLE: Final = 2
STDIN: Final = "-"
#: the schema of what most files are
SPEC: Final = "splice-spec"

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
Report = dict[str, Any]


def bytes_of(name: str) -> bytes:
    """Content of a file; ``-`` is standard input."""
    return sys.stdin.buffer.read() if name == STDIN else Path(name).read_bytes()


def as_text(reports: Iterable[Report]) -> list[str]:
    """Reports as lines for people."""
    lines = []
    for report in reports:
        if not report["errors"] and not report["stops"]:
            lines.append(f"{_place(report, {})}: good{_kind(report)}")
        for stop in report["stops"]:
            message = f"stop: {stop['code']}: {stop['message']}"
            place = _place(report, stop)
            lines.append(f"{place}: planned, but do not splice from it: {message}")
        for item in report["errors"]:
            where = item["pointer"] or "the whole document"
            lines.append(f"{_place(report, item)}: {where}: {item['code']}: {in_words(item)}")
        unsaid = report["error_count"] - len(report["errors"])
        if unsaid:
            lines.append(f"{_place(report, {})}: and {unsaid} more")
    return [spelt_out(line) for line in lines]


def _kind(report: Report) -> str:
    """What a good document is, where it is no spec."""
    schema = report.get("schema", SPEC)
    return "" if schema == SPEC else f" by the schema {schema}; specs in it are not planned"


def in_words(item: Report) -> str:
    """All that a fault says: what is wrong, what is allowed, what was given, what to do."""
    facts = "; ".join(f"{key}: {_listed(item[key])}" for key in ("allowed", "given") if key in item)
    said = (item["detail"], f"({facts})" if facts else "", item.get("hint", ""))
    return " ".join(part for part in said if part)


def _listed(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(_listed(one) for one in value)
    return value if isinstance(value, str) and value else orjson.dumps(value).decode()


def spelt_out(text: str) -> str:
    """What documents hold does not move the cursor: line breaks and controls as escapes."""
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode()
        for letter in text
    )


def _place(report: Report, item: Report) -> str:
    """File, line and column, as far as they are known."""
    line, column = item.get("line", report.get("line")), item.get("column")
    return ":".join(str(part) for part in (report["file"], line, column) if part is not None)
