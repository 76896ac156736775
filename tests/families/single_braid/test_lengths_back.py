"""The cut length that a plan prints gives the finished length back, to the printed tenth."""

from typing import Any

from braid_specs import ends, joins, plan
from hypothesis import given, settings
from hypothesis import strategies as st

BOUNDED = settings(max_examples=40, deadline=None)
# the cut is printed to half a tenth, and so is the length that comes back
PRINTED_MM = 0.1 + 1e-9

Json = dict[str, Any]


def _there_and_back(spec: Json, wanted: Json, tenths: int) -> tuple[float, float]:
    """Finished length of a plan, and of the plan for the rope that it cuts."""
    there = plan(spec | wanted)["lengths"]
    bare = {name: value for name, value in wanted.items() if name != "length"}
    if "join" in bare:
        given = {"circumference", "measured"}
        bare["join"] = {name: what for name, what in bare["join"].items() if name not in given}
    between = {name: what for name, what in wanted.get("length", {}).items() if name != "finished"}
    back = plan(spec | bare | {"length": between | {"available": f"{there['cut']['mm']:.1f} mm"}})
    assert there["finished"]["mm"] == tenths / 10
    return there["finished"]["mm"], back["lengths"]["finished"]["mm"]


def _longer(spec: Json, extra: int) -> int:
    """Tenths of a millimetre, some way past the shortest that can be made."""
    return round(plan(spec)["lengths"]["shortest_workable"]["mm"] * 10) + 2000 + extra


@BOUNDED
@given(ends(), st.integers(0, 500_000), st.sampled_from(["bearing_points", "throats"]))
def test_ends(spec: Json, extra: int, between: str) -> None:
    tenths = _longer(spec, extra)
    wanted = {"length": {"finished": f"{tenths / 10:.1f} mm", "between": between}}
    there_mm, back_mm = _there_and_back(spec, wanted, tenths)
    assert abs(there_mm - back_mm) <= PRINTED_MM


@BOUNDED
@given(joins(), st.integers(0, 500_000))
def test_joins_and_loops(spec: Json, extra: int) -> None:
    tenths = _longer(spec, extra)
    mm = f"{tenths / 10:.1f} mm"
    if spec["join"]["splice"] == "endless_bury_loop":
        wanted: Json = {"join": spec["join"] | {"circumference": mm, "measured": "centre_line"}}
    else:
        wanted = {"length": {"finished": mm}}
    there_mm, back_mm = _there_and_back(spec, wanted, tenths)
    assert abs(there_mm - back_mm) <= PRINTED_MM
