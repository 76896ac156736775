"""Of 2,000 synthetic jobs, how often the true finished length lies inside its stated range."""

from dataclasses import replace

from .coverage import JOBS, hits, made_jobs
from .making import Facts


def test_the_true_finished_length_lies_inside_as_often_as_stated() -> None:
    found = hits(made_jobs())
    assert found.count == JOBS == 2000
    assert 0.93 <= found.inside <= 0.97
    # misses balanced: of 5 % in all neither side has more than twice the other's
    assert 0.5 <= found.below / found.above <= 2


def test_both_states_are_stated_as_surely() -> None:
    for state in ("as_spliced", "after_setting"):
        found = hits(made_jobs(), state)
        assert 0.93 <= found.inside <= 0.97
        assert 0.5 <= found.below / found.above <= 2


def test_truth_far_from_the_assumption_is_missed_on_the_side_it_lies() -> None:
    # a shorter pitch takes up more rope, so the assembly comes out short
    assumed = [made for made in made_jobs() if made.job.pitch == "assumed"]
    for factor, side, other in ((0.85, "below", "above"), (1.15, "above", "below")):

        def off(rope: Facts, factor: float = factor) -> Facts:
            return replace(rope, pitch_mm=rope.pitch_mm * factor)

        found = hits(assumed, "as_spliced", off)
        assert getattr(found, side) > 0.2
        assert getattr(found, other) < 0.01
