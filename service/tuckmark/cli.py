"""The command line: serve, plan, check, schema."""

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Final

import orjson

from tuckmark import __version__, document, published
from tuckmark.faults import Fault
from tuckmark.pipeline import Pipeline, Rejected, default_pipeline, fault_item

GOOD: Final = 0
BAD: Final = 1
UNREADABLE: Final = 2
_STDIN: Final = "-"

Report = dict[str, Any]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns:
        0 all good, 1 some document is not good, 2 some file cannot be read (or the call is wrong).
    """
    chosen = _parser().parse_args(arguments)
    try:
        code: int = chosen.run(chosen)
    except OSError as error:
        print(f"tuckmark: {error.filename or ''}: {error.strerror}", file=sys.stderr)
        return UNREADABLE
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tuckmark",
        description="A splice spec goes in, a splicing plan comes out.",
    )
    parser.add_argument("--version", action="version", version=f"tuckmark {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    serve = commands.add_parser("serve", help="answer over HTTP")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (%(default)s)")
    serve.add_argument("--port", type=int, default=8000, help="port to listen on (%(default)s)")
    serve.add_argument("--workers", type=int, default=2, help="processes (%(default)s)")
    serve.set_defaults(run=_serve)

    plan = commands.add_parser("plan", help="plan one spec file")
    plan.add_argument("file", metavar="FILE", help="a splice spec, or - for standard input")
    plan.add_argument("--format", choices=("json",), default="json", help="what to write")
    plan.add_argument("-o", "--output", metavar="OUT", help="where to write it; else to the screen")
    plan.set_defaults(run=_plan)

    check = commands.add_parser("check", help="check spec files against the published schema")
    check.add_argument("files", metavar="FILE", nargs="+", help="spec files, or - for stdin")
    check.add_argument("--plan", action="store_true", help="also whether a plan exists")
    check.add_argument(
        "--format", choices=("text", "json", "github"), default="text", help="how to report"
    )
    check.set_defaults(run=_check)

    schema = commands.add_parser("schema", help="print a published schema, or list them")
    schema.add_argument("name", metavar="NAME", nargs="?", help="such as splice-spec")
    schema.set_defaults(run=_schema)
    return parser


def _serve(chosen: argparse.Namespace) -> int:
    from tuckmark.web.server import serve  # here, for the other commands need no server

    serve(chosen.host, chosen.port, chosen.workers)
    return GOOD


def _plan(chosen: argparse.Namespace) -> int:
    report: Report = {"file": chosen.file}
    try:
        made = default_pipeline().plan(document.read(_bytes_of(chosen.file)))
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
    print("\n".join(_as_text([report])), file=sys.stderr)
    return code


def _check(chosen: argparse.Namespace) -> int:
    pipeline = default_pipeline()
    reports = [_report(name, pipeline, plan=chosen.plan) for name in chosen.files]
    if chosen.format == "json":
        sys.stdout.buffer.write(orjson.dumps(reports, option=orjson.OPT_INDENT_2) + b"\n")
    else:
        lines = _as_text(reports) if chosen.format == "text" else _as_annotations(reports)
        print("\n".join(lines))
    if any(report["unreadable"] for report in reports):
        return UNREADABLE
    good = all(
        report["valid"] and report["plannable"] is not False and report["usable"] is not False
        for report in reports
    )
    return GOOD if good else BAD


def _schema(chosen: argparse.Namespace) -> int:
    files = published.schema_files()
    if chosen.name is None:
        print("\n".join(files))
        return GOOD
    name = chosen.name.removesuffix(".json")
    if name not in files:
        print(f"tuckmark: no schema {name}; there are {', '.join(files)}", file=sys.stderr)
        return UNREADABLE
    sys.stdout.buffer.write(files[name])
    return GOOD


def _bytes_of(name: str) -> bytes:
    return sys.stdin.buffer.read() if name == _STDIN else Path(name).read_bytes()


def _report(name: str, pipeline: Pipeline, *, plan: bool) -> Report:
    """One file's verdict: the service's own, plus whether it could be read at all."""
    report: Report = {"file": name, "unreadable": False, "valid": False, "plannable": False}
    report |= {"usable": None, "stops": []}
    try:
        parsed = document.read(_bytes_of(name))
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


def _as_text(reports: Iterable[Report]) -> list[str]:
    lines = []
    for report in reports:
        if not report["errors"] and not report["stops"]:
            lines.append(f"{report['file']}: good")
        for stop in report["stops"]:
            message = f"stop: {stop['code']}: {stop['message']}"
            lines.append(f"{report['file']}: planned, but do not splice from it: {message}")
        for item in report["errors"]:
            where = item["pointer"] or "the whole document"
            hint = f" {item['hint']}" if "hint" in item else ""
            lines.append(f"{report['file']}: {where}: {item['code']}: {item['detail']}{hint}")
        unsaid = report["error_count"] - len(report["errors"])
        if unsaid:
            lines.append(f"{report['file']}: and {unsaid} more")
    return lines


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


if __name__ == "__main__":
    sys.exit(main())
