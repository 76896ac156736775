"""Quantities at the edge: the closed list of units, exact conversion, rounding and text.

Inside the service every figure is a plain float in the base unit its name ends
in: mm, kN, kg/m, degrees Celsius. This is the only module that knows Pint; Pint
supplies the factors and never sees text from a request.
"""

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final, Literal

import pint

Kind = Literal["length", "force", "mass_per_length", "temperature"]

BASE_UNIT: Final[dict[Kind, str]] = {
    "length": "mm",
    "force": "kN",
    "mass_per_length": "kg/m",
    "temperature": "degC",
}

#: spelling in a spec -> (kind, how Pint names it, how many of Pint's unit per ours)
_UNITS: Final[dict[str, tuple[Kind, str, Fraction]]] = {
    "mm": ("length", "millimeter", Fraction(1)),
    "cm": ("length", "centimeter", Fraction(1)),
    "m": ("length", "meter", Fraction(1)),
    "in": ("length", "inch", Fraction(1)),
    "ft": ("length", "foot", Fraction(1)),
    "N": ("force", "newton", Fraction(1)),
    "kN": ("force", "kilonewton", Fraction(1)),
    "lbf": ("force", "pound_force", Fraction(1)),
    "kgf": ("force", "kilogram_force", Fraction(1)),
    "tf": ("force", "kilogram_force", Fraction(1000)),
    "kg/m": ("mass_per_length", "kilogram/meter", Fraction(1)),
    "g/m": ("mass_per_length", "gram/meter", Fraction(1)),
    "kg/100m": ("mass_per_length", "kilogram/meter", Fraction(1, 100)),
    "lb/ft": ("mass_per_length", "pound/foot", Fraction(1)),
    "lb/100ft": ("mass_per_length", "pound/foot", Fraction(1, 100)),
    "degC": ("temperature", "degree_Celsius", Fraction(1)),
    "degF": ("temperature", "degree_Fahrenheit", Fraction(1)),
}
_PINT_BASE: Final[dict[Kind, str]] = {
    "length": "millimeter",
    "force": "kilonewton",
    "mass_per_length": "kilogram/meter",
    "temperature": "degree_Celsius",
}

MM_PER_INCH: Final = 25.4
INCHES_PER_FOOT: Final = 12
KG_PER_POUND: Final = 0.45359237
_FRACTION_READ_TO: Final = 16
#: of a printed step: above the noise of floats, far below what anyone can read
_NOISE: Final = 1e-6
#: of a step: further from a half than this, the decimal need not be looked at
_NEAR_HALF: Final = 1e-4
_METRES_FROM_MM: Final = 10_000
_FEET_FROM_INCHES: Final = 120


def units_of(kind: Kind) -> tuple[str, ...]:
    """The spellings accepted for a kind of quantity, in the order they are listed to users."""
    return tuple(unit for unit, (of_kind, _, _) in _UNITS.items() if of_kind == kind)


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def conversions() -> dict[str, tuple[Fraction, Fraction]]:
    """Factor and offset of each unit: base = factor · value + offset, exactly.

    Source: Pint's unit definitions, which follow the SI brochure and NIST SP 811.
    """
    registry = _registry()
    table: dict[str, tuple[Fraction, Fraction]] = {}
    for unit, (kind, name, multiple) in _UNITS.items():
        base = _PINT_BASE[kind]
        zero, one = (registry.Quantity(Fraction(n), name).to(base).magnitude for n in (0, 1))
        table[unit] = (Fraction(one - zero) * multiple, Fraction(zero))
    return table


def _number(text: str) -> Fraction:
    """Such as 3, 3.5, 5/8 or 3 1/2 (already judged by the grammar), exactly."""
    return sum((Fraction(part) for part in text.split(" ")), Fraction(0))


@lru_cache(maxsize=4096)
def base_value(text: str) -> float:
    """A quantity's text, already judged by the published grammar, in its base unit.

    Args:
        text: for example ``"24 mm"``, ``"5/8 in"``, ``"12 ft 3 1/2 in"``, ``"86 degF"``.

    Returns:
        The value in mm, kN, kg/m or degrees Celsius: the exact rational, rounded once to a float.

    Raises:
        ValueError: the text is not a quantity; callers judge by the schema first.
    """
    number, _, unit = text.rpartition(" ")
    feet, compound, inches = number.partition(" ft ")
    if compound:
        return float((Fraction(feet) * INCHES_PER_FOOT + _number(inches)) * conversions()["in"][0])
    return base_of(_number(number), unit)


def base_of(value: Fraction | float, unit: str) -> float:
    """A number and a unit of the closed list, in the kind's base unit.

    A float stands for the shortest decimal that names it, as it stood in the document.
    """
    if unit not in _UNITS:
        raise ValueError(f"not a unit of this service: {unit!r}")
    factor, offset = conversions()[unit]
    exact = value if isinstance(value, Fraction) else Fraction(repr(value))
    return float(exact * factor + offset)


def resolution_of(text: str) -> float:
    """Half of the last step that a quantity's text is written to, in the base unit.

    ``"230 mm"`` was read to the millimetre, ``"9.05 in"`` to the hundredth of an inch, and a
    fraction to the sixteenth, or finer if it says so.
    """
    number, _, unit = text.rpartition(" ")
    last = number.rpartition(" ")[2]
    if "/" in last:
        step = Fraction(1, max(_FRACTION_READ_TO, int(last.partition("/")[2])))
    else:
        step = Fraction(1, 10 ** len(last.partition(".")[2]))
    return float(step / 2 * conversions()[unit][0])


