"""Query parameters of every kind, from a made-up operation."""

from typing import Any

import pytest

from tuckmark.web import parameters
from tuckmark.web.problems import ProblemError
from tuckmark.web.table import Parameter

KNOWN = (
    Parameter("format", "query", "How.", "choice", "json", allowed=("json", "csv")),
    Parameter("fields", "query", "What.", "choices", "a,b", allowed=("a", "b", "c")),
    Parameter("dpi", "query", "How fine.", "integer", 300, least=72, most=600),
)


@pytest.mark.parametrize(
    ("pairs", "values"),
    [
        ([], {}),
        ([("format", "csv")], {"format": "csv"}),
        ([("fields", "c,a")], {"fields": ("c", "a")}),
        ([("dpi", "72")], {"dpi": 72}),
        ([("dpi", "600")], {"dpi": 600}),
    ],
)
def test_read(pairs: list[tuple[str, str]], values: dict[str, Any]) -> None:
    assert parameters.read(pairs, KNOWN) == values


@pytest.mark.parametrize(
    ("pairs", "items"),
    [
        ([("Format", "json")], [("Format", "unknown_parameter", ["format", "fields", "dpi"])]),
        ([("format", "json"), ("format", "json")], [("format", "repeated_parameter", None)]),
        ([("format", "")], [("format", "not_one_of", ["json", "csv"])]),
        ([("format", "json ")], [("format", "not_one_of", ["json", "csv"])]),
        ([("fields", "")], [("fields", "not_one_of", ["a", "b", "c"])]),
        ([("fields", "a,a,a")], [("fields", "repeated_value", None)]),
        ([("dpi", "71")], [("dpi", "too_small", "72 to 600")]),
        ([("dpi", "601")], [("dpi", "too_large", "72 to 600")]),
        ([("dpi", "+72")], [("dpi", "wrong_type", "72 to 600")]),
        ([("dpi", "7²")], [("dpi", "wrong_type", "72 to 600")]),
        ([("dpi", "0" * 5000 + "1")], [("dpi", "wrong_type", "72 to 600")]),
        (
            [("x", "1"), ("dpi", "9"), ("fields", "d,a,e")],
            [
                ("x", "unknown_parameter", ["format", "fields", "dpi"]),
                ("dpi", "too_small", "72 to 600"),
                ("fields", "not_one_of", ["a", "b", "c"]),
                ("fields", "not_one_of", ["a", "b", "c"]),
            ],
        ),
    ],
)
def test_all_faults_at_once(pairs: list[tuple[str, str]], items: list[tuple[Any, ...]]) -> None:
    with pytest.raises(ProblemError) as caught:
        parameters.read(pairs, KNOWN)
    assert caught.value.code == "parameter_invalid"
    found = [(item["parameter"], item["code"], item.get("allowed")) for item in caught.value.errors]
    assert found == items


def test_what_was_given_is_shown_shortened() -> None:
    with pytest.raises(ProblemError) as caught:
        parameters.read([("f" * 500, ""), ("format", "x" * 500)], KNOWN)
    assert [item["parameter"] for item in caught.value.errors] == ["f" * 79 + "\u2026", "format"]
    assert caught.value.errors[1]["given"] == "x" * 79 + "\u2026"


@pytest.mark.parametrize(
    ("pair", "hint"),
    [
        (("formt", "json"), "Did you mean format?"),
        (("Field", "a"), "Did you mean fields?"),
        (("format", "jsn"), "Did you mean json?"),
        (("knots", "2"), None),
        (("", "2"), None),
    ],
)
def test_what_was_probably_meant_is_said(pair: tuple[str, str], hint: str | None) -> None:
    with pytest.raises(ProblemError) as caught:
        parameters.read([pair], KNOWN)
    (item,) = caught.value.errors
    assert item.get("hint") == hint
