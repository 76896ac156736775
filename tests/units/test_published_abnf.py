"""The published grammar read by a parser of its own: valid ABNF, and the schema's very pattern."""

import re
import warnings
from random import Random
from typing import Any

import pytest

from tuckmark import published

# pieces that near misses are made of
PIECES = (
    "0", "1", "9", "11", "12", "15", "16", "31", "63", "64", ".", "/", " ", "2", "4", "8", "in",
    "ft", "mm", "m", "kN", "lbf", "kg/m", "lb/100ft", "degC", "1/2", "3/4", "000001", "-",
)  # fmt: skip
KINDS = ("length", "length_or_zero", "force", "mass_per_length", "temperature")


@pytest.fixture(scope="module")
def grammar() -> Any:
    abnf = pytest.importorskip("abnf")
    text = published.grammar().decode("ascii")

    class Grammar(abnf.Rule):  # type: ignore[misc, name-defined] # the module is untyped here
        pass

    with warnings.catch_warnings():
        warnings.simplefilter("error")  # such as two rules whose names differ only in case
        Grammar.load_grammar(text.replace("\r\n", "\n").replace("\n", "\r\n"))
    return Grammar


def _matches(grammar: Any, kind: str, text: str) -> bool:
    abnf = pytest.importorskip("abnf")
    try:
        grammar.get(kind.replace("_", "-")).parse_all(text)
    except abnf.ParseError:
        return False
    return True


def test_rule_names_differ_by_more_than_case() -> None:
    # RFC 5234, 2.1: rule names are case insensitive
    names = re.findall(r"^([A-Za-z][\w-]*)\s*=", published.grammar().decode("ascii"), re.MULTILINE)
    assert len({name.lower() for name in names}) == len(names)


@pytest.mark.parametrize("kind", KINDS)
def test_grammar_and_pattern_agree(grammar: Any, kind: str) -> None:
    pattern = re.compile(published.schema("splice-spec")["$defs"][f"{kind}_text"]["pattern"])
    random = Random(5234)  # noqa: S311 - no secret: the same strings every time
    texts = {
        "".join(random.choice(PIECES) for _ in range(random.randint(1, 8))) for _ in range(4000)
    }
    texts |= {"24 mm", "5/8 in", "12 ft 3 1/2 in", "0 mm", "480 kN", "0.29 kg/m", "-20 degF"}
    differing = [t for t in texts if _matches(grammar, kind, t) != bool(pattern.match(t))]
    assert differing == []
    assert any(pattern.match(text) for text in texts)
