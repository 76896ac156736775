"""The bench sheet as PDF."""

import re
from functools import cache
from importlib import resources
from typing import Any, Final

import orjson

from tuckmark.render import typesetting
from tuckmark.render.sheet import content
from tuckmark.render.view import Showing
from tuckmark.render.words import COMBINING

#: a word that may be wider than its column, where it may be broken, and what lets it
_LONG: Final = re.compile(r"\S{17,}")
_PIECE: Final = re.compile(f"(.{{8}})(?=[^{COMBINING}])")
_MAY_BREAK: Final = "\\1\u200b"
#: read by the typesetter, not by people
_NOT_TEXT: Final = frozenset({"page", "drawings", "qr", "address", "foot"})


def as_pdf(showing: Showing) -> bytes:
    """The sheet, ready to print; equal plans give equal bytes."""
    made = content.sheet(showing)
    return typesetting.pdf(_source(), {"content.json": orjson.dumps(breakable(made))})


def breakable(value: Any) -> Any:
    """The same content as plain JSON, with places where words too long for a line may break."""
    return _breakable(orjson.loads(orjson.dumps(value)))


def _breakable(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: part if key in _NOT_TEXT else _breakable(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_breakable(part) for part in value]
    return _LONG.sub(_broken, value) if isinstance(value, str) else value


def _broken(word: re.Match[str]) -> str:
    return _PIECE.sub(_MAY_BREAK, word.group())


@cache
def _source() -> str:
    return resources.files("tuckmark.render.sheet").joinpath("sheet.typ").read_text("utf-8")
