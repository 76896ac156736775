"""Unit factors against the exact values of NIST SP 811 and against Pint itself."""

import json
from fractions import Fraction
from importlib import resources

import pint
import pytest

from tuckmark import units

# NIST SP 811 (2008), appendix B.8, the exact factors: 1 in = 25.4 mm, 1 ft = 0.3048 m,
# 1 lbf = 4.4482216152605 N, 1 kgf = 9.80665 N, 1 lb = 0.45359237 kg,
# t/degC = (t/degF - 32)/1.8. A tonne-force is 1000 kgf.
EXACT = {
    "mm": (Fraction(1), 0),
    "cm": (Fraction(10), 0),
    "m": (Fraction(1000), 0),
    "in": (Fraction("25.4"), 0),
    "ft": (Fraction("304.8"), 0),
    "N": (Fraction(1, 1000), 0),
    "kN": (Fraction(1), 0),
    "lbf": (Fraction("4.4482216152605") / 1000, 0),
    "kgf": (Fraction("9.80665") / 1000, 0),
    "tf": (Fraction("9.80665"), 0),
    "kg/m": (Fraction(1), 0),
    "g/m": (Fraction(1, 1000), 0),
    "kg/100m": (Fraction(1, 100), 0),
    "lb/ft": (Fraction("0.45359237") / Fraction("0.3048"), 0),
    "lb/100ft": (Fraction("0.45359237") / Fraction("30.48"), 0),
    "degC": (Fraction(1), 0),
    "degF": (Fraction(5, 9), Fraction(-160, 9)),
}
PINT = {
    "mm": ("mm", "mm"), "cm": ("cm", "mm"), "m": ("m", "mm"), "in": ("inch", "mm"),
    "ft": ("foot", "mm"), "N": ("N", "kN"), "kN": ("kN", "kN"), "lbf": ("lbf", "kN"),
    "kgf": ("kgf", "kN"), "tf": ("metric_ton * g_0", "kN"), "kg/m": ("kg/m", "kg/m"),
    "g/m": ("g/m", "kg/m"), "kg/100m": ("kg/hectometer", "kg/m"), "lb/ft": ("lb/ft", "kg/m"),
    "lb/100ft": ("0.01 * lb/ft", "kg/m"),
}  # fmt: skip


@pytest.mark.parametrize("unit", EXACT)
def test_factor_is_the_exact_one(unit: str) -> None:
    found = units.conversions()[unit]
    assert Fraction(found.factor, found.divisor) == EXACT[unit][0]
    assert Fraction(found.offset, found.divisor) == EXACT[unit][1]


def test_no_unit_is_without_an_exact_factor_here() -> None:
    assert list(units.conversions()) == list(EXACT)


@pytest.mark.parametrize("unit", PINT)
def test_factor_agrees_with_pint_in_floats(unit: str) -> None:
    # a registry of its own, in floats, asked in Pint's own words
    registry = pint.UnitRegistry()
    name, base = PINT[unit]
    magnitude = registry.parse_expression(f"1 * {name}").to(base).magnitude
    found = units.conversions()[unit]
    assert found.factor / found.divisor == pytest.approx(magnitude, rel=1e-15)


def test_the_built_table_is_what_pint_says() -> None:
    table = resources.files("tuckmark").joinpath("data", "conversions.json").read_text("utf-8")
    assert json.loads(table) == units.pint_conversions()


@pytest.mark.parametrize(
    ("kind", "spellings"),
    [
        ("length", ("mm", "cm", "m", "in", "ft")),
        ("force", ("N", "kN", "lbf", "kgf", "tf")),
        ("mass_per_length", ("kg/m", "g/m", "kg/100m", "lb/ft", "lb/100ft")),
        ("temperature", ("degC", "degF")),
    ],
)
def test_units_are_the_closed_list_of_the_contract(
    kind: units.Kind, spellings: tuple[str, ...]
) -> None:
    assert units.units_of(kind) == spellings


