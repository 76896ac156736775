"""Estimates and their ranges: the quantiles by their own integrals, the arithmetic by hand."""

import math
import random

import pytest

from tuckmark.asbuilt.spread import Sample, estimate
from tuckmark.reference import DataError, Reference, default


@pytest.fixture(scope="module")
def reference() -> Reference:
    return default()


def _integral(density: object, low: float, high: float, steps: int = 4000) -> float:
    """Simpson's rule."""
    assert callable(density)
    width = (high - low) / steps
    inner = sum((4 if n % 2 else 2) * density(low + n * width) for n in range(1, steps))
    return float((density(low) + inner + density(high)) * width / 3)


@pytest.mark.parametrize("degrees", range(1, 20))
def test_student_t_leaves_one_part_in_twenty_outside(reference: Reference, degrees: int) -> None:
    """The table against the integral of the density; the table's last digit moves it by 1e-4."""
    student_t, _ = reference.trial_quantiles(degrees)
    scale = math.gamma((degrees + 1) / 2) / (math.sqrt(degrees * math.pi) * math.gamma(degrees / 2))
    inside = _integral(
        lambda t: scale * (1 + t * t / degrees) ** (-(degrees + 1) / 2), -student_t, student_t
    )
    assert inside == pytest.approx(0.95, abs=1e-4)


@pytest.mark.parametrize("degrees", range(1, 20))
def test_chi_square_leaves_one_part_in_twenty_above(reference: Reference, degrees: int) -> None:
    """With x = u squared, so that the density of one degree has no pole."""
    _, chi_square = reference.trial_quantiles(degrees)
    scale = 2 / (2 ** (degrees / 2) * math.gamma(degrees / 2))
    below = _integral(
        lambda u: scale * u ** (degrees - 1) * math.exp(-u * u / 2), 0.0, math.sqrt(chi_square)
    )
    assert below == pytest.approx(0.95, abs=1e-4)


def test_the_table_ends_with_twenty_trials(reference: Reference) -> None:
    with pytest.raises(DataError, match="20 degrees"):
        reference.trial_quantiles(20)


def test_one_trial_is_as_sure_as_its_measurement(reference: Reference) -> None:
    found = estimate([Sample(1000.0, 50.0, 0.7)], reference)
    assert (found.value, found.half_width, found.basis) == (0.05, 0.0007, "measurement")
    assert not found.disagree


def test_three_trials_by_hand(reference: Reference) -> None:
    """Tails of 1000, losses 48, 50, 52: mean 0.050, s = 2, t(2) = 4.303.

    Half-width 4.303 x 2 / sqrt(3) / 1000 = 0.0049687. Each may be off by 1 at 95 %, so by
    1/1.959964 at one standard deviation: chi-square 2 x (2 x 1.959964)^2 = 30.73 > 5.991.
    """
    found = estimate([Sample(1000.0, effect, 1.0) for effect in (48.0, 50.0, 52.0)], reference)
    assert found.value == pytest.approx(0.05, abs=1e-12)
    assert found.half_width == pytest.approx(0.0049687, abs=1e-7)
    assert found.basis == "scatter"
    assert found.chi_square == pytest.approx(30.73, abs=0.005)
    assert found.disagree


def test_trials_that_happen_to_agree_are_no_surer_than_their_measurements(
    reference: Reference,
) -> None:
    """Three alike, each off by 1 at most: 1/sqrt(3) of 1 in 1000."""
    found = estimate([Sample(1000.0, 50.0, 1.0)] * 3, reference)
    assert found.half_width == pytest.approx(0.001 / math.sqrt(3), abs=1e-12)
    assert found.basis == "measurement"
    assert not found.disagree


def test_longer_tails_weigh_more(reference: Reference) -> None:
    """(500 x 30 + 2000 x 100) / (500^2 + 2000^2) = 215000 / 4250000 = 0.0505882."""
    found = estimate([Sample(500.0, 30.0, 1.0), Sample(2000.0, 100.0, 1.0)], reference)
    assert found.value == pytest.approx(0.0505882, abs=1e-7)


@pytest.mark.parametrize("trials", [2, 5, 20])
def test_a_range_holds_the_truth_as_often_as_it_says(reference: Reference, trials: int) -> None:
    """2,000 estimates over tails of all lengths; chance alone leaves 94 to 96 %."""
    draw = random.Random(trials)  # noqa: S311 - simulates tapes, guards nothing
    held = 0
    for _ in range(2000):
        true = draw.uniform(0.03, 0.09)
        sizes = [draw.uniform(1000, 3000) for _ in range(trials)]
        samples = [Sample(size, true * size + draw.gauss(0, 2), 0.01) for size in sizes]
        low, high = estimate(samples, reference).bounds
        held += low <= true <= high
    assert 1880 <= held <= 1920


def test_trials_off_by_their_measurement_alone_disagree_once_in_twenty(
    reference: Reference,
) -> None:
    """2,000 sets of four trials, each off by 1 mm at 95 %; chance alone leaves 4 to 6 %."""
    draw = random.Random(4)  # noqa: S311 - simulates tapes, guards nothing
    told = 0
    for _ in range(2000):
        samples = [Sample(1000.0, 50 + draw.gauss(0, 1 / 1.959964), 1.0) for _ in range(4)]
        told += estimate(samples, reference).disagree
    assert 70 <= told <= 130
