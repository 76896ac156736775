"""Quantities at the edge: the closed list of units, exact conversion, rounding and text.

Inside the service every figure is a plain float in the base unit its name ends
in: mm, kN, kg/m, degrees Celsius. This is the only module that knows Pint; Pint
supplies the factors, when the package is built, and never sees text from a request.
"""

import json
import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache, lru_cache
from importlib import resources
from typing import Final, Literal

from msgspec import Struct

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
_MM_PLACES: Final = 1
_FINE_INCH_PLACES: Final = 3
_METRES_FROM_MM: Final = 10_000
_FEET_FROM_INCHES: Final = 120


def units_of(kind: Kind) -> tuple[str, ...]:
    """The spellings accepted for a kind of quantity, in the order they are listed to users."""
    return tuple(unit for unit, (of_kind, _, _) in _UNITS.items() if of_kind == kind)


def pint_conversions() -> dict[str, dict[str, str]]:
    """Factor and offset of each unit as fractions, for ``data/conversions.json``.

    Source: Pint's unit definitions, which follow the SI brochure and NIST SP 811.
    """
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    table: dict[str, dict[str, str]] = {}
    for unit, (kind, name, multiple) in _UNITS.items():
        base = _PINT_BASE[kind]
        zero, one = (registry.Quantity(Fraction(n), name).to(base).magnitude for n in (0, 1))
        factor, offset = Fraction(one - zero) * multiple, Fraction(zero)
        table[unit] = {"factor": str(factor), "offset": str(offset)}
    return table


class Conversion(Struct, frozen=True):
    """From one unit to the base unit: base = (factor · value + offset) / divisor, exactly."""

    factor: int
    offset: int
    divisor: int

    def base(self, numerator: int, denominator: int) -> float:
        """Of a value that is given as a fraction; rounded once, to the nearest float."""
        return (self.factor * numerator + self.offset * denominator) / (self.divisor * denominator)

    def back(self, base: float) -> float:
        """From the base unit, near enough to be printed."""
        return (base - self.offset / self.divisor) / (self.factor / self.divisor)


@cache
def conversions() -> dict[str, Conversion]:
    """The conversion of each unit, in the order they are listed to users."""
    data = resources.files("tuckmark").joinpath("data", "conversions.json")
    table: dict[str, Conversion] = {}
    for unit, row in json.loads(data.read_text(encoding="utf-8")).items():
        factor, offset = Fraction(row["factor"]), Fraction(row["offset"])
        divisor = math.lcm(factor.denominator, offset.denominator)
        table[unit] = Conversion(int(factor * divisor), int(offset * divisor), divisor)
    return table


def _fraction(number: str) -> tuple[int, int]:
    """Such as 3, 3.5, 5/8 or 3 1/2, as the text says it, exactly."""
    whole, _, decimals = number.partition(".")
    try:
        return int(whole + decimals), 10 ** len(decimals)
    except ValueError:  # a fraction, or a float's exponent
        return sum((Fraction(part) for part in number.split(" ")), Fraction(0)).as_integer_ratio()


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
        numerator, denominator = _fraction(inches)
        whole_inches = int(feet) * INCHES_PER_FOOT
        return _conversion("in").base(whole_inches * denominator + numerator, denominator)
    return _conversion(unit).base(*_fraction(number))


def base_of(value: float, unit: str) -> float:
    """A number and a unit of the closed list, in the kind's base unit.

    A float stands for the shortest decimal that names it, as it stood in the document.
    """
    return _conversion(unit).base(*_fraction(repr(value)))


def _conversion(unit: str) -> Conversion:
    found = conversions().get(unit)
    if found is None:
        raise ValueError(f"not a unit of this service: {unit!r}")
    return found


