"""Where in a file a fault stands: JSON Pointers to lines and columns, both from 1.

Only people need this, so it is looked up after the verdict and judges nothing. Lines end
in a line feed; columns count characters (Unicode code points), a tab is one.
"""

import json
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from tuckmark.document import MAX_DEPTH, pointer_to

#: also takes a text without its end, so that no text is read twice
_PIECE: Final = re.compile(r'"(?:[^"\\]|\\.)*"?|[][{}:,]|[^][{}:,"\s]+', re.DOTALL)
_NUMBER: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
#: what is wrong is the name, not what it holds
_OF_THE_NAME: Final = frozenset({"unknown_property", "does_not_belong", "duplicate_key"})
_BYTE_ORDER_MARK: Final = "\ufeff"

Place = tuple[int, int]


@dataclass(slots=True)
class _Open:
    """An array or object that the scan is inside of."""

    pointer: str
    is_object: bool
    index: int = 0
    key: str | None = None
    key_start: int = 0
    value_comes: bool = False


@dataclass(frozen=True, slots=True)
class _Value:
    """One value of the text, in document order.

    Attributes:
        start: offset of its first character.
        name_start: offset of its name, for a member of an object; else of the value.
        written: the scalar as it is written, or the opening bracket.
        depth: how many brackets are open before it.
    """

    pointer: str
    start: int
    name_start: int
    written: str
    depth: int


class Places:
    """The places of one document's values.

    Args:
        body: the document's bytes, whatever they are.
    """

    def __init__(self, body: bytes) -> None:
        self._body = body
        text = body.decode("utf-8", "replace")
        # an editor does not show the mark: the first column is that of the letter after it
        self._text = text.removeprefix(_BYTE_ORDER_MARK)
        self._values: dict[str, list[_Value]] | None = None

    def of(self, pointer: str, code: str) -> Place:
        """Line and column of what a fault is about.

        Args:
            pointer: as the fault has it.
            code: of the fault; some are about the name, not the value, and those that make a
                document unreadable are found again in the text.
        """
        search = _SEARCHES.get(code)
        return self._place(search(self) if search else self._of_value(pointer, code))

    def _of_value(self, pointer: str, code: str) -> int:
        """The value, its nearest holder if it is not there, or its name."""
        while True:
            found = self.values.get(pointer)
            if found:
                value = found[1] if code == "duplicate_key" and len(found) > 1 else found[0]
                return value.name_start if code in _OF_THE_NAME else value.start
            if not pointer:
                return 0
            pointer = pointer.rpartition("/")[0]

    @property
    def values(self) -> dict[str, list[_Value]]:
        """Every value by its pointer; several where a name stands twice."""
        if self._values is None:
            self._values = {}
            for value in _scan(self._text):
                self._values.setdefault(value.pointer, []).append(value)
        return self._values

    def not_json(self) -> int:
        """Where the text stops being JSON."""
        try:
            json.loads(self._text, parse_int=str)  # a long one is not what is looked for
        except json.JSONDecodeError as error:
            return error.pos
        return 0

    def not_utf8(self) -> int:
        """The first byte that is not UTF-8."""
        try:
            self._body.decode("utf-8")
        except UnicodeDecodeError as error:
            return len(self._body[: error.start].decode("utf-8").removeprefix(_BYTE_ORDER_MARK))
        return 0

    def number_not_finite(self) -> int:
        """The first number that is none, or that no double holds."""
        return self._first(lambda value: _not_finite(value.written))

    def nested_too_deep(self) -> int:
        """The first bracket that is too deep."""
        return self._first(lambda value: value.written in "[{" and value.depth >= MAX_DEPTH)

    def _first(self, is_it: Any) -> int:
        return next((value.start for value in _scan(self._text) if is_it(value)), 0)

    def _place(self, offset: int) -> Place:
        before = self._text[:offset]
        return before.count("\n") + 1, offset - before.rfind("\n")


_SEARCHES: Final = {
    "not_json": Places.not_json,
    "not_utf8": Places.not_utf8,
    "number_not_finite": Places.number_not_finite,
    "nested_too_deep": Places.nested_too_deep,
}


def _scan(text: str) -> Iterator[_Value]:
    """Every value of a JSON text, in document order, without recursion."""
    stack: list[_Open] = []
    for match in _PIECE.finditer(text):
        piece, start = match[0], match.start()
        inside = stack[-1] if stack else None
        if piece == ":" and inside:
            inside.value_comes = True
        elif piece == ",":
            _to_the_next(inside)
        elif piece in "]}":
            stack[-1:] = []
        elif inside and inside.is_object and not inside.value_comes:
            inside.key, inside.key_start = json.loads(piece, strict=False), start
        else:
            value = _value(inside, piece, start, len(stack))
            yield value
            if piece in "[{":
                stack.append(_Open(value.pointer, piece == "{"))


def _to_the_next(inside: _Open | None) -> None:
    if inside:
        inside.index += 1
        inside.value_comes = False


def _value(inside: _Open | None, piece: str, start: int, depth: int) -> _Value:
    if inside is None:
        return _Value("", start, start, piece, depth)
    if inside.is_object:
        pointer = pointer_to(inside.pointer, inside.key or "")
        return _Value(pointer, start, inside.key_start, piece, depth)
    return _Value(pointer_to(inside.pointer, inside.index), start, start, piece, depth)


def _not_finite(piece: str) -> bool:
    if piece in ("NaN", "Infinity", "-Infinity"):
        return True
    number = _NUMBER.match(piece)
    return number is not None and not math.isfinite(float(number[0]))
