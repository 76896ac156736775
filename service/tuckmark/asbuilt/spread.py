"""A share estimated from trials, and how sure it is.

The model is effect = share x size + error, the error alike in every trial: least squares through
zero. One trial is as uncertain as its measurement; of several the scatter tells, with Student's
t, but never less than the measurements themselves leave open.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final, Literal

from tuckmark.compare import above
from tuckmark.reference import Reference

#: a 95 % range is so many standard deviations to either side
_DEVIATIONS: Final = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class Sample:
    """One trial's size and effect.

    Attributes:
        off: half of the effect's 95 % range, by the measurement alone.
    """

    size: float
    effect: float
    off: float

    @property
    def share(self) -> float:
        """Effect over size."""
        return self.effect / self.size


@dataclass(frozen=True, slots=True)
class Estimate:
    """A share with its 95 % range.

    Attributes:
        basis: whether the measurements or the scatter of the trials decide the range.
        chi_square: the scatter, measured in what the measurements explain; 0 for one trial.
        by_chance: what chance keeps that under nineteen times in twenty.
    """

    value: float
    half_width: float
    trials: int
    basis: Literal["measurement", "scatter"]
    chi_square: float
    by_chance: float

    @property
    def disagree(self) -> bool:
        """Whether the trials differ by more than their measurements explain."""
        return above(self.chi_square, self.by_chance)

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most."""
        return self.value - self.half_width, self.value + self.half_width


def estimate(samples: Sequence[Sample], reference: Reference, sizes_off: float = 0.0) -> Estimate:
    """The share that one to twenty trials give.

    Args:
        samples: at least one, each of a size above zero.
        reference: for the quantiles.
        sizes_off: half of the 95 % range of all sizes, as a share of them, where all are off
            alike: more trials make it no smaller.
    """
    squares = sum(sample.size**2 for sample in samples)
    value = sum(sample.size * sample.effect for sample in samples) / squares
    measured = math.sqrt(sum((sample.size * sample.off) ** 2 for sample in samples)) / squares
    in_common = abs(value) * sizes_off
    if len(samples) == 1:
        return Estimate(value, math.hypot(measured, in_common), 1, "measurement", 0.0, 0.0)
    student_t, limit = reference.trial_quantiles(len(samples) - 1)
    left = [sample.effect - value * sample.size for sample in samples]
    variance = sum(rest**2 for rest in left) / (len(samples) - 1)
    scattered = student_t * math.sqrt(variance / squares)
    chi_square = sum(
        (rest / sample.off * _DEVIATIONS) ** 2 for rest, sample in zip(left, samples, strict=True)
    )
    return Estimate(
        value,
        math.hypot(max(scattered, measured), in_common),
        len(samples),
        "scatter" if scattered > measured else "measurement",
        chi_square,
        limit,
    )
