"""``tuckmark check``: spec files against the published schema."""

import argparse
import sys
from collections.abc import Callable, Iterable, Mapping
from typing import Final

import orjson

from tuckmark import document, published
from tuckmark.cli.files import (
    BAD,
    GOOD,
    SPEC,
    UNREADABLE,
    Commands,
    Report,
    as_text,
    in_words,
    spelt_out,
)
from tuckmark.cli.gathering import Document, gather
from tuckmark.cli.locating import Places
from tuckmark.faults import Fault
from tuckmark.pipeline import Pipeline, default_pipeline, fault_item
from tuckmark.validation import Judge

#: what is sent to the service beside specs, and holds some
_REQUESTS: Final = ("inspection-request", "cutlist-request", "calibration-request")
#: those that may be larger than a spec
_LARGE: Final = frozenset({"cutlist-request"})


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    check = commands.add_parser("check", help="check spec files against the published schema")
    check.add_argument(
        "files",
        metavar="FILE",
        nargs="+",
        help="spec files, folders of them, patterns such as 'jobs/**/*.json', or - for stdin",
    )
    check.add_argument("--plan", action="store_true", help="also whether a plan exists")
    check.add_argument("--lines", action="store_true", help="each line is a document (JSON lines)")
    check.add_argument(
        "--format", choices=tuple(_WRITERS), default="text", help="how to report (%(default)s)"
    )
    check.set_defaults(run=_check)


def _check(chosen: argparse.Namespace) -> int:
    pipeline = default_pipeline()
    found = gather(chosen.files, lines=chosen.lines)
    reports = [_report(item, pipeline, plan=chosen.plan) for item in found]
    _WRITERS[chosen.format](reports)
    if any(report["unreadable"] for report in reports):
        return UNREADABLE
    good = all(
        report["valid"] and report["plannable"] is not False and report["usable"] is not False
        for report in reports
    )
    return GOOD if good else BAD


def _report(item: Document, pipeline: Pipeline, *, plan: bool) -> Report:
    """One document's verdict: the service's own, with the place of each thing it names."""
    report: Report = {"file": item.file}
    if item.line is not None:
        report["line"] = item.line
    report |= {
        "schema": SPEC,
        "unreadable": False,
        "valid": False,
        "plannable": False,
        "usable": None,
        "stops": [],
    }
    if item.fault is not None:
        return report | _unreadable(item.fault)
    try:
        report["schema"], parsed = _read(item.body)
    except document.UnreadableError as error:
        return _located(report | _unreadable(error.fault), item)
    if report["schema"] != SPEC:
        judge = Judge(published.schema(report["schema"]))
    elif plan:
        return _located(report | pipeline.check(parsed), item)
    else:
        judge = pipeline.judge
    verdict = judge.verdict(parsed)
    report |= {
        "valid": verdict.count == 0,
        "plannable": None,
        "errors": [fault_item(fault) for fault in verdict.faults],
        "error_count": verdict.count,
    }
    return _located(report, item)


def _read(body: bytes) -> tuple[str, document.Json]:
    """A document and the schema it is written for, which says how large it may be.

    Raises:
        document.UnreadableError: the service would not read it either.
    """
    parsed = document.read(body, max_bytes=document.LARGE_BYTES)
    name = _meant_for(parsed)
    return name, parsed if name in _LARGE else document.read(body)


def _meant_for(parsed: document.Json) -> str:
    """The published schema that a document is written for: a request's, by what it must have."""
    if isinstance(parsed, dict) and "schema_version" not in parsed:
        for name in _REQUESTS:
            if parsed.keys() >= set(published.schema(name)["required"]):
                return name
    return SPEC


def _unreadable(fault: Fault) -> Report:
    return {"unreadable": True, "errors": [fault_item(fault)], "error_count": 1}


def _located(report: Report, item: Document) -> Report:
    """The same report, every item with its line and column in the file."""
    places = Places(item.body)
    for told in (*report["errors"], *report["stops"]):
        line, column = places.of(told["pointer"], told["code"])
        told |= {"line": line if item.line is None else item.line, "column": column}
    return report


def _write_text(reports: Iterable[Report]) -> None:
    for line in as_text(reports):
        print(line)


def _write_json(reports: Iterable[Report]) -> None:
    sys.stdout.buffer.write(
        orjson.dumps(list(reports), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)
    )


def _write_annotations(reports: Iterable[Report]) -> None:
    """Lines that a code-hosting service's runner shows beside the file."""
    for report in reports:
        for item in report["errors"]:
            message = f"{item['pointer']} {in_words(item)}".strip()
            print(_annotation(report, item, message))
        for stop in report["stops"]:
            print(_annotation(report, stop, f"Do not splice from this plan: {stop['message']}"))


def _annotation(report: Report, item: Report, message: str) -> str:
    properties = {"file": report["file"]}
    if "line" in item:
        properties |= {"line": str(item["line"]), "col": str(item["column"])}
    properties["title"] = item["code"]
    written = ",".join(f"{name}={_in_property(value)}" for name, value in properties.items())
    return f"::error {written}::{_in_message(message)}"


def _in_message(text: str) -> str:
    """Per cent and line ends as the runner reads them; no other control reaches its log."""
    escaped = text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")
    return spelt_out(escaped)


def _in_property(text: str) -> str:
    return _in_message(text).replace(":", "%3A").replace(",", "%2C")


_WRITERS: Final[Mapping[str, Callable[[Iterable[Report]], None]]] = {
    "text": _write_text,
    "json": _write_json,
    "github": _write_annotations,
}
