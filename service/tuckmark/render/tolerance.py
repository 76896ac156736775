"""A mark's tolerance in few words, the same wherever a plan is shown."""

from collections.abc import Mapping
from typing import Any

Tolerance = Mapping[str, Any]


def tolerance_words(tolerance: Tolerance | None) -> str:
    """How far a mark may be off; empty where nothing that is known limits it.

    Args:
        tolerance: as it stands in the published plan.
    """
    if tolerance is None:
        return ""
    minus, plus = tolerance["minus"], tolerance["plus"]
    if minus and plus:
        if minus["text"].startswith("0 ") and plus["text"].startswith("0 "):
            return "as near as can be"
        if minus["text"] == plus["text"]:
            return f"\u00b1 {plus['text']}"
        return f"+{plus['text']}, \u2013{minus['text']}"
    return _one_way(minus, "shorter") if minus else _one_way(plus, "longer")


def _one_way(miss: Mapping[str, Any], way: str) -> str:
    return f"at most {miss['text']} {way}" if miss["mm"] else f"not {way}"
