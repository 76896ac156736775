"""A spec of every family, at its shortest and its longest, in both systems of units."""

import copy
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, Final

from tuckmark.families import REGISTRY
from tuckmark.pipeline import Rejected, default_pipeline

Json = dict[str, Any]

SPLICES: Final = tuple(name for name in REGISTRY if name != "plain")
UNITS: Final = ("metric", "inch")
#: families that give no length, so that none can be asked for
GUIDANCE: Final = ("plaited_eye", "plaited_end_to_end")
LONG: Final = "4321.987 m"
LONG_MM: Final = 4_321_987
JOB: Final = {
    "order": "LW-2399",
    "item": "14",
    "description": "quarter line with spare for the second berth, lighters Grebe and Shoveler, "
    "as discussed with the harbour master and to be made up on the quay",
    "quantity": 24,
}
WIDE_EYES: Final = {"inside_length": "9 m", "perimeter": "18 m"}


def minimal(name: str) -> Json:
    return copy.deepcopy(dict(REGISTRY[name].minimal_spec))


def back_splice_in_double_braid() -> Json:
    """The one family that makes other marks in another rope."""
    rope = {"construction": "double_braid", "fibre": "polyester", "size": {"diameter": "12 mm"}}
    return {"schema_version": "1.0", "rope": rope, "ends": {"a": {"splice": "back_splice"}}}


def at_both_ends(name: str) -> Json:
    """The minimal spec with a splice at either end."""
    spec = minimal(name)
    if "ends" in spec and "b" not in spec["ends"]:
        spec["ends"]["b"] = copy.deepcopy(spec["ends"]["a"])
    return spec


def of_length(spec: Json, mm: int) -> Json:
    """The same, as long as asked for in whatever way the family is asked."""
    spec = copy.deepcopy(spec)
    text = f"{mm} mm" if mm < 9_000_000 else f"{mm / 1000} m"
    join = spec.get("join")
    if join is None:
        spec["length"] = {"finished": text}
    elif "ropes" in join:
        join["ropes"] = [{"length": text}, {"length": text}]
    else:
        join["circumference"] = text
    return spec


def planned(spec: Json, units: str) -> Json:
    spec = {**copy.deepcopy(spec), "display": {"units": units}}
    return default_pipeline().plan(spec)


def least_mm(spec: Json) -> int:
    """The least whole number of millimetres for which there is a plan, by halving."""
    low, high = 1, LONG_MM
    while high - low > 1:
        middle = (low + high) // 2
        try:
            planned(of_length(spec, middle), "metric")
        except Rejected:
            low = middle
        else:
            high = middle
    return high


def longest(name: str) -> Json:
    """Both ends, the longest rope and the widest eyes."""
    spec = at_both_ends(name)
    if name not in GUIDANCE:
        spec = of_length(spec, LONG_MM)
    for end in spec.get("ends", {}).values():
        for key in WIDE_EYES.keys() & end.get("eye", {}).keys():
            end["eye"][key] = WIDE_EYES[key]
    return {**spec, "job": copy.deepcopy(JOB)}


@cache
def _least(name: str) -> int:
    return least_mm(at_both_ends(name))


def shortest(name: str) -> Json:
    """Both ends on the shortest rope that has a plan."""
    spec = at_both_ends(name)
    return spec if name in GUIDANCE else of_length(spec, _least(name))


MAKERS: Final[dict[str, Callable[[str], Json]]] = {
    "minimal": minimal,
    "shortest": shortest,
    "longest": longest,
}


def cases() -> Iterator[tuple[str, str, str]]:
    """Every family: as it is offered, and shortest and longest in both systems of units."""
    for name in (*SPLICES, "back_splice_in_double_braid"):
        yield name, "minimal", "metric"
        for length in ("shortest", "longest"):
            for units in UNITS:
                yield name, length, units


@cache
def plan_of(name: str, length: str, units: str) -> Json:
    """The plan of a case."""
    if name == "back_splice_in_double_braid":
        spec = back_splice_in_double_braid()
        if length == "longest":
            spec["ends"]["b"] = {"splice": "back_splice"}
            spec["length"] = {"finished": LONG, "between": "throats"}
        return planned(spec, units)
    return planned(MAKERS[length](name), units)


def stopped(plan: Json) -> Json:
    """The same plan with a warning that stops it, as a reader of the plan would meet it."""
    stop = {
        "code": "taken_for_a_test",
        "severity": "stop",
        "message": "The bury of 100 mm is shorter than the 240 mm that the rule asks for.",
        "pointer": "/ends/a",
        "value": None,
        "limit": None,
        "source": None,
    }
    return {**plan, "usable": False, "warnings": [stop, *plan["warnings"]]}
