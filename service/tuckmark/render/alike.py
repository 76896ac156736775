"""What is alike at both ends of a rope, so that it can be told once."""

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

Json = Mapping[str, Any]

#: the action of a step that makes its marks; others use theirs
MAKES_MARKS: Final = "mark"
#: of a mark, what differs between ends that are alike
_OF_ITS_END: Final = frozenset({"id", "end", "from", "from_a", "same_as"})
_END: Final = re.compile(r"\b([Ee])nd [ab]\b")


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


def each_end(text: str) -> str:
    """A sentence about one end, said of each: ``end b`` becomes ``each end``."""
    return _END.sub(lambda found: "Each end" if found[1] == "E" else "each end", text)


def paired_steps(plan: Json) -> Mapping[int, int]:
    """For steps of end a, the step of end b that does the same with the same marks, by number.

    Pairs lie in the order of the work at either end, and no step of both ends lies between the
    two of a pair: who does the steps by their numbers does them in the plan's order.
    """
    marks = {mark["id"]: _mark(mark) for mark in plan["marks"]}
    steps: Sequence[Json] = plan["steps"]
    common = [step["n"] for step in steps if step["end"] is None]
    left = [(step["n"], _step(step, marks)) for step in steps if step["end"] == "b"]
    pairs: dict[int, int] = {}
    for step in steps:
        if step["end"] != "a":
            continue
        done = _step(step, marks)
        at = next((i for i, (_, other) in enumerate(left) if other == done), None)
        if at is None or any(step["n"] < n < left[at][0] for n in common):
            continue
        pairs[step["n"]] = left[at][0]
        del left[: at + 1]
    return pairs


def _mark(mark: Json) -> Json:
    kept = {name: part for name, part in mark.items() if name not in _OF_ITS_END}
    own = {name: _own(mark[name]) for name in ("id", "from", "same_as")}
    return {**kept, **own}


def _own(name: str | None) -> str | None:
    """A mark's id without its end."""
    return None if name is None else name.removeprefix("a.").removeprefix("b.")


def _step(step: Json, marks: Json) -> list[Any]:
    """What is done in a step, whichever end it is done at; where it makes marks, at which places.

    A step that uses marks goes by their names.
    """
    texts = [each_end(step.get(name, "")) for name in ("text", "caution")]
    makes = step["action"] == MAKES_MARKS
    names = [marks[name] if makes else _own(name) for name in step["marks"]]
    return [step["action"], *texts, step["tools"], names]
