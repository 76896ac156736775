"""What a tag says, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.notices import register
from tuckmark.render import qr
from tuckmark.render.plan_json import PRINTED_DIGITS
from tuckmark.render.view import PlanDocument, not_as_printed
from tuckmark.render.words import printable, prose, sentence, words

_BETWEEN: Final[Mapping[str, str]] = {
    "bearing_points": "between bearing points",
    "pin_centres": "between pin centres",
    "throats": "between throats",
}
_BASES: Final[Mapping[str, str]] = {"unknown": "not said whether spliced"}
_NOT_AS_PRINTED: Final = "NOT THE PLAN THAT WAS PRINTED"
_SEVERITIES: Final = {"stop": "STOP", "warn": "CHECK", "info": "NOTE"}


@dataclass(frozen=True, slots=True)
class Figure:
    """A number and what is said of it; without the number, why there is none."""

    number: str
    said: str


@dataclass(frozen=True, slots=True)
class Content:
    """A tag's words.

    Attributes:
        order: number of the order.
        item: of the order; may be empty.
        description: of the job; may be empty.
        rope: size, fibre, construction.
        length: finished, with its state.
        splices: what is made at each end, or of the join.
        limit: working limit with its basis.
        severity: of the worst warning, and how many there are.
        warning: the worst; may be empty.
        titled: the same in a few words; may be empty.
        leads: whether it stands before all else.
        plan: the first digits of the plan's digest.
        no_address: why there is no code, where there is no address to print.
    """

    order: str
    item: str
    description: str
    rope: str
    length: Figure
    splices: str
    limit: Figure
    severity: str
    warning: str
    titled: str
    leads: bool
    plan: str
    no_address: str

    @property
    def job(self) -> str:
        """Order and item in one line."""
        return f"{self.order} / {self.item}" if self.item else self.order


def content(plan: PlanDocument) -> Content:
    """The words of a plan's tag."""
    job = plan["job"]
    severity, worst, titled = _worst(plan)
    return Content(
        order=printable(job["order"] or "") or "Splice",
        item=printable(job["item"] or ""),
        description=printable(job["description"] or ""),
        rope=_rope(plan["rope"]),
        length=_length(plan),
        splices=_splices(plan),
        limit=_limit(plan["strength"]),
        severity=severity,
        warning=worst,
        titled=titled,
        leads=not_as_printed(plan),
        plan=plan["digest"].removeprefix("sha256:")[:PRINTED_DIGITS],
        no_address=qr.why_no_qr(None, packable="printed" in plan["links"]),
    )


def _rope(rope: Mapping[str, Any]) -> str:
    fibre = words(rope["fibre"])
    construction = words(rope["construction"])
    return f"{rope['diameter']['text']} {fibre}, {construction}"


def _length(plan: PlanDocument) -> Figure:
    lengths = plan["lengths"]
    finished = lengths["finished"]
    if finished is None:
        return Figure("", f"Finished length not planned: {lengths['reasons']['finished']}.")
    state, between = words(lengths["state"]), lengths["between"]
    said = f"finished, {state}, {_BETWEEN.get(between, words(between))}"
    inside = plan.get("join", {}).get("laid_flat_inside")
    if inside is not None:
        said += f"; inside, laid flat: {prose(inside['text'])}"
    return Figure(finished["text"], said)


def _splices(plan: PlanDocument) -> str:
    if "join" in plan:
        return sentence(words(plan["join"]["splice"]))
    made = {end: words(figures["splice"]) for end, figures in plan["ends"].items()}
    if len(set(made.values())) == 1:
        return f"Both ends: {next(iter(made.values()))}"
    return sentence(", ".join(f"end {end}: {splice}" for end, splice in made.items()))


def _limit(strength: Mapping[str, Any]) -> Figure:
    """The basis is what the limit is reckoned from, so that nobody takes it for more."""
    limit = strength["working_limit"]
    if limit is None:
        return Figure("", f"No working limit: {strength['reasons']['working_limit']}.")
    factor = strength["design_factor"]["value"]
    held = f"{strength['assembly']['text']} for {strength['of']}"
    basis = strength["basis"]
    rope = f"{strength['breaking']['text']}, {_BASES.get(basis, basis)}"
    said = f"working limit: {held} \u00f7 design factor {factor:g}; breaking strength {rope}"
    return Figure(limit["text"], said)


def _worst(plan: PlanDocument) -> tuple[str, str, str]:
    """How grave the worst warning is, its sentence, and its title."""
    warnings = plan["warnings"]
    if not_as_printed(plan):  # in the words that are never shortened
        return f"{_NOT_AS_PRINTED} ({_count(warnings)}):", "compare the two.", ""
    for severity, word in _SEVERITIES.items():
        of_kind = [warning for warning in warnings if warning["severity"] == severity]
        if of_kind:
            title = register()[of_kind[0]["code"]].title
            return f"{word} ({_count(warnings)}):", of_kind[0]["message"], title
    return "No warnings.", "", ""


def _count(warnings: Sequence[Mapping[str, Any]]) -> str:
    return f"1 of {len(warnings)}" if len(warnings) > 1 else "the only one"
