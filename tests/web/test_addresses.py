"""Self-contained addresses: made with every plan, opened strictly, guarded against bombs."""

import base64
import contextlib
import copy
import hashlib
import json
import re
import zlib
from collections.abc import Callable
from importlib import resources
from typing import Any

import pypdfium2
import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from tuckmark import document, packing, published
from tuckmark.render.views import VIEWS
from tuckmark.web import create_app
from tuckmark.web.plan_parameters import MADE, PACKED

AssertProblem = Callable[..., dict[str, Any]]
DICTIONARY = resources.files("tuckmark").joinpath("data", "packing_1.txt").read_bytes()
EVERY_EXAMPLE = pytest.mark.parametrize("name", sorted(published.examples()))


def packed(content: bytes, digit: str = "1", dictionary: bytes = DICTIONARY) -> str:
    """An address put together by hand, as the contract tells it."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15, 9, zlib.Z_DEFAULT_STRATEGY, dictionary)
    deflated = packer.compress(content) + packer.flush()
    return digit + base64.urlsafe_b64encode(deflated).rstrip(b"=").decode()


def test_the_dictionary_never_changes() -> None:
    # regression: addresses on paper are read with it for ever
    digest = hashlib.sha256(DICTIONARY).hexdigest()
    assert digest == "007320d5db98955ba39151e4eac2489378257df69983320eef3d034122a4e34f"


@EVERY_EXAMPLE
def test_a_plan_and_its_address_say_the_same(client: FlaskClient, name: str) -> None:
    posted = client.post("/v1/plans", json=published.examples()[name])
    got = client.get(posted.json["links"]["self"])
    assert (got.status_code, got.data) == (200, posted.data)
    assert got.headers["Cache-Control"] == "private, no-cache"


@EVERY_EXAMPLE
def test_every_example_fits_a_small_qr_code(client: FlaskClient, name: str) -> None:
    # version 15 at error level M holds 412 bytes (ISO/IEC 18004, table 7, from memory)
    assert (
        len(client.post("/v1/plans", json=published.examples()[name]).json["links"]["self"]) < 400
    )


def test_the_documented_address_opens(client: FlaskClient) -> None:
    got = client.get(f"/v1/plans/{PACKED.example}")
    assert got.status_code == 200
    assert document.read(json.dumps(packing.unpack(str(PACKED.example))).encode())


def test_a_printed_address_that_still_holds(client: FlaskClient, spec: Any) -> None:
    plan = client.post("/v1/plans", json=spec).json
    made = plan["digest"].removeprefix("sha256:")[:16]
    got = client.get(f"{plan['links']['self']}?made={made}")
    assert got.json == plan


def test_a_printed_address_of_another_plan_leads_with_a_warning(
    client: FlaskClient, spec: Any
) -> None:
    plan = client.post("/v1/plans", json=spec).json
    got = client.get(f"{plan['links']['self']}?made={MADE.example[::-1]}").json
    first = got["warnings"][0]
    assert (first["code"], first["severity"]) == ("changed_since_print", "warn")
    assert got["warnings"][1:] == plan["warnings"]
    assert {**got, "warnings": plan["warnings"]} == plan


@pytest.mark.parametrize("made", ["", "869fd6b87434d62", "869fd6b87434d6200", "869FD6B87434D620"])
def test_made_is_sixteen_digits(
    client: FlaskClient, made: str, assert_problem: AssertProblem
) -> None:
    body = assert_problem(
        client.get(f"/v1/plans/{PACKED.example}?made={made}"), 400, "parameter_invalid"
    )
    assert body["errors"][0]["parameter"] == "made"


DAMAGED = {
    "nothing packed": "1",
    "cut short": str(PACKED.example)[:-4],
    "one letter short": str(PACKED.example)[:-1],
    "something added": str(PACKED.example) + "AAAA",
    "unknown dictionary": "2" + str(PACKED.example)[1:],
    "no digit": "x" + str(PACKED.example)[1:],
    "padding": str(PACKED.example) + "=",
    "not deflate": "1" + base64.urlsafe_b64encode(b"\xff" * 30).decode().rstrip("="),
    "a bomb": packed(b" " * (document.MAX_BYTES + 1)),
    "a big bomb": packed(b" " * 1_000_000),
}


@pytest.mark.parametrize("piece", DAMAGED.values(), ids=DAMAGED.keys())
def test_damaged(client: FlaskClient, piece: str, assert_problem: AssertProblem) -> None:
    response = client.get(f"/v1/plans/{piece}")
    body = assert_problem(response, 404, "not_found")
    assert [item["code"] for item in body["errors"]] == ["unknown_address"]


def test_the_largest_document_is_read_and_judged(
    client: FlaskClient, assert_problem: AssertProblem
) -> None:
    piece = packed(b"{}" + b" " * (document.MAX_BYTES - 2))
    assert_problem(client.get(f"/v1/plans/{piece}"), 422, "spec_invalid")


def test_what_it_holds_is_read_strictly(client: FlaskClient, assert_problem: AssertProblem) -> None:
    twice = packed(b'{"a": 1, "a": 2}')
    response = client.get(f"/v1/plans/{twice}")
    body = assert_problem(response, 400, "document_unreadable")
    assert body["errors"][0]["code"] == "duplicate_key"


def test_too_long_an_address(client: FlaskClient, assert_problem: AssertProblem) -> None:
    body = assert_problem(client.get("/v1/plans/1" + "A" * 2000), 414, "uri_too_long")
    said = "A spec in an address may have up to 2,000 characters; this one has 2,001."
    assert body["detail"] == said


@pytest.mark.parametrize("name", ["plan", "knots", "Tag", "sheets"])
def test_only_named_views_have_an_address(
    client: FlaskClient, spec: Any, name: str, assert_problem: AssertProblem
) -> None:
    """As the description lists them; the whole plan has the address without one."""
    own = client.post("/v1/plans", json=spec).json["links"]["self"]
    body = assert_problem(client.get(f"{own}/{name}"), 404, "not_found")
    (item,) = body["errors"]
    assert (item["parameter"], item["code"], item["given"]) == ("view", "unknown_name", name)
    assert item["allowed"] == ["sheet", "marks", "drawing", "strip", "tag"]


def test_a_spec_too_long_for_an_address_has_none(client: FlaskClient, spec: Any) -> None:
    # 20 times 60 letters at random of 16,384, 14 bits each: 2,100 bytes, 2,800 characters
    random = hashlib.shake_256(b"references").digest(2 * 20 * 60)
    letters = "".join(
        chr(0x4E00 + (high * 256 + low) % 16384)
        for high, low in zip(random[::2], random[1::2], strict=True)
    )
    spec["job"]["references"] = {f"r{n}": letters[60 * n : 60 * n + 60] for n in range(20)}
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 200, response.json
    assert "self" not in response.json["links"]


@given(st.text(st.sampled_from("0123456789ABCDEFabcdef_-"), min_size=1, max_size=300))
def test_no_spec_is_opened_by_chance_and_nothing_breaks(piece: str) -> None:
    try:
        opened = packing.unpack("1" + piece)
    except (packing.BadAddressError, document.UnreadableError):
        return
    assert not isinstance(opened, dict)  # a bare number may come of a few letters; no spec does


def test_public_url_is_checked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TUCKMARK_PUBLIC_URL", "javascript:alert(1)")
    with pytest.raises(ValueError, match="TUCKMARK_PUBLIC_URL"):
        create_app()


def test_files_are_named_after_the_order(client: FlaskClient, spec: Any) -> None:
    spec["job"]["order"] = 'LW "22/07"\u00e9'
    spec["job"].pop("item", None)
    response = client.post("/v1/plans?view=marks", json=spec)
    assert response.headers["Content-Disposition"] == 'inline; filename="LW-22-07-marks.csv"'


@pytest.mark.parametrize(
    ("query", "parameter", "code"),
    [
        ("?view=marks&dpi=203", "dpi", "not_used_here"),
        ("?dpi=203", "dpi", "not_used_here"),
        ("?view=tag&dpi=203", "dpi", "not_used_here"),
        ("?view=tag&format=svg&dpi=203", "dpi", "not_used_here"),
        ("?view=strip&format=pdf&dpi=300", "dpi", "not_used_here"),
        ("?view=drawing&format=pdf&dpi=203", "dpi", "not_used_here"),
        ("?view=marks&format=svg", "format", "not_one_of"),
        ("?view=marks&fields=marks", "fields", "not_used_here"),
        ("?format=csv&fields=marks", "fields", "not_used_here"),
        ("?view=knots", "view", "not_one_of"),
        ("?view=marks&part=core", "part", "no_such_part"),
    ],
)
def test_what_does_not_go_together(
    client: FlaskClient, spec: Any, query: str, parameter: str, code: str,
    assert_problem: AssertProblem,
) -> None:  # fmt: skip
    body = assert_problem(client.post("/v1/plans" + query, json=spec), 400, "parameter_invalid")
    assert [(item["parameter"], item["code"]) for item in body["errors"]] == [(parameter, code)]


#: what says it, without spaces: narrow strips are read letter by letter
CHANGED_WORDS = re.compile(r"nottheplan(whosedigestbegan|thatwasprinted)", re.IGNORECASE)
#: view and format -> what is read out of it; pictures in dots are drawn from the same items as SVG
SHOWN = [(name, form) for name, view in VIEWS.items() for form in view.formats if form != "png"]


@pytest.mark.parametrize(("view", "form"), SHOWN)
@pytest.mark.parametrize("name", ["towing-pendant", "dock-line-double-braid"])
def test_every_view_of_another_plan_than_was_printed_says_so(
    client: FlaskClient, name: str, view: str, form: str
) -> None:
    links = client.post("/v1/plans", json=published.examples()[name]).json["links"]
    own = links["self"] if view == "plan" else f"{links['self']}/{view}"
    for piece in ({"piece": 1, "end": "a"} if (view, form) == ("strip", "svg") else {},):
        printed = client.get(own, query_string={"format": form, **piece, "made": "0" * 16})
        unsaid = client.get(own, query_string={"format": form, **piece})
        assert (printed.status_code, unsaid.status_code) == (200, 200)
        assert told(printed.data, form)
        assert not told(unsaid.data, form)


def told(shown: bytes, form: str) -> bool:
    """Whether a view says it, in words or by the code."""
    text = " ".join(page_texts(shown)) if form == "pdf" else shown.decode()
    if form in ("csv", "json"):
        return "changed_since_print" in text
    return CHANGED_WORDS.search("".join(re.sub("<[^>]*>", "", text).split())) is not None


def page_texts(pdf: bytes) -> list[str]:
    with contextlib.closing(pypdfium2.PdfDocument(pdf)) as paper:
        texts = (paper[n].get_textpage().get_text_range() for n in range(len(paper)))
        return ["".join(text.split()) for text in texts]


def test_every_piece_of_a_changed_strip_says_so(client: FlaskClient) -> None:
    links = client.post("/v1/plans", json=published.examples()["towing-pendant"]).json["links"]
    for more in ({}, {"page": "a4"}):
        got = client.get(f"{links['self']}/strip", query_string={"made": "0" * 16, **more})
        pages = page_texts(got.data)
        assert len(pages) > 1
        assert all(CHANGED_WORDS.search(page) for page in pages)


def test_a_miscopied_printed_link_is_never_taken_for_the_plan(client: FlaskClient) -> None:
    """A packed spec has no checksum of its own; the digest beside it tells."""
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["ends"]["a"]["eye"]["inside_length"] = "457 mm"
    spec["length"]["finished"] = "18.37 m"
    links = client.post("/v1/plans", json=spec).json["links"]
    piece, made = links["printed"].removeprefix("/v1/plans/").split("?made=")
    planned = 0
    for place in range(1, len(piece)):
        for letter in "Az09-":
            wrong = piece[:place] + letter + piece[place + 1 :]
            got = client.get(f"/v1/plans/{wrong}?made={made}")
            if wrong != piece and got.status_code == 200:
                assert got.json["warnings"][0]["code"] == "changed_since_print"
                planned += 1
    assert client.get(links["printed"]).json["warnings"][0]["code"] != "changed_since_print"
    assert planned  # some letters do make another spec


def test_a_changed_tag_begins_with_it(client: FlaskClient) -> None:
    links = client.post("/v1/plans", json=published.examples()["towing-pendant"]).json["links"]
    (printed,) = page_texts(client.get(f"{links['self']}/tag?made={'0' * 16}").data)
    (unsaid,) = page_texts(client.get(f"{links['self']}/tag").data)
    assert printed.startswith("NOTTHEPLANTHATWASPRINTED")
    assert unsaid.startswith("LW-2207")
