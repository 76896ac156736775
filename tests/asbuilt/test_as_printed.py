"""Whoever works to the printed figure keeps the rule it was printed for.

No source: what is asked here is that the service agrees with its own paper.
"""

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from tuckmark.asbuilt import requests
from tuckmark.asbuilt.items import Item, items_of
from tuckmark.families import REGISTRY
from tuckmark.pipeline import Made, Pipeline, Rejected
from tuckmark.plan import Length
from tuckmark.units import base_value

Json = dict[str, Any]

DISPLAYS: tuple[Json, ...] = (
    {"units": "metric"},
    {"units": "inch"},
    {"units": "inch", "inch_fraction": 8},
    {"units": "inch", "inch_fraction": 64},
)
#: none of them, times a rule's diameters or fids, is whole in both systems
DIAMETERS = ("6 mm", "9 mm", "11 mm", "14 mm", "19 mm", "7/16 in", "3/4 in", "1 1/8 in")
SPLICES = tuple(name for name in REGISTRY if name != "plain")
#: a core's bury hangs on its own fid, not on the throat of the cover
BURIED_BY_MARK = tuple(
    name for name, family in REGISTRY.items() if family.bury_limits and name != "core_bury_eye"
)
#: what of the finished splice a mark decides
SET_BY = {"buried": "tail_throat", "tail": "strand_tail"}
COMPLAINTS = ("stop", "warn")


def specs_of(splice: str) -> Iterator[Json]:
    """A family's smallest spec in many sizes and every display, in both classes of fibre."""
    for diameter in DIAMETERS:
        for display in DISPLAYS:
            spec = copy.deepcopy(REGISTRY[splice].minimal_spec)
            assert isinstance(spec["rope"], dict)
            spec["rope"]["size"] = {"diameter": diameter}
            spec["display"] = display
            yield spec
            if spec["rope"]["construction"] == "single_braid_12":
                for fibre in ({"fibre": "hmpe", "coating": "coated"}, {"fibre": "polyester"}):
                    other = copy.deepcopy(spec)
                    assert isinstance(other["rope"], dict)
                    other["rope"] |= fibre
                    yield other


def with_tolerance(specs: Iterator[Json]) -> Iterator[Json]:
    """The same, each once more with a length that has to be kept, where a splice is at an end."""
    for spec in specs:
        yield spec
        if "ends" in spec:
            yield spec | {"length": {"finished": "60 m", "tolerance": "20 mm"}}


def planned(pipeline: Pipeline, specs: Iterator[Json]) -> Iterator[tuple[Json, Json]]:
    """Those that can be made at all, each with its plan."""
    for spec in specs:
        try:
            yield spec, pipeline.plan(copy.deepcopy(spec))
        except Rejected:
            continue


def complaints(plan: Json) -> list[str]:
    """What a plan warns of or stops at."""
    found = (warning["code"] for warning in plan["warnings"] if warning["severity"] in COMPLAINTS)
    return sorted(found)


def lengths_of(made: Made, pipeline: Pipeline) -> Iterator[tuple[Item, float]]:
    """The lengths of the finished splices that can be judged, each as planned."""
    for item in items_of(made, None, pipeline):
        if item.limit is not None and isinstance(item.planned, Length) and "." in item.what:
            yield item, item.planned.mm


def verdict_of(pipeline: Pipeline, spec: Json, item: Item, measured: Any) -> tuple[str, str]:
    end, _, part = item.what.partition(".")
    record = requests.inspected(
        pipeline, {"spec": spec, "measured": {"ends": {end: {part: measured}}}}
    )
    (row,) = record.rows
    return row.verdict, row.do


@pytest.mark.parametrize("splice", [*BURIED_BY_MARK, "core_bury_eye"])
def test_the_printed_bury_typed_back_is_no_new_complaint(pipeline: Pipeline, splice: str) -> None:
    tried = 0
    for spec, plan in planned(pipeline, specs_of(splice)):
        place = spec["join"] if "join" in spec else spec["ends"]["a"]
        figures = plan["join"] if "join" in spec else plan["ends"]["a"]
        place["bury"] = figures["bury"]["text"]
        assert complaints(pipeline.plan(copy.deepcopy(spec))) == complaints(plan), spec
        tried += 1
    assert tried > len(DIAMETERS)


@pytest.mark.parametrize("splice", SPLICES)
def test_a_splice_of_the_printed_figures_passes(pipeline: Pipeline, splice: str) -> None:
    for spec, _ in planned(pipeline, specs_of(splice)):
        made = pipeline.made(copy.deepcopy(spec))
        for item, planned_mm in lengths_of(made, pipeline):
            found = verdict_of(pipeline, spec, item, made.write.write(planned_mm))
            assert found[0] == "pass", (spec, item.what, found)


@pytest.mark.parametrize("splice", [*BURIED_BY_MARK, "tucked_eye", "tucked_short"])
def test_a_splice_at_every_printed_minus_passes(pipeline: Pipeline, splice: str) -> None:
    """Each mark set from its printed distance, as much nearer as the paper lets it be."""
    judged = 0
    for spec, plan in planned(pipeline, with_tolerance(specs_of(splice))):
        made = pipeline.made(copy.deepcopy(spec))
        marks = {mark["id"]: mark for mark in plan["marks"]}
        exact_mm = {mark.id: mark.distance.mm for mark in made.plan.marks}
        for item, planned_mm in lengths_of(made, pipeline):
            end, _, part = item.what.partition(".")
            mark = marks[f"{end}.{SET_BY[part]}"]
            limits = mark["tolerance"] or {}
            if limits.get("minus") is None:
                continue
            for set_mm in (
                base_value(mark["distance"]["text"]) - base_value(limits["minus"]["text"]),
                mark["distance"]["mm"] - limits["minus"]["mm"],
            ):
                short_mm = exact_mm[mark["id"]] - set_mm
                measured = {"value": round(planned_mm - short_mm, 3), "unit": "mm"}
                found = verdict_of(pipeline, spec, item, measured)
                assert found[0] == "pass", (spec, item.what, mark, found)
                judged += 1
    assert judged > len(DIAMETERS)
