"""Quantities of an accepted document, in their text or object form."""

from collections.abc import Mapping
from typing import Any, Final

from msgspec import Struct

from tuckmark import spec, units, writing

_MOST_DECIMALS: Final = 6  # as many as the grammar allows


class ReadQuantity(Struct, frozen=True):
    """How one quantity of the document was read, for the plan's ``read_as``."""

    pointer: str
    given: str | Mapping[str, Any]
    kind: units.Kind
    value: float


def base_value(given: str | Mapping[str, Any]) -> float:
    """In the kind's base unit."""
    if isinstance(given, str):
        return units.base_value(given)
    return units.base_of(given["value"], given["unit"])


def as_text(given: str | Mapping[str, Any]) -> str:
    """As its text.

    230.0 is the number 230, and a program's 229.87000000000003 was read as 229.87.
    """
    if isinstance(given, str):
        return given
    return f"{writing.decimal_text(given['value'], _MOST_DECIMALS)} {given['unit']}"


def limit_of(given: str | Mapping[str, Any]) -> float | None:
    """Its tolerance in the base unit; None where it gives none."""
    if isinstance(given, str) or "tolerance" not in given:
        return None
    return units.base_of(given["tolerance"], given["unit"])


def measured(given: str | Mapping[str, Any], value_mm: float | None = None) -> spec.Measured:
    """A measured length.

    Args:
        value_mm: its value, where that is known already.
    """
    if value_mm is None:
        value_mm = base_value(given)
    return spec.Measured(value_mm, units.resolution_of(as_text(given)), limit_of(given))
