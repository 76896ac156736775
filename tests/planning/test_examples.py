"""The published examples: each a good job that a splicer could start on."""

import re

import pytest
from casebook import EXAMPLES, example

from tuckmark.pipeline import default_pipeline

NAMES = sorted(path.stem for path in EXAMPLES.glob("*.json"))


def test_there_are_at_least_eight() -> None:
    assert len(NAMES) >= 8


@pytest.mark.parametrize("name", NAMES)
def test_example_plans_without_a_stop(name: str) -> None:
    plan = default_pipeline().plan(example(name))
    assert plan["usable"] is True
    assert [warning for warning in plan["warnings"] if warning["severity"] == "stop"] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_spec_that_plans_is_checked_without_an_error(name: str) -> None:
    checked = default_pipeline().check(example(name))
    assert (checked["valid"], checked["plannable"], checked["usable"]) == (True, True, True)
    assert (checked["errors"], checked["error_count"], checked["stops"]) == ([], 0, [])


def test_from_end_a_a_mark_of_end_b_lies_its_distance_before_the_cut() -> None:
    spec = example("towing-pendant")
    spec["ends"] = {"both": spec["ends"]["a"]}
    plan = default_pipeline().plan(spec)
    cut_mm = plan["lengths"]["cut"]["mm"]
    ranged = [mark for mark in plan["marks"] if mark["end"] == "b" and "low_mm" in mark["distance"]]
    assert ranged
    for mark in ranged:  # each figure is printed to a tenth
        there, from_a = mark["distance"], mark["from_a"]
        for figure, turned in (("mm", "mm"), ("low_mm", "high_mm"), ("high_mm", "low_mm")):
            assert from_a[figure] == pytest.approx(cut_mm - there[turned], abs=0.15)


@pytest.mark.parametrize(
    ("given", "kn"),
    [
        # 1 lbf is 4.4482216152605 N (NIST SP 811, appendix B.8): by hand
        ("100001 lbf", 444.826609748),
        ("10000.1 kgf", 98.067480665),  # 1 kgf is 9.80665 N (the same)
    ],
)
def test_a_force_is_read_to_a_millionth_of_a_newton(given: str, kn: float) -> None:
    spec = example("towing-pendant")
    spec["rope"]["breaking_strength"] = {"force": given, "basis": "unspliced"}
    read = {item["pointer"]: item for item in default_pipeline().plan(spec)["read_as"]}
    assert read["/rope/breaking_strength/force"]["kn"] == kn


@pytest.mark.parametrize("name", NAMES)
def test_example_is_named_and_numbered_like_the_others(name: str) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", name)
    order = example(name).get("job", {}).get("order")
    assert order is None or re.fullmatch(r"LW-2\d{3}", order)


def test_no_two_examples_are_one_job() -> None:
    jobs = [job for name in NAMES if "order" in (job := example(name).get("job", {}))]
    told = {(job["order"], job.get("item")) for job in jobs}
    assert len(told) == len(jobs)
