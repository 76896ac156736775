"""``tuckmark check``: spec files against the published schema."""

import argparse
import sys
from collections.abc import Iterable

import orjson

from tuckmark import document
from tuckmark.cli.files import BAD, GOOD, UNREADABLE, Commands, Report, as_text, bytes_of
from tuckmark.pipeline import Pipeline, default_pipeline, fault_item


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    check = commands.add_parser("check", help="check spec files against the published schema")
    check.add_argument("files", metavar="FILE", nargs="+", help="spec files, or - for stdin")
    check.add_argument("--plan", action="store_true", help="also whether a plan exists")
    check.add_argument(
        "--format", choices=("text", "json", "github"), default="text", help="how to report"
    )
    check.set_defaults(run=_check)


def _check(chosen: argparse.Namespace) -> int:
    pipeline = default_pipeline()
    reports = [_report(name, pipeline, plan=chosen.plan) for name in chosen.files]
    if chosen.format == "json":
        sys.stdout.buffer.write(orjson.dumps(reports, option=orjson.OPT_INDENT_2) + b"\n")
    else:
        lines = as_text(reports) if chosen.format == "text" else _as_annotations(reports)
        print("\n".join(lines))
    if any(report["unreadable"] for report in reports):
        return UNREADABLE
    good = all(
        report["valid"] and report["plannable"] is not False and report["usable"] is not False
        for report in reports
    )
    return GOOD if good else BAD


def _report(name: str, pipeline: Pipeline, *, plan: bool) -> Report:
    """One file's verdict: the service's own, plus whether it could be read at all."""
    report: Report = {"file": name, "unreadable": False, "valid": False, "plannable": False}
    report |= {"usable": None, "stops": []}
    try:
        parsed = document.read(bytes_of(name))
    except document.UnreadableError as error:
        found = {"errors": [fault_item(error.fault)], "error_count": 1}
        return report | {"unreadable": True} | found
    if plan:
        return report | pipeline.check(parsed)
    verdict = pipeline.judge.verdict(parsed)
    return report | {
        "valid": verdict.count == 0,
        "plannable": None,
        "errors": [fault_item(fault) for fault in verdict.faults],
        "error_count": verdict.count,
    }


def _as_annotations(reports: Iterable[Report]) -> list[str]:
    """Lines that a code-hosting service's runner shows beside the file."""
    return [
        f"::error file={_escaped(report['file'])},title={_escaped(item['code'])}"
        f"::{_escaped(item['pointer'])} {_escaped(item['detail'])}"
        for report in reports
        for item in (*report["errors"], *_as_items(report["stops"]))
    ]


def _as_items(stops: Iterable[Report]) -> list[Report]:
    return [
        {"code": stop["code"], "pointer": "", "detail": f"stop: {stop['message']}"}
        for stop in stops
    ]


def _escaped(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A").replace(",", "%2C")
