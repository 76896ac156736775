"""What the record says, in the order it is read: plain texts, ready to be set in any form."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.render.figures import Object
from tuckmark.render.words import words
from tuckmark.writing import decimal_text

_WHOLE: Final = {
    "pass": "PASS",
    "fail": "FAIL",
    "undecided": "UNDECIDED",
    "refer_to_competent_person": "REFER TO A COMPETENT PERSON",
}
_ROW: Final = {
    "pass": "within limit",
    "fail": "FAILS",
    "undecided": "undecided",
    "no_tolerance_given": "no tolerance given",
    "refer_to_competent_person": "COMPETENT PERSON",
}
_STATES: Final = {"as_spliced": "as spliced", "after_setting": "after setting", None: "not said"}
BOXES: Final = ("Measured by", "Date", "Signature")


@dataclass(frozen=True, slots=True)
class Line:
    """One measurement, as it is read across.

    Attributes:
        source: where the limit comes from; empty where there is none.
        grave: whether its verdict must be seen first.
    """

    name: str
    planned: str
    measured: str
    limit: str
    source: str
    verdict: str
    do: str
    grave: bool


@dataclass(frozen=True, slots=True)
class Record:
    """The whole record.

    Attributes:
        facts: name and value of what it is of: job, piece, rope, splices.
        marks: names of what makes it traceable: digest, versions.
    """

    title: str
    page: str
    verdict: str
    reasons: tuple[str, ...]
    stops: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    lines: tuple[Line, ...]
    not_checked: tuple[str, ...]
    example: tuple[str, ...]
    statement: str
    boxes: tuple[str, ...]
    sources: tuple[str, ...]
    marks: tuple[tuple[str, str], ...]


def record_of(found: Object, page: str) -> Record:
    """The record of an inspection.

    Args:
        found: the inspection as published.
        page: ``a4`` or ``letter``.
    """
    job = found["job"]
    named = " / ".join(str(job[name]) for name in ("order", "item") if job[name] is not None)
    return Record(
        title=f"As-built record {named}".rstrip(),
        page=page,
        verdict=_WHOLE[found["verdict"]],
        reasons=tuple(found["reasons"]),
        stops=tuple(stop["message"] for stop in found["stops"]),
        facts=tuple(_facts(found)),
        lines=tuple(_line(row, found["sources"]) for row in found["rows"]),
        not_checked=tuple(item["name"] for item in found["not_checked"]),
        example=tuple(_example(found["example_limits"])),
        statement=found["statement"],
        boxes=BOXES,
        sources=tuple(_sources(found)),
        marks=(
            ("Plan", found["digest"]),
            ("Engine", found["made_with"]["engine"]),
            ("Tables", found["made_with"]["tables"]),
        ),
    )


def _facts(found: Object) -> Iterator[tuple[str, str]]:
    job, rope = found["job"], found["rope"]
    for label, name in (("Order", "order"), ("Item", "item"), ("What", "description")):
        if job[name] is not None:
            yield label, job[name]
    for name, value in job["references"].items():
        yield name, value
    yield "Piece", found["piece"] or f"not said, of {job['quantity']}"
    made_of = f"{words(rope['construction'])}, {words(rope['fibre'])}"
    yield "Rope", f"{made_of}, {rope['diameter']['text']}"
    for end, splice in found["splices"].items():
        yield "Join" if end == "join" else f"End {end}", words(splice)
    yield "Length measured", _STATES[found["state"]]
    yield "Hand tension", f"about {rope['hand_tension']['text']}, for every length here"


def _line(row: Mapping[str, Any], sources: Mapping[str, Any]) -> Line:
    limit = row["tolerance"]
    return Line(
        name=row["name"],
        planned=_figure(row["planned"]),
        measured=_measured(row["measured"]),
        limit=_limit(limit),
        source=_cited(sources[limit["source"]]) if limit else "",
        verdict=_ROW[row["verdict"]],
        do=row["do"],
        grave=row["verdict"] in ("fail", "refer_to_competent_person"),
    )


def _figure(planned: Mapping[str, Any] | None) -> str:
    if planned is None:
        return ""
    return str(planned["count"]) if "count" in planned else str(planned["text"])


def _measured(measured: Mapping[str, Any]) -> str:
    if "found" in measured:
        return "; ".join(measured["found"]) or "looked for, none found"
    return str(measured["count"]) if "count" in measured else str(measured["given"])


def _limit(limit: Mapping[str, Any] | None) -> str:
    if limit is None:
        return ""
    bound = "\u00b1" if limit["kind"] == "plus_minus" else "at least"
    return f"{bound} {_figure(limit)}"


def _example(example: Mapping[str, Any] | None) -> Iterator[str]:
    if example is None:
        return
    yield example["note"]
    for limit in example["limits"]:
        low, value = decimal_text(limit["low"], 2), decimal_text(limit["value"], 2)
        if limit["high"] is None:
            yield f"{limit['what']}: at least {low} {limit['unit']}"
        else:
            high = decimal_text(limit["high"], 2)
            yield f"{limit['what']}: {value} {limit['unit']}, from {low} to {high}"


def _sources(found: Object) -> Iterator[str]:
    for source in found["sources"].values():
        if source["kind"] != "given":
            yield f"{_cited(source)} ({source['confidence']})"


def _cited(source: Mapping[str, Any]) -> str:
    if source["kind"] == "given":
        return "given in the spec"
    return f"{source['title']}, {source['section']}"
