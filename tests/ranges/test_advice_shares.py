"""Shares of the spread, worked by hand from the definition: squared spans over their sum."""

from tuckmark.advice import advise
from tuckmark.plan import uncertain
from tuckmark.ranges import Effects
from tuckmark.writing import LengthText


def shares(effects: Effects) -> dict[str, float]:
    return {
        one.code: one.share for one in advise(uncertain(10_000.0, effects), LengthText("metric"))
    }


def test_an_input_that_only_lengthens_spans_from_nothing() -> None:
    # pitch moves it by 1 to 3: a span of 3; diameter by -4 to 4: 8; 9 / 73 and 64 / 73
    found = shares({"pitch": (1.0, 3.0), "diameter": (-4.0, 4.0)})
    assert list(found) == ["diameter", "pitch"]
    assert abs(found["diameter"] - 64 / 73) < 1e-12
    assert abs(found["pitch"] - 9 / 73) < 1e-12


def test_an_input_that_only_shortens_spans_to_nothing() -> None:
    found = shares({"pitch": (-3.0, -1.0), "diameter": (-4.0, 4.0)})
    assert abs(found["pitch"] - 9 / 73) < 1e-12


def test_a_hundredth_of_the_spread_is_told_and_less_is_not() -> None:
    # 0.101² / (0.101² + 1) = 0.0101; 0.1² / (0.1² + 1) = 0.0099
    assert "pitch" in shares({"pitch": (0.0, 0.101), "diameter": (0.0, 1.0)})
    assert "pitch" not in shares({"pitch": (0.0, 0.1), "diameter": (0.0, 1.0)})


def test_a_small_spread_is_told_like_a_large_one() -> None:
    assert shares({"pitch": (0.0, 0.1)}) == {"pitch": 1.0}


def test_what_nothing_moves_has_no_advice() -> None:
    assert shares({}) == {}
