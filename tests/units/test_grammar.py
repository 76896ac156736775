"""What counts as a quantity: edge by edge, by the published schema alone."""

import re
from typing import Any

import jsonschema
import jsonschema_rs
import pytest

from tuckmark import published, units

LENGTHS_TAKEN = (
    "24 mm", "2.4 cm", "0.5 m", "24 in", "2 ft", "12 ft", "5/8 in", "9/8 in", "63/64 in", "1/2 ft",
    "9999/64 in", "1 1/4 in", "1 63/64 in", "1 31/32 in", "1 15/16 in", "1 7/8 in", "1 3/4 in",
    "9999999 1/2 in", "1 3/4 ft", "12 ft 3 1/2 in", "12 ft 3 in", "12 ft 0 in", "12 ft 0.000 in",
    "12 ft 11 in", "12 ft 11.999999 in", "12 ft 11 63/64 in", "12 ft 1/2 in", "0 ft 3 in",
    "0 ft 1/64 in", "0 ft 0.000001 in", "1 ft 3.5 in", "9999999 mm", "9999999.999999 m",
    "0.1 mm", "0.01 mm", "0.000001 mm", "0.100000 mm", "1.000000 mm", "10 mm", "64/64 in",
)  # fmt: skip
LENGTHS_REFUSED = (
    "", " ", "24", "mm", "24mm", " 24 mm", "24 mm ", "24  mm", "24\tmm", "24 mm\n", "\n24 mm",
    "24\u00a0mm", "24 MM", "24 Mm", "24 M", "24 IN", "24 yd", "24 km", "24 '", '24 "', "24 inch",
    "24 kN", "24 degC", "+24 mm", "-24 mm", "\u221224 mm", ".5 m", "5. m", "0 mm", "0.0 mm",
    "0.000000 mm", "00 mm", "007 mm", "01 mm", "1e3 mm", "1E3 mm", "1,000 mm", "1_000 mm",
    "1 000 mm", "1,5 m", "12345678 mm", "1.1234567 mm", "0.0000001 mm", "\u0662\u0664 mm",
    "\uff12\uff14 mm", "\u00bd in", "1\u00bd in", "NaN mm", "Infinity mm", "0x18 mm",
    "5/8 mm", "5/8 m", "5/8 cm", "5/3 in", "5/6 in", "5/10 in", "5/1 in", "5/128 in", "0/8 in",
    "05/8 in", "5/08 in", "5/ 8 in", "5 /8 in", "5//8 in", "5/8/2 in", "10000/64 in", "5.5/8 in",
    "0 1/2 in", "1 0/2 in", "1 2/2 in", "1 4/4 in", "1 9/8 in", "1 16/16 in", "1 32/32 in",
    "1 64/64 in", "1-1/4 in", "1 1/4in", "1.5 1/4 in", "1  1/4 in", "01 1/4 in",
    "12345678 1/2 in", "0 ft", "0 ft 0 in",
)  # fmt: skip
COMPOUNDS_REFUSED = (
    "12 ft 12 in", "12 ft 12.0 in", "12 ft 13 in", "12 ft 11 64/64 in", "12 ft 0 1/2 in",
    "12 ft 01 in", "12 ft 3", "12 ft 3 ft", "12 ft 3 mm", "12 m 3 cm", "12.5 ft 3 in",
    "1/2 ft 3 in", "12 ft  3 in", "12 ft 3 in 2 in", "12 ft, 3 in", "12 ft -3 in",
    "12 ft 9/8 in", "12 ft 3 9/8 in", "0 ft 0.0 in", "12 in 3 ft", "12345678 ft 3 in",
    "12 ft 3.1234567 in", "00 ft 3 in",
)  # fmt: skip
OTHERS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "length_or_zero": (
        ("0 mm", "0.0 mm", "0.000000 m", "0 in", "0 ft", "300 mm", "1 1/4 in", "12 ft 0 in"),
        ("", "0", "00 mm", "0. mm", "-0 mm", "0.0000000 mm", "0/2 in", "0 kN", "0 mm\n"),
    ),
    "force": (
        ("480 kN", "0.5 N", "40000 lbf", "1 kgf", "9999999.999999 tf", "0.000001 kN"),
        ("0 kN", "0.0 N", "-1 kN", "480kN", "480 KN", "480 kn", "480 lb", "480 lbs", "480 kg",
         "480 t", "1/2 kN", "1 1/2 tf", "480 kN\n", "480 mm", "4.8e2 kN"),
    ),
    "mass_per_length": (
        ("0.29 kg/m", "290 g/m", "29 kg/100m", "0.2 lb/ft", "25.7 lb/100ft"),
        ("0 kg/m", "-1 kg/m", "0.29 kg / m", "0.29 kg", "29 kg/100 m", "0.2 lbf/ft", "1/2 lb/ft",
         "0.29 KG/M", "0.29 kg/m\n"),
    ),
    "temperature": (
        ("30 degC", "0 degC", "-0 degC", "-20 degF", "-28.9 degC", "0.5 degC", "9999999 degC"),
        ("30 C", "30\u00b0C", "30 \u00b0C", "+30 degC", "--30 degC", "- 30 degC", "\u221230 degC",
         "30 K", "30 DEGC", "30 degc", "30 degC\n", "1/2 degC", "030 degC"),
    ),
}  # fmt: skip

