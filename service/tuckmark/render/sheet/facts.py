"""Facts of the plan as rows: whatever a family says, each figure under its own name."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from tuckmark.render.alike import ends_alike
from tuckmark.render.sheet.figures import Figures, Json, as_text
from tuckmark.render.sheet.model import Fact, Facts, Figure
from tuckmark.render.view import PlanDocument
from tuckmark.render.words import WORDS, prose, sentence, words

#: a branch with one of these is one figure
_LEAF: Final = frozenset({"mm", "kn", "kg", "deg", "value"})
#: read with the figures beside them
_BESIDE: Final = ("source", "reasons")
#: lengths that stand where it is said how long to cut
_TOLD_WITH_THE_CUT: Final = (
    "between", "state", "cut", "finished", "range", "total", "as_spliced", "after_setting",
)  # fmt: skip
#: each pair of the taper is a mark
_TOLD_WITH_THE_MARKS: Final = ("taper.steps",)
_NO_FIGURE: Final = Figure("\u2013")


class _Column:
    """The figures of one end by their labels, and what is said of them."""

    def __init__(self, figures: Figures, tree: Json, *, without: Sequence[str] = ()) -> None:
        self._figures = figures
        self.found: dict[str, Figure] = {}
        self.reasons: dict[str, str] = {}
        self.notes: dict[str, str] = {}
        self._without = without
        self._walk(tree, (), None)

    def _walk(self, tree: Json, path: tuple[str, ...], source: str | None) -> None:
        """Takes in a branch; what the whole branch comes from is named at its first figure."""
        source = tree.get("source", source)
        named = False
        for name, branch in tree.items():
            place = (*path, name)
            if name in _BESIDE or ".".join(place) in self._without:
                continue
            if branch is None:
                self.reasons[_label(place)] = tree.get("reasons", {}).get(name, "")
            elif isinstance(branch, Mapping) and not _LEAF & branch.keys():
                self._walk(branch, place, source)
            elif branch != []:
                figure = self._figure(branch, source)
                own = isinstance(branch, Mapping) and "source" in branch
                self.found[_label(place)] = (
                    replace(figure, refs=()) if named and not own else figure
                )
                named = named or not own
                if isinstance(branch, Mapping) and "note" in branch:
                    self.notes[_label(place)] = branch["note"]

    def _figure(self, branch: Any, source: str | None) -> Figure:
        if not isinstance(branch, list):
            return self._figures.figure(branch, source)
        parts = [as_text(self._figures.figure(part)) for part in branch]
        return Figure(", ".join(parts), refs=self._figures.refs(source))


def splices(plan: PlanDocument, figures: Figures) -> Facts:
    """What is made at each end, or of the join."""
    trees = {"": plan["join"]} if "join" in plan else plan["ends"]
    if ends_alike(plan):
        trees = {"": trees["a"]}
    columns = {
        name: _Column(figures, tree, without=_TOLD_WITH_THE_MARKS) for name, tree in trees.items()
    }
    return _facts(columns)


def lengths(plan: PlanDocument, figures: Figures) -> Facts:
    """The lengths of the whole assembly, and what the cut is made of."""
    allowance = plan["lengths"]["allowance"] or {}
    tree = {
        **plan["lengths"],
        "allowance": {name: part for name, part in allowance.items() if part["mm"]} or None,
    }
    told = [name for name in _TOLD_WITH_THE_CUT if tree[name] is not None]
    without = told if tree["cut"] is not None else ["range", "total"]
    return _facts({"": _Column(figures, tree, without=without)})


def strength(plan: PlanDocument, figures: Figures) -> Facts:
    """What the assembly is reckoned to hold."""
    return _facts({"": _Column(figures, plan["strength"])})


def _facts(columns: Mapping[str, _Column]) -> Facts:
    labels = dict.fromkeys(label for column in columns.values() for label in column.found)
    return Facts(
        heads=tuple(f"end {name}" for name in columns) if len(columns) > 1 else (),
        rows=tuple(
            Fact(label, tuple(column.found.get(label, _NO_FIGURE) for column in columns.values()))
            for label in labels
        ),
        notes=tuple(_notes(columns)),
    )


def _notes(columns: Mapping[str, _Column]) -> Iterator[str]:
    """One line for each thing said, with everything that it is said of, and of which end."""
    ends: dict[tuple[str, str], list[str]] = {}
    for end, column in columns.items():
        for label, text in (*column.notes.items(), *column.reasons.items()):
            ends.setdefault((text, label), []).append(end)
    said: dict[tuple[str, str], list[str]] = {}
    for (text, label), of in ends.items():
        only = f", end {of[0]}" if len(of) < len(columns) else ""
        said.setdefault((text, only), []).append(label)
    for (text, only), labels in said.items():
        names = sentence(", ".join(labels)) + only
        yield prose(f"{names}: {text}." if text else f"{names}: none.")


def _label(path: Sequence[str]) -> str:
    whole = ".".join(path)
    return words(whole) if whole in WORDS else " ".join(words(name) for name in path)
