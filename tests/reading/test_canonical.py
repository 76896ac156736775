"""The digest's canonical JSON against the library that keeps RFC 8785 for any value."""

import re
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from tuckmark.pipeline import canonical_json

_NAMES = st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
_NUMBERS = st.one_of(
    st.integers(-(2**53) + 1, 2**53 - 1),
    st.floats(allow_nan=False, allow_infinity=False),
    st.floats(0, 1e-4),
    st.integers(-1000, 1000).map(float),
)
_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), _NUMBERS, _NAMES),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(_NAMES, inner)),
    max_leaves=8,
)


@settings(deadline=None, derandomize=True, database=None, max_examples=500)
@given(st.dictionaries(_NAMES.filter(lambda name: name != "$schema"), _VALUES))
def test_it_is_what_rfc_8785_says(document: Any) -> None:
    assert canonical_json(document) == rfc8785.dumps(document)


# RFC 8785, 3.2.2.2 and 3.2.3: the example's members, sorted by UTF-16 code units
PUBLISHED = {
    "\u20ac": "Euro Sign",
    "\r": "Carriage Return",
    "\ufb33": "Hebrew Letter Dalet With Dagesh",
    "1": "One",
    "\U0001f600": "Emoji: Grinning Face",
    "\u0080": "Control",
    "\u00f6": "Latin Small Letter O With Diaeresis",
}
SORTED = (
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
)


def test_names_are_sorted_as_the_rfc_sorts_them() -> None:
    found = canonical_json(PUBLISHED).decode("utf-8")
    assert tuple(re.findall(r':"([^"]*)"', found)) == SORTED


@pytest.mark.parametrize(
    ("number", "text"),  # RFC 8785, 3.2.2.3 and appendix B: as ECMAScript writes numbers
    [
        (0.000001, b"0.000001"),
        (0.0000001, b"1e-7"),
        (-0.0, b"0"),
        (4.50, b"4.5"),
        (2e-3, b"0.002"),
        (4.0, b"4"),
        (1e21, b"1e+21"),
    ],
)
def test_numbers_are_written_as_the_rfc_writes_them(number: float, text: bytes) -> None:
    assert canonical_json({"a": number}) == b'{"a":' + text + b"}"


def test_where_the_schema_is_found_is_left_out() -> None:
    assert canonical_json({"$schema": "x", "b": [], "a": {}}) == b'{"a":{},"b":[]}'
