"""The marks in the order in which they are made, with what is needed to make them."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from tuckmark.render.sheet.figures import Figures, Json, plain
from tuckmark.render.sheet.model import Figure, MarkGroup, MarkRow, Taper, TaperRow
from tuckmark.render.sheet.words import prose, words
from tuckmark.render.tolerance import tolerance_words
from tuckmark.render.view import PlanDocument

_MAKES_MARKS: Final = "mark"
_NONE: Final = "\u2013"
_ON: Final = {"strand": "each strand", "cover": "the cover", "core": "the core", "rope": "the rope"}


def groups(plan: PlanDocument, figures: Figures) -> tuple[MarkGroup, ...]:
    """The marks by the step that makes them, in that step's order."""
    marks: Mapping[str, Json] = {mark["id"]: mark for mark in plan["marks"]}
    made_by = _made_by(plan["steps"])
    found: dict[str, list[MarkRow]] = {}
    for name in sorted(marks, key=lambda name: made_by.get(name, (len(plan["steps"]), 0))):
        mark = marks[name]
        step = plan["steps"][made_by[name][0]]["n"] if name in made_by else None
        title = f"End {mark['end']}, on {_ON.get(mark['part'], mark['part'])}"
        if step is not None:
            title += f" (step {step})"
        found.setdefault(title, []).append(_row(mark, marks, figures))
    return tuple(MarkGroup(title, tuple(rows)) for title, rows in found.items())


def tolerance_note(plan: PlanDocument) -> str:
    """What to say where marks have no tolerance; empty where all have."""
    if all(mark["tolerance"] is not None for mark in plan["marks"]):
        return ""
    return (
        f"{_NONE} in the column of tolerances: nothing that is given limits that mark. Set it as "
        "finely as its distance is printed."
    )


def tapers(plan: PlanDocument, figures: Figures) -> tuple[Taper, ...]:
    """The taper of each tail that has one by pairs; one for both tails where they are alike."""
    if "join" in plan:
        return _tapers({"Both tails": plan["join"]}, figures)
    found = _tapers({f"Tail of end {name}": end for name, end in plan["ends"].items()}, figures)
    if len(found) > 1 and len({taper.rows for taper in found}) == 1:
        return (Taper("Both tails", found[0].rows),)
    return found


def _made_by(steps: Iterable[Json]) -> dict[str, tuple[int, int]]:
    """Place of the step that makes a mark, and of the mark in it; else of the first that uses it.

    Args:
        steps: in order.
    """
    numbered = list(enumerate(steps))
    making = [pair for pair in numbered if pair[1]["action"] == _MAKES_MARKS]
    found: dict[str, tuple[int, int]] = {}
    for place, step in (*making, *numbered):
        for n, mark in enumerate(step["marks"]):
            found.setdefault(mark, (place, n))
    return found


def _row(mark: Json, marks: Mapping[str, Json], figures: Figures) -> MarkRow:
    tolerance = mark["tolerance"]
    counted = []
    for count, one in ((mark["picks"], "pick"), (mark["fids"], "fid")):
        if count is not None:
            counted.append(f"{plain(count)}\u00a0{one if count == 1 else one + 's'}")
    purpose = mark["purpose"]
    if mark["same_as"] is not None:
        purpose = f"same place as {marks[mark['same_as']]['name']}: one mark for both; {purpose}"
    start = mark["from"]
    return MarkRow(
        name=mark["name"],
        shape=mark["shape"],
        distance=figures.figure(mark["distance"]),
        measured_from=marks[start]["name"] if start in marks else words(start),
        tolerance=_NONE if tolerance is None else prose(tolerance_words(tolerance)),
        counted=tuple(counted),
        purpose=prose(purpose),
    )


def _tapers(trees: Mapping[str, Json], figures: Figures) -> tuple[Taper, ...]:
    return tuple(
        Taper(title, tuple(_pairs(tree["taper"]["steps"], tree["taper"]["source"], figures)))
        for title, tree in trees.items()
        if tree.get("taper", {}).get("steps")
    )


def _pairs(steps: Iterable[Any], source: str, figures: Figures) -> Iterable[TaperRow]:
    for n, step in enumerate(steps, 1):
        at: Figure = figures.figure(step["at"], source)
        picks = _NONE if step["picks"] is None else plain(step["picks"])
        yield TaperRow(n, picks, at, step["strands_cut"], step["strands_left"])
