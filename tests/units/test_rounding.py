"""One rounding rule, half away from zero on the decimal; one way to write; parts that add up."""

import math

import pytest

from tuckmark import writing
from tuckmark.writing import LengthText


# By hand, on the decimal as it is written here; binary noise must not show.
@pytest.mark.parametrize(
    ("value", "places", "rounded"),
    [
        (0.25, 1, 0.3),
        (0.35, 1, 0.4),  # the double lies below 0.35
        (2.675, 2, 2.68),  # the double lies below 2.675
        (1.005, 2, 1.01),  # the double lies below 1.005
        (0.5, 0, 1.0),
        (1.5, 0, 2.0),
        (2.5, 0, 3.0),  # never to even
        (-2.5, 0, -3.0),  # away from zero, not up
        (-0.25, 1, -0.3),
        (0.0005, 3, 0.001),
        (0.00049999, 3, 0.0),
        (22604.45, 1, 22604.5),
        (22604.449, 1, 22604.4),
        (0.1 + 0.2, 1, 0.3),
        (0.15 + 0.1 + 0.2, 1, 0.5),  # 0.45000000000000001 in floats: 0.45 by hand
        (4.35 * 100, 0, 435.0),  # 434.99999999999994 in floats
        (1.15 * 3, 1, 3.5),  # 3.4499999999999997 in floats: 3.45 by hand
        (99.95, 1, 100.0),
        (20000000.05, 1, 20000000.1),
        (1066.8, 1, 1066.8),
        (0.0, 1, 0.0),
    ],
)
def test_half_goes_away_from_zero(value: float, places: int, rounded: float) -> None:
    assert writing.rounded(value, places) == rounded


def test_a_half_counts_as_one_as_near_as_a_billionth_and_no_further() -> None:
    assert writing.rounded(2.6749999997, 2) == 2.68  # 2.675000000 at nine places
    assert writing.rounded(2.674999999, 2) == 2.67


@pytest.mark.parametrize(("value", "places"), [(-0.0, 1), (-0.04, 1), (-0.0004, 3), (-1e-12, 0)])
def test_never_minus_zero(value: float, places: int) -> None:
    assert math.copysign(1.0, writing.rounded(value, places)) == 1.0


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_nothing_non_finite(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        writing.rounded(value, 1)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, "0 mm"),
        (0.49, "0 mm"),
        (0.5, "1 mm"),
        (1066.8, "1067 mm"),
        (9999.4, "9999 mm"),
        (9999.5, "10.000 m"),  # ten metres and more are written in metres
        (10000.0, "10.000 m"),
        (18000.0, "18.000 m"),
        (22604.436, "22.604 m"),
        (22604.5, "22.605 m"),
        (123456.0, "123.456 m"),
    ],
)
def test_metric_text(mm: float, text: str) -> None:
    assert LengthText("metric").write(mm) == text


@pytest.mark.parametrize(
    ("inches", "fraction", "text"),
    [
        (0.0, 16, "0 in"),
        (1 / 32 - 1e-6, 16, "0 in"),
        (1 / 32, 16, "1/16 in"),  # half a step
        (0.625, 16, "5/8 in"),
        (1.0, 16, "1 in"),
        (1.25, 16, "1 1/4 in"),
        (42.0, 16, "42 in"),
        (42.5, 16, "42 1/2 in"),
        (42.53125, 16, "42 9/16 in"),  # 42 17/32, half a step
        (119.9375, 16, "119 15/16 in"),
        (119.96875, 16, "10 ft 0 in"),  # 119 31/32 is nearer to, and written as, ten feet
        (120.0, 16, "10 ft 0 in"),
        (120.0625, 16, "10 ft 1/16 in"),
        (121.0, 16, "10 ft 1 in"),
        (147.5, 16, "12 ft 3 1/2 in"),
        (66.981748, 16, "67 in"),
        (66.981748, 8, "67 in"),
        (66.981748, 32, "66 31/32 in"),  # 66.96875, 0.013 away; 67 is 0.018 away
        (66.981748, 64, "66 63/64 in"),  # 66.984375
        (0.0625, 8, "1/8 in"),  # half a step
        (0.015625, 64, "1/64 in"),
    ],
)
def test_inch_text(inches: float, fraction: int, text: str) -> None:
    assert LengthText("inch", fraction).write(inches * 25.4) == text


# By hand: a most is cut off after its last printed digit; float noise just under a digit is not.
@pytest.mark.parametrize(
    ("value", "down", "metric", "inch"),
    [
        (27.39, 27.3, "27 mm", "1 1/16 in"),  # 27.39/25.4 = 17.25 sixteenths
        (27.3, 27.3, "27 mm", "1 1/16 in"),
        (0.29999999999, 0.3, "0 mm", "0 in"),
        (25.4, 25.4, "25 mm", "1 in"),
        (25.39, 25.3, "25 mm", "15/16 in"),
        (0.0, 0.0, "0 mm", "0 in"),
    ],
)
def test_a_most_is_written_downward(value: float, down: float, metric: str, inch: str) -> None:
    assert writing.rounded_down(value, 1) == down
    assert LengthText("metric", 16).write_down(value) == metric
    assert LengthText("inch", 16).write_down(value) == inch