def resolution_of(text: str) -> float:
    """Half of the last step that a quantity's text is written to, in the base unit.

    ``"230 mm"`` was read to the millimetre, ``"9.05 in"`` to the hundredth of an inch, and a
    fraction to the sixteenth, or finer if it says so.
    """
    number, _, unit = text.rpartition(" ")
    last = number.rpartition(" ")[2]
    if "/" in last:
        steps = max(_FRACTION_READ_TO, int(last.partition("/")[2]))
    else:
        steps = 10 ** len(last.partition(".")[2])
    conversion = _conversion(unit)
    return conversion.factor / (2 * steps * conversion.divisor)


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
    scale = 10.0**places
    scaled = value * scale + 0.5
    steps = scaled // 1.0
    if _NEAR_HALF < scaled - steps < 1 - _NEAR_HALF:  # never of what is not finite
        return steps / scale
    if not math.isfinite(value):
        raise ValueError("a figure of the plan is not finite")
    decimal = Decimal(repr(round(value, 9)))
    return float(decimal.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)) + 0.0  # no -0.0


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
        return self.of_steps(int(rounded(value_mm / self.step_mm, 0)))

    def write_up(self, value_mm: float) -> str:
        """As ``write``, rounded up: for a least length that must not be printed too short."""
        return self.of_steps(math.ceil(value_mm / self.step_mm - _NOISE))

    def write_down(self, value_mm: float) -> str:
        """As ``write``, rounded down: for a most that must not be printed too long."""
        return self.of_steps(math.floor(value_mm / self.step_mm + _NOISE))

    def reads_less(self, value_mm: float, least_mm: float) -> bool:
        """Whether a length is short of a least one as it is printed, in mm and in text.

        Whoever makes a piece to the printed figure, or types it back, keeps the rule that it was
        printed for, although rounding may have taken half a step off it.
        """
        if value_mm >= least_mm:
            return False
        return rounded(min(least_mm, self.as_read(least_mm)) - value_mm, _MM_PLACES) > 0

    def as_read(self, value_mm: float) -> float:
        """The length that its text says."""
        return steps_of(value_mm, self.step_mm) * self.step_mm

    def write_finely(self, value_mm: float) -> str:
        """As ``write``, to a tenth of a millimetre or a thousandth of an inch."""
        if self.metric:
            return f"{decimal_text(value_mm, _MM_PLACES)} mm"
        return f"{decimal_text(value_mm / MM_PER_INCH, _FINE_INCH_PLACES)} in"

    def of_steps(self, steps: int) -> str:
        """The text of a whole number of steps."""
        if steps < 0:
            return "-" + self.of_steps(-steps)
        if not self.metric:
            return self._inch_text(steps)
        if steps < _METRES_FROM_MM:
            return f"{steps} mm"
        return f"{steps // 1000}.{steps % 1000:03d} m"

    def _inch_text(self, steps: int) -> str:
        whole, part = divmod(steps, self._per_inch)
        if whole < _FEET_FROM_INCHES:
            return f"{self._inches(whole, part)} in"
        feet, inches = divmod(whole, INCHES_PER_FOOT)
        return f"{feet} ft {self._inches(inches, part)} in"

    def _inches(self, whole: int, part: int) -> str:
        """Whole inches and steps beyond them: ``42 1/2``."""
        if not part:
            return f"{whole}"
        common = math.gcd(part, self._per_inch)
        fraction = f"{part // common}/{self._per_inch // common}"
        return f"{whole} {fraction}" if whole else fraction


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
    return f"{decimal_text(_conversion('lbf').back(force_kn), 0)} lbf"


def mass_text(mass_kg: float, metric: bool) -> str:
    """``"6.56 kg"`` to 0.01 kg, or to 0.01 lb."""
    if metric:
        return f"{decimal_text(mass_kg, 2)} kg"
    return f"{decimal_text(mass_kg / KG_PER_POUND, 2)} lb"


def temperature_text(temperature_c: float, metric: bool) -> str:
    """``"65 degC"`` to 0.1, or degrees Fahrenheit."""
    if metric:
        return f"{decimal_text(temperature_c, 1)} degC"
    return f"{decimal_text(_conversion('degF').back(temperature_c), 1)} degF"
