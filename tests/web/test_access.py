"""Keys: who is let in, who is not, and what is told about it."""

import hashlib
import json
import logging
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark.settings import SettingError
from tuckmark.web import components, create_app
from tuckmark.web.keys import KeyRing, new_key, parse, token_of
from tuckmark.web.operations import OPERATIONS
from tuckmark.web.running import GROUPS, Running, drain_s, from_environment

AssertProblem = Callable[..., dict[str, Any]]
KEY = "loft-key-1"
#: `printf %s loft-key-1 | sha256sum`, by coreutils
HASH = "0eb174617bc36f04ee54611ab6e71d18fbb8896aabe9cfd9490251cfd1624b30"


def test_a_line_can_be_made_with_sha256sum(tmp_path: Path) -> None:
    (tmp_path / "keys").write_text(f"{HASH}  shop-2\n", encoding="ascii")
    assert KeyRing(tmp_path / "keys").holder(KEY) == "shop-2"


def line(key: str, name: str) -> str:
    return f"{hashlib.sha256(key.encode()).hexdigest()} {name}\n"


@pytest.fixture
def keys_file(tmp_path: Path) -> Path:
    path = tmp_path / "keys"
    path.write_text("# loft\n\n" + line("old", "shop-1") + line(KEY, "shop-2"), encoding="ascii")
    return path


@pytest.fixture
def keyed(keys_file: Path) -> FlaskClient:
    return create_app(running=Running(keys=KeyRing(keys_file))).test_client()


def bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


def test_no_key_no_plan(keyed: FlaskClient, spec: Any, assert_problem: AssertProblem) -> None:
    response = keyed.post("/v1/plans", json=spec)
    assert_problem(response, 401, "key_needed")
    assert response.headers["WWW-Authenticate"] == 'Bearer realm="tuckmark"'
    wrong = keyed.post("/v1/plans", json=spec, headers=bearer("no-key"))
    assert_problem(wrong, 401, "key_needed")
    assert 'error="invalid_token"' in wrong.headers["WWW-Authenticate"]
    for key in ("old", KEY):
        assert keyed.post("/v1/plans", json=spec, headers=bearer(key)).status_code == 200


@pytest.mark.parametrize(
    ("field", "token"),
    [
        ("Bearer abc", "abc"),
        ("bearer  a.b~c+/d== ", "a.b~c+/d=="),
        ("Basic abc", None),
        ("Bearer", None),
        ("Bearer a b", None),
        ("Bearer é", None),
        ("", None),
        (None, None),
    ],
)
def test_the_field_is_read_by_rfc_6750(field: str | None, token: str | None) -> None:
    assert token_of(field) == token


def body_for(operation: Any, spec: Any) -> dict[str, Any]:
    """Something that the operation takes."""
    if not operation.takes:
        return {}
    own = operation.takes not in ("SpliceSpec", "AnyJson")
    document = next(iter(components.examples(operation.takes).values())) if own else spec
    form = operation.form
    return {"data": form.write([document]), "content_type": form.media_types[0]}


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda item: item.id)
def test_what_stays_open(keys_file: Path, operation: Any, spec: Any) -> None:
    """Health, documents and problems do, unless set otherwise."""
    path = operation.path.format(**{p.name: p.example for p in operation.parameters_in("path")})
    for groups in (GROUPS, *({group} for group in sorted(GROUPS)), frozenset()):
        running = Running(keys=KeyRing(keys_file), open_groups=frozenset(groups))
        is_open = not groups.isdisjoint(operation.open)
        client = create_app(running=running).test_client()
        sent = body_for(operation, spec)
        without = client.open(path, method=operation.method, **sent)
        assert (without.status_code == 200) == is_open
        assert (without.status_code == 401) == (not is_open)
        sent["buffered"] = True  # an answer that nobody takes would keep its turn
        with_key = client.open(path, method=operation.method, headers=bearer(KEY), **sent)
        assert with_key.status_code == 200
        assert "public" not in with_key.headers["Cache-Control"] or is_open
        assert client.options(path).status_code == 204


def test_health_documents_and_problems_are_open_by_default() -> None:
    by_group = {group for item in OPERATIONS for group in item.open}
    assert {"health", "documents", "problems"} <= by_group
    assert {item.id for item in OPERATIONS if "health" in item.open} == {
        "show_liveness",
        "show_readiness",
    }