@pytest.mark.parametrize(
    ("system", "mm", "text"),
    [
        ("metric", 1066.0, "1066 mm"),
        ("metric", 1066.01, "1067 mm"),
        ("metric", 9999.01, "10.000 m"),
        ("inch", 25.4, "1 in"),
        ("inch", 25.5, "1 1/16 in"),
    ],
)
def test_a_least_length_is_written_upward(system: str, mm: float, text: str) -> None:
    write = LengthText("metric") if system == "metric" else LengthText("inch")
    assert write.write_up(mm) == text


@pytest.mark.parametrize(
    ("write", "value_mm", "least_mm", "short"),
    [
        (LengthText("metric"), 517.0, 517.33, False),  # printed as 517 mm, and made so
        (LengthText("metric"), 516.9, 517.33, True),
        (LengthText("metric"), 517.6, 517.64, False),  # its mm are printed as 517.6
        (LengthText("metric"), 517.5, 517.64, True),
        (LengthText("metric"), 479.96, 480.0, False),
        (LengthText("metric"), 479.9, 480.0, True),
        (LengthText("inch"), 34 * 25.4, 864.0, False),  # 34.0157 in is printed as 34 in
        (LengthText("inch"), 33.99 * 25.4, 864.0, True),
        (LengthText("inch", 64), 34 * 25.4, 864.0, True),  # printed as 34 1/64 in
        (LengthText("inch"), 14.875 * 25.4, 14.9 * 25.4, False),
    ],
)
def test_a_length_as_long_as_the_least_is_printed_is_not_short(
    write: LengthText, value_mm: float, least_mm: float, short: bool
) -> None:
    assert write.reads_less(value_mm, least_mm) is short


def test_lengths_that_would_read_alike_are_written_finely() -> None:
    assert LengthText("metric").write_finely(479.94) == "479.9 mm"
    assert LengthText("inch").write_finely(864.0) == "34.016 in"


# Largest remainder by hand: whole parts first, then one more to the largest remainders.
@pytest.mark.parametrize(
    ("total", "parts", "shares"),
    [
        (10, [3.3, 3.3, 3.4], [3, 3, 4]),
        (10, [3.4, 3.3, 3.3], [4, 3, 3]),
        (1, [0.5, 0.5], [1, 0]),  # a tie goes to the earlier part
        (2, [0.4, 0.4, 0.4, 0.4, 0.4], [1, 1, 0, 0, 0]),
        (0, [0.2, 0.2], [0, 0]),
        (1, [0.2, 0.2, 0.2], [1, 0, 0]),  # 0.6 rounds to 1
        (2, [0.6, 0.6, 0.6], [1, 1, 0]),  # 1.8 rounds to 2
        (3, [0.9, 0.9, 0.9], [1, 1, 1]),  # 2.7 rounds to 3
        (100, [100.0, 0.0], [100, 0]),
        (3, [2.9999999999, 0.0], [3, 0]),  # float noise below a whole step
        (226044, [16950.0 * 10, 3258.0 * 10, 2234.805 * 10, 161.63 * 10, 0.0],
         [169500, 32580, 22348, 1616, 0]),  # 226044.35: remainders .05 and .3, none missing
        (226045, [169500.0, 32580.0, 22348.25, 1616.35, 0.0], [169500, 32580, 22348, 1617, 0]),
    ],
)  # fmt: skip
def test_parts_add_up(total: int, parts: list[float], shares: list[int]) -> None:
    assert writing.shared_out(total, parts) == shares
    assert sum(shares) == total


@pytest.mark.parametrize(
    ("text", "written"),
    [
        (writing.force_text(480.0, metric=True), "480 kN"),
        (writing.force_text(43.205, metric=True), "43.21 kN"),
        (writing.force_text(0.72, metric=True), "0.72 kN"),
        # 60000 lbf x 4.4482216152605 N
        (writing.force_text(266.89329691563, metric=False), "60000 lbf"),
        (writing.force_text(1.0, metric=False), "225 lbf"),  # 224.809
        (writing.mass_text(6.5553, metric=True), "6.56 kg"),
        (writing.mass_text(0.45359237, metric=False), "1 lb"),
        (writing.mass_text(1.0, metric=False), "2.2 lb"),  # 2.20462
        (writing.temperature_text(65.0, metric=True), "65 degC"),
        (writing.temperature_text(65.0, metric=False), "149 degF"),
        (writing.temperature_text(20.02, metric=False), "68 degF"),  # 68.036
        (writing.temperature_text(-260 / 9, metric=False), "-20 degF"),
        (writing.temperature_text(-0.04, metric=True), "0 degC"),
        (writing.decimal_text(43.20, 2), "43.2"),
        (writing.decimal_text(1000.0, 0), "1000"),
    ],
)
def test_other_texts(text: str, written: str) -> None:
    assert text == written
