"""A tolerance says in words which way it goes; plus or minus only where both ways are alike."""

from typing import Any

import pytest

from tuckmark.render.tolerance import tolerance_words


def miss(mm: float, text: str) -> dict[str, Any]:
    return {"mm": mm, "text": text, "limited_by": "bury_rule"}


@pytest.mark.parametrize(
    ("minus", "plus", "words"),
    [
        (miss(0.0, "0 mm"), None, "not shorter"),
        (None, miss(0.0, "0 mm"), "not longer"),
        (miss(12.4, "12 mm"), None, "at most 12 mm shorter"),
        (miss(12.4, "12 mm"), miss(12.9, "12 mm"), "\u00b1 12 mm"),
        (miss(0.0, "0 in"), miss(30.0, "1 3/16 in"), "+1 3/16 in, \u20130 in"),
    ],
)
def test_words(minus: Any, plus: Any, words: str) -> None:
    assert tolerance_words({"mm": 0, "text": "", "minus": minus, "plus": plus}) == words


def test_none() -> None:
    assert tolerance_words(None) == ""
