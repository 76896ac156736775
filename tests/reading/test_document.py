"""Bytes to JSON, strictly: what no schema validator can see."""

import json
from collections.abc import Callable

import pytest

from tuckmark import document
from tuckmark.document import UnreadableError, read

DEEPEST = 32


@pytest.mark.parametrize(
    ("body", "code", "pointer"),
    [
        (b"", "document_empty", ""),
        (b" \t\r\n", "document_empty", ""),
        (b"\xef\xbb\xbf{}", "byte_order_mark", ""),
        (b"\xff\xfe{\x00}\x00", "not_utf8", ""),
        (b'{"a": "\xe9"}', "not_utf8", ""),
        (b'{"a": "\xed\xa0\x80"}', "not_utf8", ""),  # a surrogate in UTF-8
        (b'{"a": "\xc0\xaf"}', "not_utf8", ""),  # overlong
        (b"{", "not_json", ""),
        (b"{} {}", "not_json", ""),
        (b"{}x", "not_json", ""),
        (b"{'a': 1}", "not_json", ""),
        (b'{"a": 1,}', "not_json", ""),
        (b'{"a": 01}', "not_json", ""),
        (b'{"a": +1}', "not_json", ""),
        (b'{"a": .5}', "not_json", ""),
        (b'{"a": 5.}', "not_json", ""),
        (b'{"a": 0x10}', "not_json", ""),
        (b'{"a": nul}', "not_json", ""),
        (b'{"a": "\t"}', "not_json", ""),  # a control character, unescaped
        (b'{"a": "\\x41"}', "not_json", ""),
        (b'{"a": 1 /* one */}', "not_json", ""),
        (b"\xc2\xa0{}", "not_json", ""),  # a no-break space is not JSON's white space
        (b'{"a": 1, "a": 1}', "duplicate_key", "/a"),
        (b'{"a": 1, "\\u0061": 2}', "duplicate_key", "/a"),
        (b'{"a": [{}, {"b": 1, "c": 2, "b": 3}]}', "duplicate_key", "/a/1/b"),
        (b'{"a/b~": {"x": 1, "x": 1}}', "duplicate_key", "/a~1b~0/x"),
        (b'{"a": NaN}', "number_not_finite", ""),
        (b'{"a": Infinity}', "number_not_finite", ""),
        (b'{"a": -Infinity}', "number_not_finite", ""),
        (b'{"a": 1e400}', "number_not_finite", ""),
        (b'{"a": -1e400}', "number_not_finite", ""),
        (b'{"a": 1' + b"0" * 309 + b"}", "number_not_finite", ""),
        (b'{"a": 1' + b"0" * 5000 + b"}", "number_not_finite", ""),
        (b'{"a": "\\ud800"}', "lone_surrogate", "/a"),
        (b'{"a": ["x", "\\udc00\\ud800"]}', "lone_surrogate", "/a/1"),
        (b'{"\\ud800": 1}', "lone_surrogate", ""),
    ],
)
def test_refused(body: bytes, code: str, pointer: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read(body)
    assert (caught.value.fault.code, caught.value.fault.pointer) == (code, pointer)
    assert caught.value.fault.detail


@pytest.mark.parametrize(
    ("body", "value"),
    [
        (b"{}", {}),
        (b" \t\r\n{}\n", {}),
        (b"null", None),
        (b'"\xc3\xa9\xe2\x82\xac"', "\u00e9\u20ac"),
        (b'"\\ud83d\\ude00"', "\U0001f600"),
        (b'"\xef\xbb\xbf"', "\ufeff"),  # only a leading mark is refused
        (b"[4, 4.0, 4e0, 40e-1]", [4, 4, 4, 4]),
        (b"[0.1, -0.5, 1e-7]", [0.1, -0.5, 1e-7]),
        (b"[1e308]", [1e308]),
        (b"[1e-400]", [0]),
    ],
)
def test_read(body: bytes, value: object) -> None:
    found = read(body)
    assert found == value
    assert json.dumps(found) == json.dumps(value)


@pytest.mark.parametrize("text", [b"4.0", b"4e0", b"400e-2", b"-0.0", b"9007199254740992.0"])
def test_integral_numbers_are_integers(text: bytes) -> None:
    assert type(read(text)) is int


def test_size_at_the_limit_and_one_byte_over() -> None:
    assert document.MAX_BYTES == 64 * 1024
    fits = b'"' + b"x" * (64 * 1024 - 2) + b'"'
    assert read(fits) == "x" * (64 * 1024 - 2)
    with pytest.raises(UnreadableError) as caught:
        read(fits[:-1] + b'x"')
    assert caught.value.fault.code == "document_too_large"


def test_the_limit_can_be_another() -> None:
    assert read(b"[1]", max_bytes=3) == [1]
    with pytest.raises(UnreadableError) as caught:
        read(b"[11]", max_bytes=3)
    assert caught.value.fault.code == "document_too_large"


@pytest.mark.parametrize(("opening", "closing"), [(b"[", b"]"), (b'{"a":', b"}")])
def test_depth_at_the_limit_and_one_deeper(opening: bytes, closing: bytes) -> None:
    assert document.MAX_DEPTH == DEEPEST
    assert read(opening * DEEPEST + b"1" + closing * DEEPEST) is not None
    with pytest.raises(UnreadableError) as caught:
        read(opening * (DEEPEST + 1) + b"1" + closing * (DEEPEST + 1))
    assert caught.value.fault.code == "nested_too_deep"


@pytest.mark.parametrize("opening", [b"[", b'{"a":'])
def test_depth_far_beyond_the_limit(opening: bytes) -> None:
    many = 60_000 // len(opening)
    with pytest.raises(UnreadableError) as caught:
        read(opening * many + b"1" + (b"]" if opening == b"[" else b"}") * many, max_bytes=10**6)
    assert caught.value.fault.code == "nested_too_deep"


def test_a_duplicate_far_down_is_refused_too() -> None:
    body = b'{"a":' * 30 + b'{"b": 1, "b": 2}' + b"}" * 30
    with pytest.raises(UnreadableError) as caught:
        read(body)
    assert caught.value.fault.code == "duplicate_key"
    assert caught.value.fault.pointer == "/a" * 30 + "/b"


def test_where_json_breaks_is_told() -> None:
    with pytest.raises(UnreadableError) as caught:
        read(b'{"a": 1,\n "b" 2}')
    assert "line 2, column 6" in caught.value.fault.detail


def test_a_number_is_an_integer_as_far_as_doubles_count_by_ones() -> None:
    # 2**53 is the last; beyond it a double stands for more than one integer
    assert type(document.read(b"9007199254740992.0")) is int
    assert type(document.read(b"9007199254740994.0")) is float


def test_what_is_not_json_is_told_in_the_middle_of_a_sentence() -> None:
    with pytest.raises(document.UnreadableError) as refused:
        document.read(b'{"a" 1}')
    assert refused.value.fault.detail == "Not JSON at line 1, column 6: expecting ':' delimiter."


def nested_lists(depth: int) -> str:
    return "[" * depth + "]" * depth


def nested_objects(depth: int) -> str:
    return '{"a": ' * (depth - 1) + "{}" + "}" * (depth - 1)


@pytest.mark.parametrize("nested", [nested_lists, nested_objects])
def test_thirty_two_levels_are_read_beside_others(nested: Callable[[int], str]) -> None:
    # the contract refuses more than 32; a second, shallow branch makes the reader count them
    assert read(f"[[], {nested(DEEPEST - 1)}]".encode())
    with pytest.raises(UnreadableError) as refused:
        read(f"[[], {nested(DEEPEST)}]".encode())
    assert refused.value.fault.code == "nested_too_deep"
