"""An end cut back and spliced again, worked by hand on the contract's golden assembly.

End a of the golden assembly takes bury 1530, eye 997.11 and shortening 68.60 mm and its eye
reaches 450 mm past the throat, so a new splice takes 1530 + 997.11 + 68.60 - 450 = 2145.71 mm
more than what is cut back. Its old splice reaches from the bearing point over 450 mm of eye,
4 picks of 230/6 mm, 1340.67 mm of buried tail and 68.60 mm of shortening: 2012.6 mm.
"""

import copy
from typing import Any

import pytest

from tuckmark import published
from tuckmark.pipeline import Rejected, default_pipeline


def _resplice(**asked: str) -> dict[str, Any]:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["length"]["resplice"] = {"end": "a", **asked}
    found: dict[str, Any] = default_pipeline().plan(spec)["lengths"]["resplice"]
    return found


def test_cutting_back_takes_the_new_splice_out_of_the_body() -> None:
    found = _resplice(cut_back="2500 mm", required="13 m")
    assert found["shorter_by"]["mm"] == 4645.7  # 2500 + 2145.71
    assert found["finished"]["mm"] == 13354.3  # 18000 - 4645.71
    assert found["verdict"] == "long_enough"


def test_the_range_is_that_of_both_old_splices_and_the_new_one() -> None:
    # by the braid and eye formulas at each end of one range: diameter 23.392 to 24.593 (half of
    # 5 %), pitch 229.5 to 230.5, lock 1 to 2 d. The new splice takes 4.295 less or 4.326 more,
    # 0.392 more or 0.389 less, 0.757 more or less; the old assembly is off by as much as 9.969 and
    # 10.055, 0.883 and 0.876, 0.757, each in the same sense: one rope, so they add
    found = _resplice(cut_back="2500 mm")
    assert found["shorter_by"]["low_mm"] == 4641.3  # 4645.707 - hypot(4.295, 0.389, 0.757)
    assert found["shorter_by"]["high_mm"] == 4650.1  # 4645.707 + hypot(4.326, 0.392, 0.757)
    assert found["finished"]["low_mm"] == 13339.8  # 13354.293 - hypot(14.381, 1.275, 1.514)
    assert found["finished"]["high_mm"] == 13368.7  # 13354.293 + hypot(14.263, 1.265, 1.514)


def test_the_verdict_turns_at_the_length_that_is_left_and_at_its_low_end() -> None:
    assert _resplice(cut_back="2500 mm", required="13339.7 mm")["verdict"] == "long_enough"
    assert _resplice(cut_back="2500 mm", required="13339.9 mm")["verdict"] == "not_assured"
    assert _resplice(cut_back="2500 mm", required="13354.2 mm")["verdict"] == "not_assured"
    assert _resplice(cut_back="2500 mm", required="13354.4 mm")["verdict"] == "too_short"


def test_without_a_required_length_there_is_no_verdict_but_a_reason() -> None:
    found = _resplice(cut_back="2500 mm")
    assert found["verdict"] is None
    assert "verdict" in found["reasons"]


def test_a_cut_inside_the_old_splice_is_refused_with_the_least() -> None:
    assert _resplice(cut_back="2013 mm")["finished"]["mm"] == 13841.3  # 18000 - 2013 - 2145.71
    with pytest.raises(Rejected) as refused:
        _resplice(cut_back="2012 mm")
    [fault] = refused.value.faults
    assert fault.code == "cut_inside_old_splice"
    assert fault.pointer == "/length/resplice/cut_back"
    assert fault.allowed == "at least 2013 mm"


def test_an_assembly_that_gets_too_short_for_its_splices_is_refused() -> None:
    # shortest workable 6046.3 (two runs of 2164.33 and 2592, 240 clear, eyes 450 and 600):
    # cutting back 9808 leaves 18000 - 9808 - 2145.71 = 6046.29, 9807 leaves 6047.29
    assert _resplice(cut_back="9807 mm")["finished"]["mm"] == 6047.3
    with pytest.raises(Rejected) as refused:
        _resplice(cut_back="9809 mm")
    assert [fault.code for fault in refused.value.faults] == ["resplice_too_short"]


def test_a_plain_end_cannot_be_spliced_again() -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["ends"]["b"] = {"splice": "plain"}
    spec["length"]["resplice"] = {"end": "b", "cut_back": "1 m"}
    with pytest.raises(Rejected) as refused:
        default_pipeline().plan(spec)
    assert [fault.code for fault in refused.value.faults] == ["resplice_without_splice"]
