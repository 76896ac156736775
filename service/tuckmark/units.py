"""Quantities as they are read: the closed list of units, and exact conversion.

Inside the service every figure is a plain float in the base unit its name ends
in: mm, kN, kg/m, degrees Celsius. This is the only module that knows Pint; Pint
supplies the factors, when the package is built, and never sees text from a request.
"""

import json
import math
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
        return conversion_of("in").base(whole_inches * denominator + numerator, denominator)
    return conversion_of(unit).base(*_fraction(number))


def base_of(value: float, unit: str) -> float:
    """A number and a unit of the closed list, in the kind's base unit.

    A float stands for the shortest decimal that names it, as it stood in the document.
    """
    return conversion_of(unit).base(*_fraction(repr(value)))


def conversion_of(unit: str) -> Conversion:
    """The conversion of one unit.

    Raises:
        ValueError: the unit is not of the closed list.
    """
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
    conversion = conversion_of(unit)
    return conversion.factor / (2 * steps * conversion.divisor)