TAKEN = [("length", text) for text in LENGTHS_TAKEN] + [
    (kind, text) for kind, (taken, _) in OTHERS.items() for text in taken
]
REFUSED = [("length", text) for text in (*LENGTHS_REFUSED, *COMPOUNDS_REFUSED)] + [
    (kind, text) for kind, (_, refused) in OTHERS.items() for text in refused
]


def _schema(kind: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{kind}", "$defs": published.schema("splice-spec")["$defs"]}


@pytest.mark.parametrize(("kind", "text"), TAKEN)
def test_taken_by_both_validators_and_read(kind: str, text: str) -> None:
    assert jsonschema_rs.Draft202012Validator(_schema(kind)).is_valid(text)
    assert jsonschema.Draft202012Validator(_schema(kind)).is_valid(text)
    assert isinstance(units.base_value(text), float)


@pytest.mark.parametrize(("kind", "text"), REFUSED)
def test_refused_by_both_validators(kind: str, text: str) -> None:
    assert not jsonschema_rs.Draft202012Validator(_schema(kind)).is_valid(text)
    assert not jsonschema.Draft202012Validator(_schema(kind)).is_valid(text)


@pytest.mark.parametrize(
    ("kind", "value", "taken"),
    [
        ("length", {"value": 24, "unit": "mm"}, True),
        ("length", {"value": 1e-6, "unit": "m"}, True),
        ("length", {"value": 0, "unit": "mm"}, False),
        ("length", {"value": -1, "unit": "mm"}, False),
        ("length", {"value": 10000000, "unit": "mm"}, False),
        ("length", {"value": "24", "unit": "mm"}, False),
        ("length", {"value": True, "unit": "mm"}, False),
        ("length", {"value": 24}, False),
        ("length", {"unit": "mm"}, False),
        ("length", {"value": 24, "unit": "MM"}, False),
        ("length", {"value": 24, "unit": "kN"}, False),
        ("length", {"value": 24, "unit": "mm", "tolerance": 1}, False),
        ("length_or_zero", {"value": 0, "unit": "mm"}, True),
        ("force", {"value": 0, "unit": "kN"}, False),
        ("temperature", {"value": -20, "unit": "degF"}, True),
        ("length", 24, False),
        ("length", None, False),
        ("length", ["24 mm"], False),
    ],
)
def test_object_form(kind: str, value: Any, *, taken: bool) -> None:
    assert jsonschema_rs.Draft202012Validator(_schema(kind)).is_valid(value) is taken
    assert jsonschema.Draft202012Validator(_schema(kind)).is_valid(value) is taken


@pytest.mark.parametrize(
    "kind", ["length", "length_or_zero", "force", "mass_per_length", "temperature"]
)
def test_patterns_are_anchored_without_a_dollar(kind: str) -> None:
    # engines differ on "$" before a final newline; a look-ahead for any character does not
    pattern = published.schema("splice-spec")["$defs"][f"{kind}_text"]["pattern"]
    assert pattern.startswith("^")
    assert pattern.endswith(r"(?![\s\S])")
    assert "$" not in pattern
    assert re.compile(pattern)
