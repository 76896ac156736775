"""A plan turned into what stands on its bench sheet."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from types import MappingProxyType
from typing import Final, Literal

from tuckmark.notices import register
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
)
from tuckmark.render.svg import clean, number
from tuckmark.render.type import fitting
from tuckmark.render.view import PlanDocument, Showing
from tuckmark.render.words import printable, prose, sentence, tension_text, words

_CONFIDENCE: Final = (
    "A: read in a published source, or given. B: derived. C: common practice or assumption."
)
OVERPRINT: Final = "Do not splice from this plan"
_WORD: Final[Mapping[str, Literal["STOP", "CHECK", "NOTE"]]] = MappingProxyType(
    {"stop": "STOP", "warn": "CHECK", "info": "NOTE"}
)
_END: Final = re.compile("/ends/([ab])\\b")
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
    steps = marks.steps(plan, figures)
    return Sheet(
        page=showing.options.page or plan["display"]["page"],
        title=" ".join(("Bench sheet", *_named(plan["job"]))),
        running=_running(plan["job"]),
        foot=_foot(plan),
        overprint="" if plan["usable"] else OVERPRINT,
        lead=sentence(_lead(plan)),
        job=job,
        rope=tuple(_rope(plan["rope"], figures)),
        notices=tuple(_notices(plan, figures)),
        cut=cut.section(plan, figures),
        tools=_tools(plan["tools"]),
        drawings=tuple(part.svg() for part in draw_parts(plan, _DRAWING_MM)),
        first=marks.first(plan),
        notes=tuple(filter(None, (marks.numbers_note(steps), marks.tolerance_note(plan)))),
        steps=steps,
        splices=facts.splices(plan, figures),
        lengths=facts.lengths(plan, figures),
        strength=facts.strength(plan, figures),
        as_built=as_built.rows(plan, figures),
        pieces=as_built.pieces(plan["job"]["quantity"]),
        cautions=tuple(prose(caution["text"]) for caution in plan["cautions"]),
        confidence=_CONFIDENCE,
        sources=figures.sources(),
        address=showing.address or "",
        qr=code,
        qr_line="This plan again, from its own address"
        if code
        else qr.why_no_qr(showing.address, packable="printed" in plan["links"]),
    )


def _named(job: Json) -> list[str]:
    return [printable(job[key]) for key in ("order", "item") if job[key] is not None]


def _running(job: Json) -> str:
    """What names the job on every further page, as much as fits."""
    said = " / ".join(_named(job)) or "Job not named"
    if job["description"] is not None:
        said += f": {printable(job['description'])}"
    return fitting(said, _RUNNING_SIZE_MM, _RUNNING_MM)


def _foot(plan: PlanDocument) -> tuple[str, ...]:
    """Which plan a page is of, and what made it."""
    made: Json = plan["made_with"]
    versions = f"plan version {plan['plan_version']}, engine {made['engine']}"
    return f"plan {plan['digest']}", f"{versions}, tables {made['tables']}"


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
            figure = figures.of_rope(rope[key])
            if key == "hand_tension":
                figure = replace(figure, number=prose(tension_text(rope[key])), unit="")
            yield Fact(words(key), (figure,))


def _said(label: str, text: str) -> Fact:
    return Fact(label, (Figure(printable(text)),))


def _notices(plan: PlanDocument, figures: Figures) -> Iterator[Notice]:
    """The warnings in the plan's order, those of one severity after another in one box."""
    for severity, warnings in groupby(plan["warnings"], lambda warning: warning["severity"]):
        items = (
            NoticeItem(
                prose(_told(warning)),
                figures.refs(warning["source"], *warning.get("more_sources", ())),
            )
            for warning in warnings
        )
        yield Notice(_WORD[severity], tuple(items))


def _told(warning: Json) -> str:
    """A warning; of what is grave also whose end it is, and of a stop how it is mended."""
    said: str = warning["message"]
    if warning["severity"] == "info":
        return said
    end = _END.match(warning["pointer"])
    if end is not None and not said.startswith("End "):
        said = f"End {end[1]}: {said}"
    if warning["severity"] == "stop":
        said += f" To mend it: {register()[warning['code']].fix}"
    return said


def _tools(tools: Sequence[Json]) -> tuple[str, ...]:
    """Each tool once, with the ends that it is for."""
    ends: dict[tuple[str, str], list[str]] = {}
    for tool in tools:
        length = f" {tool['length']['text']}" if tool["length"] is not None else ""
        of = ends.setdefault((f"{sentence(tool['name'])}{length}", tool["detail"]), [])
        if tool["end"] is not None:
            of.append(tool["end"])
    return tuple(prose(f"{name}{_for_ends(of)}: {detail}") for (name, detail), of in ends.items())


def _for_ends(ends: Sequence[str]) -> str:
    if len(ends) > 1:
        return ", for each end"
    return f", end {ends[0]}" if ends else ""


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
