"""The work in its order: steps, each with the marks that are made in it, and the taper."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal

from tuckmark.render.alike import MAKES_MARKS, each_end, paired_steps
from tuckmark.render.counts import counts_of
from tuckmark.render.sheet.figures import Figures, Json, plain
from tuckmark.render.sheet.model import MarkGroup, MarkRow, StepRow
from tuckmark.render.tolerance import tolerance_words
from tuckmark.render.view import PlanDocument
from tuckmark.render.words import prose, words

_MEASURES: Final = "measure"
#: a fid is laid off in quarters; a distance of other fids is laid off with the tape alone
_FID_PARTS: Final = 4.0
_CLAUSES: Final = "; "
_NONE: Final = "\u2013"
_ON: Final = {"strand": "each strand", "cover": "the cover", "core": "the core", "rope": "the rope"}


def steps(plan: PlanDocument, figures: Figures) -> tuple[StepRow, ...]:
    """Every step with the marks it makes; what both ends share is told once.

    Raises:
        LookupError: a mark that no step makes, which the sheet would not show.
    """
    pairs = paired_steps(plan)
    second = set(pairs.values())
    making = _Marks(plan, figures)
    both = {"a", "b"} <= {step["end"] for step in plan["steps"]}
    rows = tuple(
        _step(step, pairs.get(step["n"]), making, lettered=both)
        for step in plan["steps"]
        if step["n"] not in second
    )
    made = {name for step in plan["steps"] for name in making.made_in(step)}
    if left := [mark["id"] for mark in plan["marks"] if mark["id"] not in made]:
        raise LookupError(f"no step makes the marks {', '.join(left)}")
    return rows


def first(plan: PlanDocument) -> str:
    """What must be measured before anything is marked; empty where nothing is."""
    found: list[int] = []
    for step in plan["steps"]:
        if step["action"] == MAKES_MARKS:
            break
        if step["action"] == _MEASURES:
            found.append(step["n"])
    if not found or not plan["marks"]:
        return ""
    name = "step" if len(found) == 1 else "steps"
    numbers = " and ".join(map(str, found))
    return (
        f"Do {name} {numbers} first. Cut and marks stand only if the rope measures as the plan "
        "assumes."
    )


def numbers_note(steps: Iterable[StepRow]) -> str:
    """How to read a step that is told of both ends; empty where there is none."""
    if all(len(step.numbers) == 1 for step in steps):
        return ""
    return (
        "Two numbers: the same step at end a and at end b. The numbers give the order of work; the "
        "letter at a box is its end."
    )


def tolerance_note(plan: PlanDocument) -> str:
    """What to say where marks have no tolerance; empty where all have."""
    if all(mark["tolerance"] is not None for mark in plan["marks"]):
        return ""
    return (
        "Where a mark says nothing of a tolerance, nothing that is given limits it: set it as "
        "finely as its distance is printed."
    )


class _Marks:
    """The marks of a plan as rows."""

    def __init__(self, plan: PlanDocument, figures: Figures) -> None:
        self._marks: Mapping[str, Json] = {mark["id"]: mark for mark in plan["marks"]}
        self._counts = counts_of(plan["marks"])
        self._figures = figures

    def made_in(self, step: Json) -> Sequence[str]:
        """Ids of the marks that a step makes, in its order."""
        names: Sequence[str] = step["marks"] if step["action"] == MAKES_MARKS else ()
        return names

    def groups(self, step: Json, *, each: bool) -> Iterator[MarkGroup]:
        """The marks that a step makes, by the part that they are on.

        Args:
            step: as published.
            each: whether it is told of both ends.
        """
        found: dict[tuple[str, str], list[str]] = {}
        for name in self.made_in(step):
            mark = self._marks[name]
            found.setdefault((mark["end"], mark["part"]), []).append(name)
        for (end, part), names in found.items():
            of = "Each end" if each else f"End {end}"
            title = f"{of}, on {_ON.get(part, part)}"
            opens: Literal["left", "right"] = "right" if end == "b" and not each else "left"
            yield _grouped(title, opens, tuple(self._rows(names)))

    def _rows(self, names: Sequence[str]) -> Iterator[MarkRow]:
        """One row a place: marks that are one mark share theirs."""
        for name in names:
            if self._marks[name]["same_as"] not in names:
                more = [other for other in names if self._marks[other]["same_as"] == name]
                yield self._row(name, more)

    def _row(self, name: str, more: Sequence[str]) -> MarkRow:
        mark = self._marks[name]
        start = mark["from"]
        origin = self._marks[start]["name"] if start in self._marks else words(start)
        return MarkRow(
            name=mark["name"],
            shape=mark["shape"],
            distance=self._figures.distance(mark["distance"]),
            kind=f"{mark['shape']}, from {origin}",
            also=", ".join(self._marks[other]["name"] for other in more),
            notes=tuple(prose(note) for note in self._notes(name, more)),
        )

    def _notes(self, name: str, more: Sequence[str]) -> Iterator[str]:
        mark = self._marks[name]
        if name in self._counts:
            yield self._counts[name]
        elif mark["fids"] and (mark["fids"] * _FID_PARTS).is_integer():
            yield f"{plain(mark['fids'])} {'fid' if mark['fids'] == 1 else 'fids'}"
        for other in (name, *more):
            said = tolerance_words(self._marks[other]["tolerance"])
            if said:
                yield said if other == name else f"{self._marks[other]['name']}: {said}"
        if mark["same_as"] is not None and not more:
            yield f"same place as {self._marks[mark['same_as']]['name']}: one mark for both"
        yield mark["purpose"]
        for other in more:
            yield f"{self._marks[other]['name']}: {self._marks[other]['purpose']}"


def _grouped(title: str, opens: Literal["left", "right"], rows: tuple[MarkRow, ...]) -> MarkGroup:
    """Marks under their title; what all say alike is said there, once."""
    if len(rows) == 1:
        return MarkGroup(title, "", opens, rows)
    common = []
    if len({row.kind for row in rows}) == 1:
        common.append(rows[0].kind)
        rows = tuple(replace(row, kind="") for row in rows)
    clauses = [note.split(_CLAUSES) for row in rows for note in row.notes[-1:]]
    if len({clause[0] for clause in clauses}) == 1 and all(len(clause) > 1 for clause in clauses):
        common.append(f"each {clauses[0][0]}")
        rows = tuple(
            replace(row, notes=(*row.notes[:-1], *clause[1:]))
            for row, clause in zip(rows, clauses, strict=True)
        )
    return MarkGroup(title, _CLAUSES.join(common), opens, rows)


def _step(step: Json, like: int | None, making: _Marks, *, lettered: bool) -> StepRow:
    """One row.

    Args:
        step: as published.
        like: number of the step at end b that it is told for as well.
        making: the marks.
        lettered: whether steps are done at both ends, so that each must say at which.
    """
    own = (step["end"] or "") if lettered else ""
    text, caution = step["text"], step.get("caution", "")
    if like is not None:
        text, caution = (each_end(said, step["end"]) for said in (text, caution))
    return StepRow(
        numbers=(step["n"],) if like is None else (step["n"], like),
        boxes=(own,) if like is None else ("a", "b"),
        text=prose(text),
        caution=prose(caution),
        marks=tuple(making.groups(step, each=like is not None)),
    )
