"""Header fields that make an answer safe to open."""

import re

from flask.testing import FlaskClient

from tuckmark.web import headers


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