# --- out: one rounding rule, one way to write a length -------------------------------------


def rounded_down(value: float, places: int) -> float:
    """As ``rounded``, but toward zero: for a most that must not be printed too large."""
    scale = 10.0**places
    return math.floor(value * scale + _NOISE) / scale


def rounded(value: float, places: int) -> float:
    """Half away from zero on the decimal, never ``-0.0``.

    The decimal is the float's shortest one after dropping float noise below 1e-9:
    2.675 rounds to 2.68 although the nearest double lies just under it.

    Raises:
        ValueError: the value is not finite: nothing non-finite may ever reach a plan.
    """
    if not math.isfinite(value):
        raise ValueError("a figure of the plan is not finite")
    scale = 10.0**places
    scaled = abs(value) * scale
    whole = math.floor(scaled)
    rest = scaled - whole
    if abs(rest - 0.5) > _NEAR_HALF:
        steps = whole + 1 if rest > 0.5 else whole
    else:
        decimal = Decimal(repr(round(abs(value), 9))) * 10**places
        steps = int(decimal.quantize(Decimal(1), ROUND_HALF_UP))
    result = steps / scale
    return -result if value < 0 and steps else result


def steps_of(value_mm: float, step_mm: float) -> int:
    """How many whole steps a length is nearest to, half away from zero."""
    return int(rounded(value_mm / step_mm, 0))


class LengthText:
    """Writes lengths in one system, in whole steps, and splits totals into parts that add up.

    Args:
        units: ``metric`` or ``inch``.
        inch_fraction: the step is 1/inch_fraction inch (8, 16, 32 or 64); ignored for metric.
    """

    def __init__(self, units: Literal["metric", "inch"], inch_fraction: int = 16) -> None:
        self.metric = units == "metric"
        self._per_inch = inch_fraction
        self.step_mm = 1.0 if self.metric else MM_PER_INCH / inch_fraction

    def write(self, value_mm: float) -> str:
        """The text of a length, rounded to the step: ``"1067 mm"``, ``"42 1/2 in"``."""
        return self.of_steps(steps_of(value_mm, self.step_mm))

    def write_up(self, value_mm: float) -> str:
        """As ``write``, rounded up: for a least length that must not be printed too short."""
        return self.of_steps(math.ceil(value_mm / self.step_mm - _NOISE))

    def write_down(self, value_mm: float) -> str:
        """As ``write``, rounded down: for a most that must not be printed too long."""
        return self.of_steps(math.floor(value_mm / self.step_mm + _NOISE))

    def of_steps(self, steps: int) -> str:
        """The text of a whole number of steps."""
        sign, steps = ("-", -steps) if steps < 0 else ("", steps)
        return sign + (self._metric_text(steps) if self.metric else self._inch_text(steps))

    @staticmethod
    def _metric_text(mm: int) -> str:
        if mm < _METRES_FROM_MM:
            return f"{mm} mm"
        return f"{mm // 1000}.{mm % 1000:03d} m"

    def _inch_text(self, steps: int) -> str:
        whole, part = divmod(steps, self._per_inch)
        fraction = f"{Fraction(part, self._per_inch)}" if part else ""
        if whole < _FEET_FROM_INCHES:
            number = " ".join(piece for piece in (str(whole) if whole else "", fraction) if piece)
            return f"{number or '0'} in"
        feet, inches = divmod(whole, INCHES_PER_FOOT)
        rest = " ".join(piece for piece in (str(inches) if inches else "", fraction) if piece)
        return f"{feet} ft {rest or '0'} in"


def shared_out(total: int, parts: list[float]) -> list[int]:
    """Whole steps for each part by largest remainder, so that they add up to the total.

    Args:
        total: the rounded total, in steps.
        parts: the unrounded parts, in steps; they sum to the unrounded total.

    Returns:
        One whole number a part; ties go to the earlier part.
    """
    floors = [math.floor(part + _NOISE) for part in parts]
    missing = total - sum(floors)
    by_remainder = sorted(range(len(parts)), key=lambda i: (floors[i] - parts[i], i))
    for i in by_remainder[:missing]:
        floors[i] += 1
    return floors


def decimal_text(value: float, places: int) -> str:
    """A rounded decimal without trailing zeros or exponent: ``"43.2"``."""
    text = f"{rounded(value, places):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def force_text(force_kn: float, metric: bool) -> str:
    """``"480 kN"`` to 0.01 kN, or whole pounds-force."""
    if metric:
        return f"{decimal_text(force_kn, 2)} kN"
    return f"{decimal_text(force_kn / float(conversions()['lbf'][0]), 0)} lbf"


def mass_text(mass_kg: float, metric: bool) -> str:
    """``"6.56 kg"`` to 0.01 kg, or to 0.01 lb."""
    if metric:
        return f"{decimal_text(mass_kg, 2)} kg"
    return f"{decimal_text(mass_kg / KG_PER_POUND, 2)} lb"


def temperature_text(temperature_c: float, metric: bool) -> str:
    """``"65 degC"`` to 0.1, or degrees Fahrenheit."""
    if metric:
        return f"{decimal_text(temperature_c, 1)} degC"
    factor, offset = conversions()["degF"]
    return f"{decimal_text((temperature_c - float(offset)) / float(factor), 1)} degF"
