"""How often the truth lies inside a stated range: many jobs, each made once in drawn rope."""

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Final

from tuckmark.plan import Length

from .drawing import FAMILIES, PITCHES, Job, drawn, random_job
from .making import Facts, maker

JOBS: Final = 2000
_SEED: Final = 2310


@dataclass(frozen=True)
class Made:
    """A job, and one rope for it drawn from the ranges its plan states."""

    job: Job
    rope: Facts

    def finished_mm(self, state: str, rope: Facts) -> float:
        """True length in a state, the plan's instructions kept in this rope."""
        outcome = maker(self.job.spec, self.job.plan)(rope)
        if outcome is None:  # so steep a braid takes up more than any range allows
            return float("-inf")
        return outcome.as_spliced_mm if state == "as_spliced" else outcome.after_setting_mm

    def stated(self, state: str) -> Length:
        """What the plan says of that length."""
        lengths = self.job.plan.lengths
        stated = lengths.as_spliced if state == "as_spliced" else lengths.after_setting
        assert stated is not None
        return stated


@dataclass(frozen=True)
class Hits:
    """Shares of the true lengths below, inside and above their stated ranges."""

    count: int
    below: float
    inside: float
    above: float


@cache
def made_jobs(count: int = JOBS) -> tuple[Made, ...]:
    """Jobs of every family and every way to know the pitch, in turn; always the same."""
    chance = random.Random(_SEED)  # noqa: S311 - draws for a test, no secret
    made = []
    for n in range(count):
        pitch = PITCHES[n // len(FAMILIES) % len(PITCHES)]
        job = random_job(chance, FAMILIES[n % len(FAMILIES)], pitch)
        facts = {name: drawn(its, chance.random()) for name, its in job.ranges.items()}
        made.append(Made(job, Facts(**facts)))
    return tuple(made)


def hits(
    made: Iterable[Made],
    state: str | None = None,
    true_rope: Callable[[Facts], Facts] | None = None,
) -> Hits:
    """Where the true lengths lie.

    Args:
        state: of the length; None for the state that each job asks for.
        true_rope: makes the true rope of the one drawn from the stated ranges; None: the same.
    """
    low = inside = high = 0
    for one in made:
        in_state = state or one.job.plan.lengths.state
        true_mm = one.finished_mm(in_state, true_rope(one.rope) if true_rope else one.rope)
        low_mm, high_mm = one.stated(in_state).bounds_mm
        low += true_mm < low_mm
        high += true_mm > high_mm
        inside += low_mm <= true_mm <= high_mm
    count = low + inside + high
    return Hits(count, low / count, inside / count, high / count)
