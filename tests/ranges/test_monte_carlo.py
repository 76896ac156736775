"""Stated ranges against many ropes drawn from the ranges of the facts, one at a time made up.

The instructions stay; what comes out is computed for each rope by the whole way, all facts off
at once. The 2.5 and 97.5 percentiles are what a 95 % range states.
"""

import random

import pytest

from tuckmark.plan import Length

from .drawing import FAMILIES, PITCHES, Job, evenly, random_job
from .making import Facts, maker

ROPES = 2000
AGREE = 0.10
#: two of each family and way to know the pitch: 30 jobs, one end and both, as spliced and set
JOBS = [(family, pitch, n) for family in FAMILIES for pitch in PITCHES for n in range(2)]


@pytest.fixture(params=JOBS, ids=lambda job: f"{job[0]}, pitch {job[1]}, {job[2]}", scope="module")
def job(request: pytest.FixtureRequest) -> Job:
    family, pitch, n = request.param
    return random_job(random.Random(f"{family} {pitch} {n}"), family, pitch)  # noqa: S311 - no secret


def test_stated_ranges_are_the_percentiles_of_what_comes_out(job: Job) -> None:
    make = maker(job.spec, job.plan)
    nominal = make(Facts(**{name: its[1] for name, its in job.ranges.items()}))
    assert nominal is not None
    ropes = evenly(random.Random(23), job.ranges, ROPES)  # noqa: S311 - no secret
    made = [outcome for outcome in map(make, ropes) if outcome is not None]
    jammed = ROPES - len(made)  # of all ropes the steepest: they would take up the most
    assert jammed <= 0.001 * ROPES
    for name, stated in _stated(job).items():
        truth = sorted(getattr(outcome, name) for outcome in made)
        filled = [truth[-1] if name == "shortening_mm" else truth[0]] * jammed
        truth = sorted(truth + filled)
        low_mm, high_mm = stated.bounds_mm
        assert getattr(nominal, name) == pytest.approx(stated.mm, abs=1e-6), name
        below = stated.mm - truth[round(0.025 * ROPES)]
        above = truth[round(0.975 * ROPES)] - stated.mm
        assert stated.mm - low_mm == pytest.approx(below, rel=AGREE), name
        assert high_mm - stated.mm == pytest.approx(above, rel=AGREE), name


def test_the_jobs_are_of_many_kinds() -> None:
    jobs = [random_job(random.Random(f"{f} {p} {n}"), f, p) for f, p, n in JOBS]  # noqa: S311 - no secret
    assert {len(job.spec["ends"]) for job in jobs if "ends" in job.spec} == {2}
    spliced = [end["splice"] for job in jobs for end in job.spec.get("ends", {}).values()]
    assert set(spliced) == {"locked_bury_eye", "straight_bury_eye", "interlocked_eye", "plain"}
    forms = {e["eye"]["form"] for j in jobs for e in j.spec.get("ends", {}).values() if "eye" in e}
    assert forms == {"flat", "pin"}
    assert {job.plan.lengths.state for job in jobs} == {"as_spliced", "after_setting"}
    assert {job.spec["rope"]["fibre"] for job in jobs} == {"hmpe", "polyester", "nylon"}


def _stated(job: Job) -> dict[str, Length]:
    """What the plan says of each figure."""
    figures = job.plan.join if job.plan.ends is None else job.plan.ends["a"]
    assert figures is not None
    stated = {
        "shortening_mm": figures["shortening"],
        "as_spliced_mm": job.plan.lengths.as_spliced,
        "after_setting_mm": job.plan.lengths.after_setting,
    }
    return {name: length for name, length in stated.items() if isinstance(length, Length)}
