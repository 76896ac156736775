"""Which measurement is advised, and what is said of a tolerance, on figures made up to be easy."""

import pytest

from tuckmark import plan, reference
from tuckmark.advice import advise, judge_tolerance
from tuckmark.lengths import Target
from tuckmark.notices import Notices
from tuckmark.plan import Figures, Length, uncertain
from tuckmark.writing import LengthText

WRITE = LengthText("metric")
#: spans 8, 6, 0.5: squares 64, 36, 0.25 of 100.25; range hypot(4, 3, 0.25) = 5.006 either way
FINISHED = uncertain(
    1000.0, {"diameter": (3.0, -3.0), "pitch": (-4.0, 4.0), "lock_allowance": (-0.25, 0.25)}
)


def test_advice_is_ranked_by_the_share_of_the_squared_spread() -> None:
    advice = advise(FINISHED, WRITE)
    assert [one.code for one in advice] == ["pitch", "diameter"]  # the lock's 0.2 % is no help
    assert [one.share for one in advice] == pytest.approx([64 / 100.25, 36 / 100.25])


def test_what_would_remain_is_the_range_of_the_others() -> None:
    pitch, diameter = advise(FINISHED, WRITE)
    # hypot(3, 0.25) = 3.0104; hypot(4, 0.25) = 4.0078
    assert pitch.remaining.bounds_mm == pytest.approx((996.9896, 1003.0104), abs=5e-5)
    assert diameter.remaining.bounds_mm == pytest.approx((995.9922, 1004.0078), abs=5e-5)
    assert pitch.remaining.mm == diameter.remaining.mm == 1000.0


def test_advice_says_what_to_measure_and_what_is_left() -> None:
    pitch, diameter = advise(FINISHED, WRITE)
    # 64 and 36 of 100.25; without the one 3.0104, without the other 4.0078 either way
    assert pitch.text == (
        "The pitch of the braid causes 64 % of what the finished length may be off. Count ten "
        "picks along one line under hand tension, measure them, and give six tenths of that as "
        "rope.pitch. Known exactly, it would leave 997 mm to 1003 mm."
    )
    assert diameter.text.startswith("The diameter causes 36 % of what")
    assert diameter.text.endswith("Known exactly, it would leave 996 mm to 1004 mm.")


def test_a_range_that_closes_is_not_said_from_a_figure_to_the_same() -> None:
    # what is left, 0.4 mm either way, prints as the length itself
    only = uncertain(1000.0, {"diameter": (4.0, -4.0), "pitch": (-0.4, 0.4)})
    (diameter,) = advise(only, WRITE)
    assert diameter.text.endswith("Known exactly, 1000 mm would be as good as sure.")


def test_the_share_is_said_in_whole_per_cent() -> None:
    # spans 6 and 2: squares 36 and 4 of 40
    nine, one = advise(uncertain(1000.0, {"pitch": (-3.0, 3.0), "diameter": (1.0, -1.0)}), WRITE)
    assert "causes 90 % of what" in nine.text
    assert "causes 10 % of what" in one.text


def test_nothing_is_advised_where_nothing_is_uncertain() -> None:
    assert advise(None, WRITE) == ()
    assert advise(Length(1000.0), WRITE) == ()


@pytest.mark.parametrize(
    ("tolerance_mm", "assured", "measure"),
    [
        (5.01, True, None),  # the range is 5.0062 either way
        (5.0, False, "pitch"),
        (4.01, False, "pitch"),  # the diameter would do too, the pitch does more
        (3.02, False, "pitch"),  # 3.0104 with the pitch known
        (3.0, False, "pitch"),  # no one measurement: the one that helps most
    ],
)
def test_a_tolerance_is_assured_where_the_whole_range_lies_within(
    tolerance_mm: float, assured: bool, measure: str | None
) -> None:
    found, _ = _judged(FINISHED, tolerance_mm)
    assert found["assured"] is assured
    assert found.get("measure") == measure
    assert found["given"] == Length(tolerance_mm)


def test_the_wider_side_decides() -> None:
    lopsided = uncertain(1000.0, {"pitch": (-7.0, 2.0)})
    assert _judged(lopsided, 6.9)[0]["assured"] is False
    assert _judged(lopsided, 7.1)[0]["assured"] is True


def test_a_tolerance_not_assured_is_warned_of_with_the_way_out() -> None:
    one_is_enough, none_is_enough = (_judged(FINISHED, mm)[1] for mm in (3.02, 3.0))
    assert one_is_enough is not None
    assert none_is_enough is not None
    for warning in (one_is_enough, none_is_enough):
        assert warning.code == "tolerance_not_assured"
        assert warning.pointer == "/length/tolerance"
        assert isinstance(warning.value, Length)
        assert warning.value.mm == pytest.approx(5.0062, abs=5e-5)  # hypot(4, 3, 0.25)
        assert "pitch of the braid" in warning.message
    assert "no single measurement" not in one_is_enough.message
    assert "no single measurement" in none_is_enough.message


def _judged(finished: Length, tolerance_mm: float) -> tuple[Figures, plan.Warning | None]:
    notices = Notices(WRITE)
    target = Target("bearing_points", "as_spliced", 1000.0, tolerance_mm=tolerance_mm)
    found = judge_tolerance(target, finished, advise(finished, WRITE), reference.default(), notices)
    assert found is not None
    warnings = notices.all()
    return found, warnings[0] if warnings else None
