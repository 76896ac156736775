"""Bytes to a JSON value, strictly: what no schema validator can see is refused here.

Refused: more than 64 KiB, an empty body, bytes that are not UTF-8, a byte order
mark, anything that is not one JSON value (RFC 8259), a key given twice in one
object, a number that is not finite as a double, nesting deeper than 32, and
half of a surrogate pair (no UTF-8 text can carry it).
"""

import json
import math
from typing import Any, Final, NoReturn

from tuckmark.faults import Fault

MAX_BYTES: Final = 64 * 1024
#: of a document that holds many others: a request for a cut list
LARGE_BYTES: Final = 1024 * 1024
MAX_DEPTH: Final = 32
_MAX_INTEGER_DIGITS: Final = 309  # longer ones exceed the largest double
_EXACT_INTEGERS: Final = 2**53
#: UTF-8 has no surrogates: only an escape can bring one in
_SURROGATE_ESCAPE: Final = "\\u"

Json = Any  # a parsed JSON value: dict, list, str, int, float, bool or None
Path = tuple[str | int, ...]


class UnreadableError(Exception):
    """The bytes are not a strict JSON document; carries the one fault found first."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.detail)
        self.fault = fault


class _DuplicateKeyError(Exception):
    pass


def read(body: bytes, *, max_bytes: int = MAX_BYTES) -> Json:
    """Parse one strict JSON document.

    Numbers with an integral value come back as ``int`` (``4.0`` and ``4e0`` are the
    integer 4 everywhere), all others as finite ``float``.

    Raises:
        UnreadableError: with code ``document_too_large``, ``document_empty``, ``not_utf8``,
            ``byte_order_mark``, ``not_json``, ``duplicate_key``, ``number_not_finite``,
            ``nested_too_deep`` or ``lone_surrogate``.
    """
    if len(body) > max_bytes:
        _refuse("document_too_large", f"The document has more than {max_bytes} bytes.")
    if body.startswith(b"\xef\xbb\xbf"):
        _refuse("byte_order_mark", "The document starts with a byte order mark; leave it out.")
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        _refuse("not_utf8", f"Byte {error.start} of the document is not UTF-8.")
    if not text.strip(" \t\r\n"):
        _refuse("document_empty", "The document is empty; a JSON object is wanted.")
    try:
        value = _parsed(text)
    except json.JSONDecodeError as error:
        _refuse(
            "not_json",
            f"Not JSON at line {error.lineno}, column {error.colno}: {_plain(error.msg)}.",
        )
    except RecursionError:
        _too_deep()
    if _SURROGATE_ESCAPE in text or text.count("{") + text.count("[") > MAX_DEPTH:
        _check(value, "", 0)
    return value


def _parsed(text: str) -> Json:
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_constant=_not_finite,
            parse_float=_float,
            parse_int=_int,
        )
    except _DuplicateKeyError:
        # the first reading ended there: what follows may not be JSON at all
        pairs = json.loads(text, object_pairs_hook=_Pairs, parse_float=str, parse_int=str)
        pointer = _duplicate_in(pairs, "") or ""
        _refuse("duplicate_key", "The same key stands twice in one object.", pointer)


def pointer_to(pointer: str, key: str | int) -> str:
    """One step further along a JSON Pointer (RFC 6901)."""
    return f"{pointer}/{str(key).replace('~', '~0').replace('/', '~1')}"


def path_of(pointer: str) -> Path:
    """The keys of a JSON Pointer, indexes as texts."""
    keys = pointer.split("/")[1:]
    return tuple(key.replace("~1", "/").replace("~0", "~") for key in keys)


class Positions:
    """Where a path stands in a document, for sorting; each container is numbered once."""

    def __init__(self, document: Json) -> None:
        self._document = document
        self._numbered: dict[int, dict[str, int]] = {}

    def of(self, path: Path) -> tuple[int, ...]:
        """The places of the path's keys, as far as the document has them."""
        position: list[int] = []
        value = self._document
        for key in path:
            if isinstance(value, dict) and key in value:
                position.append(self._numbers(value)[str(key)])
                value = value[key]
            elif isinstance(value, list) and int(key) < len(value):
                position.append(int(key))
                value = value[int(key)]
            else:
                break
        return tuple(position)

    def _numbers(self, value: dict[str, Json]) -> dict[str, int]:
        if id(value) not in self._numbered:
            self._numbered[id(value)] = {name: n for n, name in enumerate(value)}
        return self._numbered[id(value)]


def _refuse(code: str, detail: str, pointer: str = "") -> NoReturn:
    raise UnreadableError(Fault(pointer, code, detail)) from None


def _too_deep() -> NoReturn:
    _refuse("nested_too_deep", f"Arrays and objects are nested deeper than {MAX_DEPTH}.")


def _plain(message: str) -> str:
    return message[:1].lower() + message[1:]


def _object(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise _DuplicateKeyError
    return value


def _not_finite(_constant: str) -> NoReturn:
    _refuse("number_not_finite", "NaN and Infinity are not JSON; write a number.")


def _float(text: str) -> float | int:
    value = float(text)
    if not math.isfinite(value):
        _refuse("number_not_finite", "A number is too large.")
    if value.is_integer() and abs(value) <= _EXACT_INTEGERS:
        return int(value)
    return value


def _int(text: str) -> int:
    if len(text) > _MAX_INTEGER_DIGITS:
        _refuse("number_not_finite", "A number is too large.")
    value = int(text)
    try:
        float(value)
    except OverflowError:
        _refuse("number_not_finite", "A number is too large.")
    return value


def _check(value: Json, pointer: str, depth: int) -> None:
    if isinstance(value, str):
        _check_text(value, pointer)
    elif isinstance(value, dict):
        if depth == MAX_DEPTH:
            _too_deep()
        for key, item in value.items():
            _check_text(key, pointer)
            _check(item, pointer_to(pointer, key), depth + 1)
    elif isinstance(value, list):
        if depth == MAX_DEPTH:
            _too_deep()
        for index, item in enumerate(value):
            _check(item, pointer_to(pointer, index), depth + 1)


def _check_text(text: str, pointer: str) -> None:
    if not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text):
        _refuse("lone_surrogate", "A text holds half of a surrogate pair.", pointer)


class _Pairs(list[tuple[str, Json]]):
    """An object as its pairs, only to find where a key stands twice."""


def _duplicate_in(value: Json, pointer: str) -> str | None:
    if isinstance(value, _Pairs):
        seen: set[str] = set()
        for key, item in value:
            here = pointer_to(pointer, key)
            if key in seen:
                return here
            seen.add(key)
            if (found := _duplicate_in(item, here)) is not None:
                return found
    elif isinstance(value, list):
        for index, item in enumerate(value):
            if (found := _duplicate_in(item, pointer_to(pointer, index))) is not None:
                return found
    return None
