"""``tuckmark plan``: plan one spec file."""

import argparse
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import orjson

from tuckmark import document, settings
from tuckmark.cli.files import BAD, GOOD, UNREADABLE, Commands, Report, as_text, bytes_of
from tuckmark.faults import Fault
from tuckmark.pipeline import Rejected, default_pipeline, fault_item
from tuckmark.render import views
from tuckmark.render.excerpt import PLAN_KEYS, excerpt
from tuckmark.render.view import (
    CHOICES,
    DOTS,
    MEDIA_TYPES,
    RANGES,
    CannotShowError,
    Options,
    Showing,
    printed_address,
)
from tuckmark.render.views import PLAN, VIEWS


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    plan = commands.add_parser("plan", help="plan one spec file")
    plan.add_argument("file", metavar="FILE", help="a splice spec, or - for standard input")
    plan.add_argument("--view", choices=tuple(VIEWS), default=PLAN, help="what of it to write")
    plan.add_argument(
        "--format", choices=tuple(MEDIA_TYPES), help="how to write it; else as the view is best had"
    )
    for option, (least, most) in RANGES.items():
        plan.add_argument(
            _flag(option),
            type=int,
            choices=range(least, most + 1),
            metavar="N",
            help=f"of strip or tag: {least} to {most}",
        )
    plan.add_argument("--dpi", type=int, choices=DOTS, help="dots per inch of a PNG")
    for option, words in CHOICES.items():
        plan.add_argument(
            _flag(option), choices=words, help="see the README, from The bench sheet on"
        )
    plan.add_argument(
        "--batch", action="store_true", help="FILE has one spec a line; write one answer a line"
    )
    plan.add_argument(
        "--fields", type=_fields, metavar="KEYS", help="keys of the plan to keep, comma between"
    )
    plan.add_argument("-o", "--output", metavar="OUT", help="where to write it; else to the screen")
    plan.set_defaults(run=_plan)


def _fields(text: str) -> tuple[str, ...]:
    keys = tuple(text.split(","))
    if unknown := set(keys) - set(PLAN_KEYS):
        raise argparse.ArgumentTypeError(f"no key of a plan: {', '.join(sorted(unknown))}")
    return keys


def _plan(chosen: argparse.Namespace) -> int:
    if chosen.batch:
        return _batch(chosen)
    report: Report = {"file": chosen.file}
    try:
        made = default_pipeline().plan(document.read(bytes_of(chosen.file)))
    except document.UnreadableError as error:
        return _refused(report, (error.fault,), 1, UNREADABLE)
    except Rejected as rejected:
        return _refused(report, rejected.faults, rejected.count, BAD)
    try:
        written = _shown(chosen, made)
    except CannotShowError as refusal:
        about = f"{_flag(refusal.parameter)}: " if refusal.parameter else ""
        print(f"{chosen.file}: {about}{refusal.code}: {refusal.detail}", file=sys.stderr)
        return BAD
    stops = [warning for warning in made["warnings"] if warning["severity"] == "stop"]
    for stop in stops:
        print(f"{chosen.file}: do not splice from this plan: {stop['message']}", file=sys.stderr)
    if chosen.output:
        Path(chosen.output).write_bytes(written)
    else:
        sys.stdout.buffer.write(written)
    return BAD if stops else GOOD


def _batch(chosen: argparse.Namespace) -> int:
    if chosen.view != PLAN or chosen.format not in (None, "json"):
        print("tuckmark: a batch is answered with plans as JSON, one a line", file=sys.stderr)
        return UNREADABLE
    if unused := Options(**_options(chosen)).given:
        flags = ", ".join(map(_flag, sorted(unused)))
        print(f"tuckmark: {flags}: not_used_here: a batch makes no views", file=sys.stderr)
        return UNREADABLE
    from tuckmark.cli.batching import plan_lines  # here, for one plan needs no processes

    return plan_lines(chosen.file, chosen.output, chosen.fields)


def _shown(chosen: argparse.Namespace, made: Mapping[str, Any]) -> bytes:
    """The plan in the view and format that were asked for; JSON is indented for reading."""
    formats = VIEWS[chosen.view].formats
    form = chosen.format or next(iter(formats))
    if form not in formats:
        detail = f"The view {chosen.view} can be had as {', '.join(formats)}."
        raise CannotShowError("not_one_of", detail, "format", tuple(formats))
    if chosen.fields and (chosen.view, form) != (PLAN, "json"):
        raise CannotShowError("not_used_here", "Only the plan as JSON has fields.", "fields")
    options = Options(**_options(chosen))
    address = printed_address(made, settings.public_url())
    shown = Showing(excerpt(made, chosen.fields), options, address)
    written = views.show(chosen.view, form, shown)
    if form != "json":
        return written
    return orjson.dumps(
        orjson.loads(written), option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE
    )


def _options(chosen: argparse.Namespace) -> dict[str, Any]:
    return {option: getattr(chosen, option) for option in (*RANGES, *CHOICES, "dpi")}


def _flag(option: str) -> str:
    return "--" + option.replace("_", "-")


def _refused(report: Report, faults: Iterable[Fault], count: int, code: int) -> int:
    report |= {"stops": [], "errors": [fault_item(fault) for fault in faults]}
    report["error_count"] = count
    print("\n".join(as_text([report])), file=sys.stderr)
    return code
