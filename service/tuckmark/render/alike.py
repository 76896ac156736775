"""What is alike at both ends of a rope, so that it can be told once."""

import re
from collections.abc import Mapping
from itertools import groupby, pairwise, takewhile
from typing import Any, Final

Json = Mapping[str, Any]

#: the action of a step that makes its marks; others use theirs
MAKES_MARKS: Final = "mark"
#: what can be done at either end first
_ONLY_MARK: Final = frozenset({"prepare", MAKES_MARKS})
#: of a mark, what differs between ends that are alike
_OF_ITS_END: Final = frozenset({"id", "end", "from", "from_a", "same_as"})
_END: Final = re.compile(r"\b([Ee])nd ([ab])\b")


def ends_alike(plan: Json) -> bool:
    """Whether both ends have the same splice, figures and marks, each from its own bitter end.

    Args:
        plan: as published.
    """
    ends = plan.get("ends", {})
    if ends.keys() != {"a", "b"} or ends["a"] != ends["b"]:
        return False
    a, b = ([_mark(mark) for mark in plan["marks"] if mark["end"] == end] for end in "ab")
    return bool(a) and a == b


def each_end(text: str, own: str) -> str:
    """A sentence about one end, said of each: ``each end`` for its own, ``the other end``.

    Args:
        text: as published.
        own: the end it is said of, ``a`` or ``b``.
    """

    def said(found: re.Match[str]) -> str:
        words = "each end" if found[2] == own else "the other end"
        return words.capitalize() if found[1] == "E" else words

    return _END.sub(said, text)


def paired_steps(plan: Json) -> Mapping[int, int]:
    """For steps of end a, the step of end b that does the same with the same marks, by number.

    Only of a run of steps at end a and the run at end b right after it: both whole runs, if they
    are the same, or as far as they are the same from their beginning, if they only mark. Read in
    the order of end a's numbers, the steps of either end then stay in their order, and work at one
    end never waits for work at the other.
    """
    marks = {mark["id"]: _mark(mark) for mark in plan["marks"]}
    runs = [(end, list(run)) for end, run in groupby(plan["steps"], lambda step: step["end"])]
    pairs: dict[int, int] = {}
    for (end, run), (next_end, next_run) in pairwise(runs):
        if (end, next_end) != ("a", "b"):
            continue
        done, next_done = ([_step(step, marks) for step in each] for each in (run, next_run))
        same = takewhile(lambda two: two[0] == two[1], zip(done, next_done, strict=False))
        count = sum(1 for _ in same)
        if done == next_done or _ONLY_MARK.issuperset(step["action"] for step in run + next_run):
            pairs |= {run[i]["n"]: next_run[i]["n"] for i in range(count)}
    return pairs


def _mark(mark: Json) -> Json:
    kept = {name: part for name, part in mark.items() if name not in _OF_ITS_END}
    own = {name: _own(mark[name], mark["end"]) for name in ("id", "from", "same_as")}
    return {**kept, **own}


def _own(name: str | None, end: str) -> str | None:
    """A mark's id as seen from an end: ``own.tip_rest``, ``other.tip_rest``."""
    if name is None:
        return None
    of, _, mark = name.partition(".")
    return f"{'own' if of == end else 'other'}.{mark}" if of in ("a", "b") else name


def _step(step: Json, marks: Json) -> list[Any]:
    """What is done in a step, whichever end it is done at; where it makes marks, at which places.

    A step that uses marks goes by their names.
    """
    end = step["end"]
    texts = [each_end(step.get(name, ""), end) for name in ("text", "caution")]
    makes = step["action"] == MAKES_MARKS
    names = [marks[name] if makes else _own(name, end) for name in step["marks"]]
    return [step["action"], *texts, step["tools"], names]