# Worked by hand from the exact factors above, each rounded once to a double.
@pytest.mark.parametrize(
    ("text", "exact"),
    [
        ("24 mm", "24"),
        ("5/8 in", "15.875"),
        ("9/8 in", "28.575"),
        ("1 1/4 in", "31.75"),
        ("63/64 in", "25.003125"),
        ("1/2 ft", "152.4"),
        ("1 3/4 ft", "533.4"),
        ("12 ft 3 1/2 in", "3746.5"),
        ("12 ft 0 in", "3657.6"),
        ("12 ft 0.0 in", "3657.6"),
        ("0 ft 3 in", "76.2"),
        ("1 ft 0.5 in", "317.5"),
        ("0.1 m", "100"),
        ("18 m", "18000"),
        ("2.5 cm", "25"),
        ("0.000001 mm", "0.000001"),
        ("9999999.999999 m", "9999999999.999"),
        ("480 kN", "480"),
        ("1 lbf", "0.0044482216152605"),
        ("1000 kgf", "9.80665"),
        ("1 tf", "9.80665"),
        ("25.7 lb/100ft", str(Fraction("25.7") * Fraction("0.45359237") / Fraction("30.48"))),
        ("29 kg/100m", "0.29"),
        ("290 g/m", "0.29"),
        ("30 degC", "30"),
        ("-20 degF", str(Fraction(-52) * 5 / 9)),
        ("180 degF", str(Fraction(148) * 5 / 9)),
        ("32 degF", "0"),
        ("-0 degC", "0"),
        ("-40 degF", "-40"),
    ],
)
def test_text_is_read_exactly_and_rounded_once(text: str, exact: str) -> None:
    assert units.base_value(text) == float(Fraction(exact))
    assert str(units.base_value(text)) != "-0.0"


@pytest.mark.parametrize(
    ("value", "unit", "exact"),
    [
        (24, "mm", "24"),
        (0.625, "in", "15.875"),
        (0.1, "m", "100"),  # the decimal as it stood, not the double nearest to it
        (1.1, "in", "27.94"),
        (1e-6, "mm", "0.000001"),
        (-20, "degF", str(Fraction(-52) * 5 / 9)),
    ],
)
def test_object_form_stands_for_its_decimal(value: float, unit: str, exact: str) -> None:
    assert units.base_of(value, unit) == float(Fraction(exact))


def test_a_foreign_unit_is_an_error_of_the_caller() -> None:
    with pytest.raises(ValueError, match="not a unit"):
        units.base_of(1.0, "yd")


# Half of the last step that is written, worked by hand: x 25.4 for inches, x 304.8 for feet; a
# fraction is read to the sixteenth of its unit, or as fine as it says.
@pytest.mark.parametrize(
    ("text", "half_step"),
    [
        ("230 mm", "0.5"),
        ("230.0 mm", "0.05"),
        ("97.25 mm", "0.005"),
        ("0.000001 mm", "0.0000005"),
        ("23 cm", "5"),
        ("23.0 cm", "0.5"),
        ("0.23 m", "5"),
        ("0.230 m", "0.5"),
        ("1 m", "500"),
        ("9 in", "12.7"),
        ("9.05 in", "0.127"),
        ("5/8 in", "0.79375"),  # 1/32 in
        ("9/16 in", "0.79375"),
        ("9 1/2 in", "0.79375"),
        ("1 3/32 in", "0.396875"),  # 1/64 in
        ("63/64 in", "0.1984375"),  # 1/128 in
        ("1/2 ft", "9.525"),  # 1/32 ft
        ("1.5 ft", "15.24"),
        ("12 ft 3 in", "12.7"),
        ("12 ft 3.5 in", "1.27"),
        ("12 ft 3 1/2 in", "0.79375"),
    ],
)
def test_resolution_is_half_of_the_last_step_that_is_written(text: str, half_step: str) -> None:
    assert units.resolution_of(text) == float(Fraction(half_step))
