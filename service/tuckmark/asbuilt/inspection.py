"""A finished piece against its plan: every row, the whole verdict, and what nobody checked.

The whole verdict is a pass only where everything that the plan lets be judged was measured and
keeps its limit. It certifies nothing: it says what was measured, by whoever signs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from tuckmark.asbuilt.items import Item, has_state, items_of
from tuckmark.asbuilt.judging import Row, damage_row, judged
from tuckmark.asbuilt.measured import Measured, Reading
from tuckmark.faults import Fault, Refused
from tuckmark.pipeline import Made, Pipeline

Whole = Literal["pass", "fail", "undecided", "refer_to_competent_person"]

_DAMAGE: Final = ("damage", "damage", "/measured/damage")
_NO_SUCH: Final = "Leave it out, or mend the spec: the piece must be held to the plan it is of."


@dataclass(frozen=True, slots=True)
class Unchecked:
    """One thing of the plan that nobody measured."""

    what: str
    name: str
    pointer: str


@dataclass(frozen=True, slots=True)
class Inspection:
    """One finished piece held against its plan.

    Attributes:
        reasons: why the whole verdict is what it is, gravest first.
    """

    made: Made
    measured: Measured
    rows: tuple[Row, ...]
    not_checked: tuple[Unchecked, ...]
    verdict: Whole
    reasons: tuple[str, ...]


def inspect(made: Made, measured: Measured, pipeline: Pipeline) -> Inspection:
    """Judge a finished piece.

    Args:
        made: the plan of the spec.
        measured: what was measured.
        pipeline: tables and families.

    Raises:
        Refused: ``state_not_in_plan``, or ``not_in_plan`` for each measurement that the plan knows
            nothing of.
    """
    if not has_state(made, measured.state):
        raise Refused((_no_state(made),))
    items = items_of(made, measured.state, pipeline)
    by_what = {item.what: item for item in items}
    strange = [reading for reading in measured.readings if reading.what not in by_what]
    if strange:
        raise Refused(tuple(_not_in_plan(reading, items, made) for reading in strange))
    found = {reading.what: reading for reading in measured.readings}
    rows = [judged(item, found[item.what], made.write) for item in items if item.what in found]
    missing = [item for item in items if item.what not in found]
    not_checked = [Unchecked(item.what, item.name, item.pointer) for item in missing]
    if measured.damage is None:
        not_checked.append(Unchecked(*_DAMAGE))
    else:
        rows.append(damage_row(measured.damage))
    needed = [item.name for item in missing if item.needed]
    if measured.damage is None:
        needed.append(_DAMAGE[1])
    verdict, reasons = _whole(made, rows, needed)
    return Inspection(made, measured, tuple(rows), tuple(not_checked), verdict, reasons)


def _whole(made: Made, rows: Sequence[Row], needed: Sequence[str]) -> tuple[Whole, tuple[str, ...]]:
    """The gravest of what was found decides; all of it is said."""
    found = [*_graver(made, rows), *_lighter(rows, needed)]
    if not found:
        return "pass", ("All that the plan lets be judged was measured and keeps its limit.",)
    return found[0][0], tuple(reason for _, reason in found)


def _graver(made: Made, rows: Sequence[Row]) -> Iterator[tuple[Whole, str]]:
    if not made.plan.usable:
        yield "fail", "The plan itself says stop: nothing made by it may be used."
    for row in rows:
        if row.verdict == "fail":
            yield "fail", f"Outside its limit: {row.name}."
    for row in rows:
        if row.verdict == "refer_to_competent_person":
            yield "refer_to_competent_person", f"For a competent person to judge: {row.name}."


def _lighter(rows: Sequence[Row], needed: Sequence[str]) -> Iterator[tuple[Whole, str]]:
    for row in rows:
        if row.verdict == "undecided":
            yield "undecided", f"Cannot be judged in this state: {row.name}."
        if row.verdict == "no_tolerance_given":
            yield "undecided", f"No tolerance is given for it: {row.name}."
    if needed:
        yield "undecided", f"Not checked: {'; '.join(needed)}."


def _no_state(made: Made) -> Fault:
    why = made.plan.lengths.reasons["after_setting"]
    return Fault(
        "/measured/state",
        "state_not_in_plan",
        f"The plan gives no length after setting to compare with: {why}.",
        allowed=("as_spliced",),
        given="after_setting",
        hint="Give rope.bedding_in in the spec, from the rope maker or a trial, or measure as "
        "spliced.",
    )


def _not_in_plan(reading: Reading, items: Sequence[Item], made: Made) -> Fault:
    """A measurement without a counterpart, with those that its end does have."""
    end = reading.what.partition(".")[0]
    known = tuple(item.what for item in items if item.what.partition(".")[0] == end)
    why = "The plan says nothing that this could be compared with."
    if reading.what == "finished":
        why = f"The plan gives no finished length: {made.plan.lengths.reasons['finished']}."
        known = tuple(item.what for item in items)
    return Fault(
        reading.pointer,
        "not_in_plan",
        why,
        allowed=known or "nothing at this end",
        given=reading.given,
        hint=_NO_SUCH,
    )
