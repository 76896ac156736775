"""``tuckmark diff``: what changed between two plans."""

import argparse
import sys
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any, Final

import orjson

from tuckmark import differences, document
from tuckmark.cli.files import GOOD, UNREADABLE, Commands, as_text, bytes_of
from tuckmark.differences import Difference
from tuckmark.faults import Fault
from tuckmark.pipeline import Rejected, default_pipeline, fault_item
from tuckmark.wording import is_number

DIFFERENT: Final = 1
_MAX_BYTES: Final = 16 * 1024 * 1024  # a plan is longer than the spec it is made from
_NUMBERS: Final = ("mm", "kn", "kg", "deg")


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    diff = commands.add_parser(
        "diff",
        help="show what changed between two plans",
        description="A spec in the place of a plan is planned first: diff plan.json spec.json "
        "shows what would change today. Exit code: 0 no difference, 1 some, 2 one is unreadable.",
    )
    diff.add_argument("old", metavar="OLD", help="a plan, or a spec; - for standard input")
    diff.add_argument("new", metavar="NEW", help="a plan, or a spec; - for standard input")
    diff.add_argument("--format", choices=("text", "json"), default="text", help="what to write")
    diff.set_defaults(run=_diff)


def _diff(chosen: argparse.Namespace) -> int:
    plans = [_plan(name) for name in (chosen.old, chosen.new)]
    old, new = plans
    if old is None or new is None:
        return UNREADABLE
    found = differences.between(old, new)
    if chosen.format == "json":
        whole = {
            "made_with": {"old": old.get("made_with"), "new": new.get("made_with")},
            "differences": [asdict(item) for item in found],
        }
        option = orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE
        sys.stdout.buffer.write(orjson.dumps(whole, option=option))
    else:
        print("\n".join(_lines(found)) if found else "no difference")
    return DIFFERENT if found else GOOD


def _plan(name: str) -> dict[str, Any] | None:
    """The plan in a file, or of the spec in it; None, with the reason told, where there is none."""
    try:
        read = document.read(bytes_of(name), max_bytes=_MAX_BYTES)
        if isinstance(read, dict) and "plan_version" in read:
            return read
        return default_pipeline().plan(read)
    except document.UnreadableError as error:
        _tell(name, (error.fault,), 1)
    except Rejected as rejected:
        _tell(name, rejected.faults, rejected.count)
    return None


def _tell(name: str, faults: Iterable[Fault], count: int) -> None:
    report = {"file": name, "stops": [], "errors": [fault_item(fault) for fault in faults]}
    print("\n".join(as_text([report | {"error_count": count}])), file=sys.stderr)


def _lines(found: Iterable[Difference]) -> list[str]:
    """Differences for people: a figure once, as number and not again as text."""
    items = list(found)
    places = {item.path for item in items}
    return [_line(item) for item in items if not _told_as_number(item.path, places)]


def _told_as_number(path: str, places: set[str]) -> bool:
    holder, _, name = path.rpartition("/")
    return name == "text" and any(f"{holder}/{number}" in places for number in _NUMBERS)


def _line(item: Difference) -> str:
    if item.old is None:
        return f"{item.path}: new: {_short(item.new)}"
    if item.new is None:
        return f"{item.path}: gone: {_short(item.old)}"
    line = f"{item.path}: {_short(item.old)} -> {_short(item.new)}"
    if is_number(item.old) and is_number(item.new):
        line += f" ({round(item.new - item.old, 3):+})"
    return line


def _short(value: Any) -> str:
    if isinstance(value, dict):
        for name in ("message", "text", "name", "distance"):
            if name in value:
                return _short(value[name])
    if is_number(value):
        return f"{value:.10g}"  # 18000 and 18000.0 are the same figure
    return value if isinstance(value, str) else orjson.dumps(value).decode()
