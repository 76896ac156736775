"""A plan turned into what stands on its bench sheet."""

from collections.abc import Iterator, Mapping
from itertools import groupby
from types import MappingProxyType
from typing import Any, Final, Literal

from tuckmark.render import qr
from tuckmark.render.drawing import draw_parts
from tuckmark.render.sheet import as_built, cut, facts, marks
from tuckmark.render.sheet.figures import Figures, Json
from tuckmark.render.sheet.model import (
    Fact,
    Figure,
    Notice,
    NoticeItem,
    Sheet,
    StepRow,
)
from tuckmark.render.sheet.words import printable, prose, sentence, words
from tuckmark.render.svg import clean, number
from tuckmark.render.type import fitting
from tuckmark.render.view import PlanDocument, Showing

OVERPRINT: Final = "Do not splice from this plan"
_WORD: Final[Mapping[str, Literal["STOP", "CHECK", "NOTE"]]] = MappingProxyType(
    {"stop": "STOP", "warn": "CHECK", "info": "NOTE"}
)
_DIGEST_SHOWN: Final = 16
_RUNNING_MM: Final = 130.0
_RUNNING_SIZE_MM: Final = 2.6
_DRAWING_MM: Final = 178.0  # between the margins of A4, the narrower paper
_QR_ROOM_MM: Final = 66.0
_QR_MODULE_MM: Final = 0.4


def sheet(showing: Showing) -> Sheet:
    """Everything a bench sheet says.

    Args:
        showing: the plan, and on which paper it is wanted.
    """
    plan = showing.plan
    figures = Figures(plan)
    job = tuple(_job(plan["job"]))
    code = _qr(showing.address)
    return Sheet(
        page=showing.options.page or plan["display"]["page"],
        title=" ".join(("Bench sheet", *_named(plan["job"]))),
        running=_running(plan),
        overprint="" if plan["usable"] else OVERPRINT,
        lead=sentence(_lead(plan)),
        job=job,
        rope=tuple(_rope(plan["rope"], figures)),
        notices=tuple(_notices(plan, figures)),
        cut=cut.section(plan, figures),
        tools=tuple(_tool(tool) for tool in plan["tools"]),
        drawings=tuple(part.svg() for part in draw_parts(plan, _DRAWING_MM)),
        marks=marks.groups(plan, figures),
        tolerance_note=marks.tolerance_note(plan),
        steps=tuple(
            StepRow(step["n"], prose(step["text"]), prose(step.get("caution", "")))
            for step in plan["steps"]
        ),
        tapers=marks.tapers(plan, figures),
        splices=facts.splices(plan, figures),
        lengths=facts.lengths(plan, figures),
        strength=facts.strength(plan, figures),
        as_built=as_built.rows(plan, figures),
        pieces=as_built.pieces(plan["job"]["quantity"]),
        cautions=tuple(prose(caution["text"]) for caution in plan["cautions"]),
        sources=figures.sources(),
        made=tuple(_made(plan)),
        address=showing.address or "",
        qr=code,
        qr_line="This plan again, from its own address" if code else qr.why_no_qr(showing.address),
    )


def _named(job: Json) -> list[str]:
    return [printable(job[key]) for key in ("order", "item") if job[key] is not None]


def _running(plan: PlanDocument) -> str:
    """What names the job and the plan on every further page, as much as fits."""
    job = plan["job"]
    said = " / ".join(_named(job)) or "Job not named"
    if job["description"] is not None:
        said += f": {printable(job['description'])}"
    shown = plan["digest"].partition(":")[2][:_DIGEST_SHOWN]
    return f"{fitting(said, _RUNNING_SIZE_MM, _RUNNING_MM - 40)}, plan {shown}"


def _lead(plan: PlanDocument) -> str:
    if "join" in plan:
        return words(plan["join"]["splice"])
    made = {name: words(end["splice"]) for name, end in plan["ends"].items()}
    if len(set(made.values())) == 1:
        return f"{next(iter(made.values()))} at both ends"
    return "; ".join(f"end {name}: {splice}" for name, splice in made.items())


def _job(job: Json) -> Iterator[Fact]:
    for key in ("order", "item", "description"):
        if job[key] is not None:
            yield _said(key, job[key])
    if job["quantity"] > 1:
        yield _said("to make", f"{job['quantity']} alike")
    for name, reference in job["references"].items():
        yield _said(printable(name), reference)


def _rope(rope: Json, figures: Figures) -> Iterator[Fact]:
    made_of = f"{words(rope['construction'])}, {words(rope['fibre'])}"
    yield _said("rope", made_of)
    load_class = rope["load_class"]
    kind = words(load_class["value"])
    yield Fact("load class", (Figure(kind, refs=figures.refs(load_class["source"])),))
    for key in ("diameter", "circumference", "core_diameter", "fid_length", "pitch", "pick",
                "lay_length", "hand_tension"):  # fmt: skip
        if rope[key] is not None:
            yield Fact(words(key), (figures.figure(rope[key]),))


def _said(label: str, text: str) -> Fact:
    return Fact(label, (Figure(printable(text)),))


def _notices(plan: PlanDocument, figures: Figures) -> Iterator[Notice]:
    """The warnings in the plan's order, those of one severity after another in one box."""
    for severity, warnings in groupby(plan["warnings"], lambda warning: warning["severity"]):
        items = (
            NoticeItem(
                prose(warning["message"]),
                figures.refs(warning["source"], *warning.get("more_sources", ())),
            )
            for warning in warnings
        )
        yield Notice(_WORD[severity], tuple(items))


def _tool(tool: Json) -> str:
    length = f" {tool['length']['text']}" if tool["length"] is not None else ""
    end = f", end {tool['end']}" if tool["end"] is not None else ""
    return prose(f"{sentence(tool['name'])}{length}{end}: {tool['detail']}")


def _made(plan: PlanDocument) -> Iterator[Fact]:
    yield _said("digest", plan["digest"])
    made: dict[str, Any] = plan["made_with"]
    yield _said("engine", made["engine"])
    yield _said("tables", made["tables"])
    yield _said("plan version", plan["plan_version"])


def _qr(address: str | None) -> str:
    """The address as a picture of its own; empty where none would scan."""
    modules = qr.fitting_qr(address, _QR_ROOM_MM)
    if modules is None:
        return ""
    one_mm = min(_QR_MODULE_MM, qr.module_mm(modules, _QR_ROOM_MM))
    side = number(qr.printed_side_mm(modules, one_mm))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}mm" height="{side}mm" '
        f'viewBox="0 0 {side} {side}" role="img" aria-label="{clean("QR code of this plan")}">'
        f'<path d="{qr.qr_path(modules, 0, 0, one_mm)}" fill="#000"/></svg>'
    )
