"""Header fields that make an answer safe to open."""

import re

import pytest
from flask.testing import FlaskClient

from tuckmark.web import headers


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("LW-2207-2", "LW-2207-2.pdf"),
        ("../../etc/passwd", "etc-passwd.pdf"),
        ('a"; filename="b.exe', "a-filename-b-exe.pdf"),
        ("tauwerk\r\nSet-Cookie: a", "tauwerk-Set-Cookie-a.pdf"),
        ("Möwe 3", "M-we-3.pdf"),
        ("", "plan.pdf"),
        ("...", "plan.pdf"),
        ("x" * 300, "x" * 80 + ".pdf"),
    ],
)
def test_names_are_safe(stem: str, name: str) -> None:
    assert headers.inline(stem, ".pdf") == f'inline; filename="{name}"'


def test_policies() -> None:
    for media_type in ("application/json", "text/csv", "text/html", "image/svg+xml", "x/y"):
        policy = headers.content_security(media_type)
        assert policy.startswith("default-src 'none'; ")
        assert "frame-ancestors 'none'" in policy
        assert not re.search(r"script-src|unsafe-eval|\*|https?:", policy)


def test_every_answer_has_its_policy(client: FlaskClient) -> None:
    for path in ("/livez", "/nowhere", "/schema/v1/quantity.abnf"):
        response = client.get(path)
        assert response.headers["Content-Security-Policy"] == headers.content_security("x/y")
        assert response.headers["Referrer-Policy"] == "no-referrer"
