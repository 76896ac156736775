"""Line and column of a fault, against texts whose writer noted where it put everything."""

import json
import random
import time
from dataclasses import dataclass, field
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tuckmark import document
from tuckmark.cli.locating import Places

BLANKS = ("", " ", "\t", "\n", "\r\n", "  \n\t")
LETTERS = some.text(some.characters(exclude_categories=("Cs",)), max_size=6)
NAMES = LETTERS | some.sampled_from(
    ["a/b", "~", "~1", "", '"', "\\", "\u00e9", "\U0001f9f5", "\u2028"]
)
VALUES = some.recursive(
    some.none() | some.booleans() | some.integers(-999, 999) | LETTERS,
    lambda inner: some.lists(inner, max_size=3) | some.dictionaries(NAMES, inner, max_size=3),
    max_leaves=12,
)


@dataclass
class Writer:
    """Writes JSON with blanks drawn by chance and notes where it is, character by character."""

    draw: random.Random
    text: str = ""
    line: int = 1
    column: int = 1
    values: dict[str, tuple[int, int]] = field(default_factory=dict)
    names: dict[str, tuple[int, int]] = field(default_factory=dict)

    def put(self, text: str) -> None:
        for letter in text:
            self.text += letter
            self.line, self.column = (
                (self.line + 1, 1) if letter == "\n" else (self.line, self.column + 1)
            )

    def blank(self) -> None:
        self.put(self.draw.choice(BLANKS))

    def scalar(self, value: Any) -> None:
        self.put(json.dumps(value, ensure_ascii=self.draw.random() < 0.5))

    def write(self, value: Any, pointer: str = "") -> None:
        self.blank()
        self.values[pointer] = (self.line, self.column)
        if isinstance(value, dict):
            self.put("{")
            for n, (name, item) in enumerate(value.items()):
                self.put("," if n else "")
                self.blank()
                # RFC 6901, 3: ~ is written ~0, / is written ~1
                here = f"{pointer}/{name.replace('~', '~0').replace('/', '~1')}"
                self.names[here] = (self.line, self.column)
                self.scalar(name)
                self.blank()
                self.put(":")
                self.write(item, here)
            self.blank()
            self.put("}")
        elif isinstance(value, list):
            self.put("[")
            for n, item in enumerate(value):
                self.put("," if n else "")
                self.write(item, f"{pointer}/{n}")
            self.blank()
            self.put("]")
        else:
            self.scalar(value)
        self.blank()


@given(VALUES, some.integers(0, 10_000))
def test_every_value_is_found_where_it_was_written(value: Any, seed: int) -> None:
    writer = Writer(random.Random(seed))  # noqa: S311 - draws blanks, guards nothing
    writer.write(value)
    places = Places(writer.text.encode())
    assert json.loads(writer.text) == value
    for pointer, place in writer.values.items():
        assert places.of(pointer, "wrong_type") == place
    for pointer, place in writer.names.items():
        assert places.of(pointer, "unknown_property") == place


@pytest.mark.parametrize(
    ("body", "code", "place"),
    [
        (b'{"a": 1,\r\n "a": 2}', "duplicate_key", (2, 2)),
        (b'{"a": 1,\n "\\u0061": 2}', "duplicate_key", (2, 2)),
        (b'[\n\t1,\n\t2,]', "not_json", (3, 4)),
        ('{"\u00e9": \u00e9}'.encode(), "not_json", (1, 7)),
        (b'\n{"a": "\xff"}', "not_utf8", (2, 8)),
        ('"\u00e9\u00e9'.encode() + b'\xc3"', "not_utf8", (1, 4)),
        (b'[1,\n 1e999]', "number_not_finite", (2, 2)),
        (b'{"a": "NaN", "b": -Infinity}', "number_not_finite", (1, 19)),
        (b"[" + b"1" * 400 + b"]", "number_not_finite", (1, 2)),
        (b"[" * 32 + b"\n" + b'{"a": 1}' + b"]" * 32, "nested_too_deep", (2, 1)),
        (b'{"a": ["x",\n "\\ud83d"]}', "lone_surrogate", (2, 2)),
        (b"\xef\xbb\xbf{}", "byte_order_mark", (1, 1)),
        (b" \n ", "document_empty", (1, 1)),
        (b"[" + b"1" * 5000 + b"x", "number_not_finite", (1, 2)),
    ],
)  # fmt: skip
def test_what_makes_a_document_unreadable_is_found(
    body: bytes, code: str, place: tuple[int, int]
) -> None:
    with pytest.raises(document.UnreadableError) as caught:
        document.read(body)
    assert caught.value.fault.code == code
    assert Places(body).of(caught.value.fault.pointer, code) == place


@given(
    some.binary(max_size=60)
    | some.text(alphabet='{}[]":,1e.NaN\\u \n', max_size=60).map(str.encode)
)
def test_whatever_cannot_be_read_has_a_place(body: bytes) -> None:
    try:
        document.read(body)
    except document.UnreadableError as error:
        line, column = Places(body).of(error.fault.pointer, error.fault.code)
        assert 1 <= line <= body.count(b"\n") + 1
        assert column >= 1


def test_a_pointer_to_nothing_leads_to_what_would_hold_it() -> None:
    assert Places(b'{"a":\n {"b": 1}}').of("/a/c/d", "missing") == (2, 2)


@pytest.mark.parametrize("unit", ["[", '"', '\\"', " ", '{"a":', '"\\"', "1e", ",", ":", "]"])
def test_a_long_text_is_read_in_time(unit: str) -> None:
    body = (unit * 65_536)[:65_536].encode()
    with pytest.raises(document.UnreadableError) as caught:
        document.read(body)
    started = time.monotonic()
    Places(body).of(caught.value.fault.pointer, caught.value.fault.code)
    assert time.monotonic() - started < 5  # reading it again for each letter takes a minute
