"""``tuckmark plan``: plan one spec file."""

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path

import orjson

from tuckmark import document
from tuckmark.cli.files import BAD, GOOD, UNREADABLE, Commands, Report, as_text, bytes_of
from tuckmark.faults import Fault
from tuckmark.pipeline import Rejected, default_pipeline, fault_item


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    plan = commands.add_parser("plan", help="plan one spec file")
    plan.add_argument("file", metavar="FILE", help="a splice spec, or - for standard input")
    plan.add_argument("--format", choices=("json",), default="json", help="what to write")
    plan.add_argument("-o", "--output", metavar="OUT", help="where to write it; else to the screen")
    plan.set_defaults(run=_plan)


def _plan(chosen: argparse.Namespace) -> int:
    report: Report = {"file": chosen.file}
    try:
        made = default_pipeline().plan(document.read(bytes_of(chosen.file)))
    except document.UnreadableError as error:
        return _refused(report, (error.fault,), 1, UNREADABLE)
    except Rejected as rejected:
        return _refused(report, rejected.faults, rejected.count, BAD)
    stops = [warning for warning in made["warnings"] if warning["severity"] == "stop"]
    for stop in stops:
        print(f"{chosen.file}: do not splice from this plan: {stop['message']}", file=sys.stderr)
    written = orjson.dumps(made, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)
    if chosen.output:
        Path(chosen.output).write_bytes(written)
    else:
        sys.stdout.buffer.write(written)
    return BAD if stops else GOOD


def _refused(report: Report, faults: Iterable[Fault], count: int, code: int) -> int:
    report |= {"stops": [], "errors": [fault_item(fault) for fault in faults]}
    report["error_count"] = count
    print("\n".join(as_text([report])), file=sys.stderr)
    return code
