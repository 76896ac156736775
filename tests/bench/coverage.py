"""Prints how sure the lengths are: ``python -m tests.bench.coverage``.

Two thousand synthetic jobs of the buried families, each made once in rope drawn from the
ranges that its plan states. Nothing here passes or fails; a test of the same figures does.
"""

import statistics
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from tests.ranges.coverage import JOBS, Hits, Made, hits, made_jobs
from tests.ranges.drawing import FAMILIES, PITCHES
from tests.ranges.making import Facts

STATES: Final = ("as_spliced", "after_setting")
OFF: Final = (0.85, 1.15)


def main() -> None:
    """Print the three tables."""
    made = made_jobs()
    print(f"{JOBS} jobs, true finished length against the stated range, in %:")
    print(_columns("", "jobs", "below", "inside", "above"))
    print(_row("in the state asked for", hits(made)))
    for state in STATES:
        print(_row(state.replace("_", " "), hits(made, state)))
    print()
    print("Median of the range to either side, in % of the finished length:")
    print(_columns("splice, pitch", "jobs", "spliced", "set"))
    for family in FAMILIES:
        for pitch in PITCHES:
            some = [m for m in made if (m.job.family, m.job.pitch) == (family, pitch)]
            widths = (f"{_half_width(some, state):.2f}" for state in STATES)
            print(_columns(f"{family}, {pitch}", str(len(some)), *widths))
    print()
    print("The truth off what is assumed by 15 %, finished length against the stated range, in %:")
    print(_columns("", "jobs", "below", "inside", "above"))
    assumed = [m for m in made if m.job.pitch == "assumed"]
    for factor in OFF:
        print(_row(f"pitch x {factor}, as spliced", _off(assumed, STATES[0], "pitch_mm", factor)))
    for factor in OFF:
        print(_row(f"bedding-in x {factor}, set", _off(made, STATES[1], "bedding_in", factor)))
    locked = [m for m in made if m.job.family == "locked_bury_eye"]
    for factor in OFF:
        name = f"lock allowance x {factor}, as spliced"
        print(_row(name, _off(locked, STATES[0], "lock_allowance_d", factor)))


def _off(made: Iterable[Made], state: str, fact: str, factor: float) -> Hits:
    def true_rope(rope: Facts) -> Facts:
        return replace(rope, **{fact: getattr(rope, fact) * factor})

    return hits(made, state, true_rope)


def _half_width(made: Iterable[Made], state: str) -> float:
    def share(one: Made) -> float:
        stated = one.stated(state)
        low_mm, high_mm = stated.bounds_mm
        return (high_mm - low_mm) / 2 / stated.mm * 100

    return statistics.median(share(one) for one in made)


def _row(name: str, found: Hits) -> str:
    shares = (f"{share * 100:.1f}" for share in (found.below, found.inside, found.above))
    return _columns(name, str(found.count), *shares)


def _columns(name: str, *figures: str) -> str:
    return f"{name:40}" + "".join(f"{figure:>9}" for figure in figures)


if __name__ == "__main__":
    main()
