"""Fuzzing of the reader and of every renderer: any bytes get an answer that makes sense."""

import json
from collections import Counter
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tuckmark import document, published
from tuckmark.pipeline import Rejected, default_pipeline
from tuckmark.render import views
from tuckmark.render.view import CannotShowError, Options, Showing, printed_address
from tuckmark.web import create_app
from tuckmark.web.running import Running

from . import figures

SEEDS = [json.dumps(spec).encode() for spec in published.examples().values()]
#: what documents are made of, and what breaks readers
TOKENS = [
    *(b"{", b"}", b"[", b"]", b",", b":", b'"', b"\\u0000", b"\\ud800", b"\\", b"\x00", b"\xff"),
    *(b"\xef\xbb\xbf", b"NaN", b"Infinity", b"-", b"1e999", b"1E-999", b"0.1", b"null", b"true"),
    *(b"24 mm", b"5/8 in", b"12 ft 3 1/2 in", b"-1 mm", b"0 mm", b"9999999 m", b"480 kN", b"1 in"),
    *(b'"splice":', b'"eye":', b'"rope":', b'"hmpe"', b'"laid_3"', b'"both":{}', b'"join":{}'),
]
tried: Counter[str] = Counter()
fuzzed = settings(deadline=None, max_examples=400, suppress_health_check=list(HealthCheck))
few = settings(fuzzed, max_examples=40)
long = settings(fuzzed, max_examples=20_000)


@pytest.fixture(scope="module", autouse=True)
def told() -> Iterator[None]:
    yield
    figures.record("bad inputs", **tried)


@st.composite
def mangled(draw: st.DrawFn) -> bytes:
    """An example with pieces cut out, doubled, or put in from elsewhere."""
    text = draw(st.sampled_from(SEEDS))
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 40)))
        piece = draw(st.sampled_from([*TOKENS, text[start:end] * 2]) | st.binary(max_size=8))
        text = text[:start] + piece + text[end:]
    return text


def changed(value: Any, draw: st.DrawFn) -> Any:
    """The document with one value, somewhere inside, exchanged for one of its other values."""
    places = list(leaves(value))
    path, _ = draw(st.sampled_from(places))
    _, other = draw(st.sampled_from(places))
    copy = json.loads(json.dumps(value))
    inner = copy
    for name in path[:-1]:
        inner = inner[name]
    inner[path[-1]] = draw(st.sampled_from(WORDS) | st.just(other))
    return copy


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value)
    for name, item in inside:
        if isinstance(item, dict | list) and item:
            yield from leaves(item, (*path, name))
        else:
            yield (*path, name), item


WORDS: list[Any] = [token.decode() for token in TOKENS if token.isascii() and token[-1:].isalnum()]
WORDS += [0, -1, 4, 1e308, True, None, {}, [], "", "locked_bury_eye", "tucked_eye", "polyester"]


@st.composite
def odd_specs(draw: st.DrawFn) -> Any:
    value = json.loads(draw(st.sampled_from(SEEDS)))
    for _ in range(draw(st.integers(1, 3))):
        value = changed(value, draw)
    return value


def read_all_or_refuse(text: bytes) -> None:
    tried["documents"] += 1
    try:
        value = document.read(text)
    except document.UnreadableError:
        return
    assert json.loads(text) == value, "what is accepted, the standard library reads alike"


#: made by a typesetter: a tenth of a second each
SLOW = {"pdf", "png"}


def render_all_or_refuse(spec: Any, *, slow: bool) -> None:
    tried["specs"] += 1
    try:
        plan = default_pipeline().plan(spec)
    except Rejected:
        return
    tried["plans"] += 1
    showing = Showing(plan, Options(), printed_address(plan, None))
    for name, view in views.VIEWS.items():
        for form in view.formats:
            if (form in SLOW) == slow:
                try:
                    first = views.show(name, form, showing)
                except CannotShowError as refusal:
                    first = refusal.detail.encode()
                tried["renderings"] += 1
                assert first


@fuzzed
@given(mangled() | st.binary(max_size=300))
def test_the_reader(text: bytes) -> None:
    read_all_or_refuse(text)


@fuzzed
@given(odd_specs())
def test_the_renderers(spec: Any) -> None:
    render_all_or_refuse(spec, slow=False)


@few
@given(odd_specs())
def test_the_typesetters(spec: Any) -> None:
    render_all_or_refuse(spec, slow=True)


@pytest.mark.soak
@long
@given(mangled() | st.binary(max_size=3000))
def test_the_reader_for_longer(text: bytes) -> None:
    read_all_or_refuse(text)


@pytest.mark.soak
@long
@given(odd_specs())
def test_the_renderers_for_longer(spec: Any) -> None:
    render_all_or_refuse(spec, slow=False)


@pytest.mark.soak
@settings(fuzzed, max_examples=1000)
@given(odd_specs())
def test_the_typesetters_for_longer(spec: Any) -> None:
    render_all_or_refuse(spec, slow=True)


@fuzzed
@given(
    st.sampled_from(["/v1/plans", "/v1/validations"]),
    mangled(),
    st.text("a/*;q=.0,\xff", max_size=9),
)
def test_the_service(path: str, text: bytes, accept: str) -> None:
    """Never a fault of its own, whatever comes."""
    tried["requests"] += 1
    answer = client().post(
        path, data=text, content_type="application/json", headers={"Accept": accept}
    )
    assert answer.status_code in (200, 400, 406, 422)


@cache
def client() -> FlaskClient:
    return create_app(running=Running()).test_client()
