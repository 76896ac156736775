"""How much rope to cut, how long it comes out, and what would make that surer."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tuckmark.render.sheet.figures import Figures, Json
from tuckmark.render.sheet.model import Cut, Fact, Figure
from tuckmark.render.view import PlanDocument, of_two_ropes
from tuckmark.render.words import prose, sentence, tension_text, words

_STATES: Final = ("as_spliced", "after_setting")
_AVAILABLE: Final = "/length/available"


def section(plan: PlanDocument, figures: Figures) -> Cut:
    """The rope that one assembly takes and the length that comes of it."""
    lengths = plan["lengths"]
    cut = lengths["cut"]
    if cut is None:
        reason = sentence(lengths["reasons"]["cut"])
        return Cut("No cut length", Figure(""), (prose(f"{reason}."),), (), _advice(plan))
    return Cut(
        label=_label(plan),
        figure=replace(figures.figure(cut), expect=""),  # it is cut to the figure printed
        lines=tuple(prose(line) for line in _lines(plan)),
        finished=tuple(_finished(plan, figures)),
        advice=_advice(plan),
    )


def along(between: str) -> str:
    """Where the finished length is measured, in words."""
    line = words(between)
    return f"along the {line}" if between.startswith("centre_line") else f"between the {line}"


def _label(plan: PlanDocument) -> str:
    if of_two_ropes(plan):
        return "Both ropes together"
    if any(read["pointer"] == _AVAILABLE for read in plan["read_as"]):
        return "Whole piece"
    return "Cut"


def _lines(plan: PlanDocument) -> Iterator[str]:
    tension = tension_text(plan["rope"]["hand_tension"])
    yield f"Along the centre line of the straight rope, under hand tension of {tension}."
    total = plan["lengths"]["total"]
    if total["quantity"] > 1:
        mass = f", {total['mass']['text']}" if total["mass"] else ""
        yield f"{total['quantity']} alike take {total['cut']['text']} in all{mass}."


def laid_flat(plan: PlanDocument) -> Json | None:
    """A loop's inside length laid flat, as it may have been ordered; None of anything else."""
    found: Json | None = plan.get("join", {}).get("laid_flat_inside")
    return found


def _finished(plan: PlanDocument, figures: Figures) -> Iterator[Fact]:
    lengths = plan["lengths"]
    asked = lengths["state"]
    for state in (asked, *(state for state in _STATES if state != asked)):
        if lengths[state] is not None:
            figure = figures.figure(lengths[state])
            label = words(state)
            if state == asked:
                label += f", {along(lengths['between'])}"
            yield Fact(label, (figure,))
            if state == asked and (inside := laid_flat(plan)) is not None:
                yield Fact("inside length of the loop laid flat", (figures.figure(inside),))


def _advice(plan: PlanDocument) -> tuple[str, ...]:
    return tuple(prose(advice["text"]) for advice in plan["advice"])