@pytest.mark.parametrize(
    ("group", "path"), [("page", "/"), ("documents", "/docs"), ("problems", "/problems")]
)
def test_an_open_page_has_all_it_is_made_of(keys_file: Path, group: str, path: str) -> None:
    """Style sheets, scripts, what those import, and fonts, found as a browser finds them."""
    running = Running(keys=KeyRing(keys_file), open_groups=frozenset({group}))
    client = create_app(running=running).test_client()
    waiting, seen = [path], set()
    while waiting:
        name = waiting.pop()
        answer = client.get(name, headers={"Accept": "text/html, */*;q=0.8"})
        assert answer.status_code == 200, name
        seen.add(name)
        if name.endswith(".woff2"):
            continue
        used = re.findall(r'(?:"|url\(")(/assets/[^"]+)"', answer.text)
        used += [f"/assets/{one}" for one in re.findall(r' from "\./([^"]+)"', answer.text)]
        waiting += [one for one in used if one not in seen]
    assert {"/assets/page.css", "/assets/sans-regular.woff2"} < seen
    assert ("/assets/form.js" in seen) == (group == "page")


def test_rotation_without_restart(keys_file: Path, keyed: FlaskClient, spec: Any) -> None:
    def status(key: str) -> int:
        return keyed.post("/v1/plans", json=spec, headers=bearer(key)).status_code

    assert (status("old"), status("new")) == (200, 401)
    keys_file.write_text(line("new", "shop-1"), encoding="ascii")
    assert (status("old"), status("new")) == (401, 200)
    other = keys_file.with_name("other")
    other.write_text(line("old", "shop-1"), encoding="ascii")
    os.replace(other, keys_file)  # as a mounted secret is exchanged
    assert (status("old"), status("new")) == (200, 401)


@pytest.mark.parametrize(
    "content", ["", "# nothing\n", "abc shop\n", line("a", "shop") + "é\n", line("a", "a b"), None]
)
def test_a_broken_file_lets_nobody_in(
    keys_file: Path,
    keyed: FlaskClient,
    spec: Any,
    content: str | None,
    assert_problem: AssertProblem,
    caplog: pytest.LogCaptureFixture,
) -> None:
    assert keyed.post("/v1/plans", json=spec, headers=bearer(KEY)).status_code == 200
    if content is None:
        keys_file.unlink()
    else:
        keys_file.write_text(content, encoding="utf-8")
    with caplog.at_level(logging.ERROR):
        for _ in range(3):
            response = keyed.post("/v1/plans", json=spec, headers=bearer(KEY))
            assert_problem(response, 503, "keys_unreadable")
            assert response.headers["Retry-After"] == "5"
    assert len(caplog.records) == 1, "told once, not at every request"
    assert "nobody is let in" in caplog.text
    keys_file.write_text(line(KEY, "shop-2"), encoding="ascii")
    assert keyed.post("/v1/plans", json=spec, headers=bearer(KEY)).status_code == 200


def test_no_key_reaches_the_log(
    keyed: FlaskClient, spec: Any, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO):
        keyed.post("/v1/plans", json=spec, headers=bearer(KEY))
        keyed.post("/v1/plans", json=spec, headers=bearer("not-a-key"))
    told = [record.__dict__.get("facts", {}) for record in caplog.records]
    assert [facts["holder"] for facts in told if "holder" in facts] == ["shop-2"]
    everything = json.dumps(told) + caplog.text
    for secret in (KEY, "not-a-key", hashlib.sha256(KEY.encode()).hexdigest()):
        assert secret not in everything


def test_every_key_is_compared(keys_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No early end: the time does not tell which key was right."""
    compared = []

    def compare(known: bytes, given: bytes) -> bool:
        compared.append(known)
        return known == given

    monkeypatch.setattr("hmac.compare_digest", compare)
    assert KeyRing(keys_file).holder("old") == "shop-1"
    assert len(compared) == 2


def test_a_new_key_is_let_in_by_its_line() -> None:
    key, text = new_key("shop-3")
    ((digest, name),) = parse(text)
    assert name == "shop-3"
    assert digest == hashlib.sha256(key.encode()).digest()
    assert len(key) >= 43, "256 bits in base64url"
    assert token_of(f"Bearer {key}") == key
    with pytest.raises(ValueError, match="a name is"):
        new_key("a b")


def test_settings() -> None:
    running = from_environment({"TUCKMARK_KEYS_FILE": "keys", "TUCKMARK_OPEN": "health, packed"})
    assert running.keys
    assert running.open_groups == {"health", "packed"}
    assert from_environment({}).keys is None
    with pytest.raises(SettingError, match="TUCKMARK_OPEN: knots is none of"):
        from_environment({"TUCKMARK_OPEN": "knots"})
    assert drain_s({}) == 0
    assert drain_s({"TUCKMARK_DRAIN_S": "600"}) == 600
    for text in ("601", "-1", "nan", "x", ""):
        with pytest.raises(SettingError, match="TUCKMARK_DRAIN_S"):
            drain_s({"TUCKMARK_DRAIN_S": text})


def test_an_app_made_by_itself_heeds_the_environment(
    keys_file: Path, spec: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TUCKMARK_KEYS_FILE", str(keys_file))
    assert create_app().test_client().post("/v1/plans", json=spec).status_code == 401
