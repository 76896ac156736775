"""Accept, as RFC 9110 section 12.5.1 has it."""

import pytest

from tuckmark.web import negotiation

JSON, SCHEMA, TEXT = "application/json", "application/schema+json", "text/plain"
FIGURES = "text/plain; version=0.0.4"


@pytest.mark.parametrize(
    ("accept", "offers", "chosen"),
    [
        (None, (SCHEMA, JSON), SCHEMA),
        ("", (SCHEMA, JSON), SCHEMA),
        ("*/*", (SCHEMA, JSON), SCHEMA),
        ("application/*", (TEXT, JSON), JSON),
        ("application/json", (SCHEMA, JSON), JSON),
        ("APPLICATION/Json", (SCHEMA, JSON), JSON),
        ("application/json;q=0.5, application/schema+json;q=0.4", (SCHEMA, JSON), JSON),
        ("application/json;q=0.5, application/schema+json; q=0.5", (SCHEMA, JSON), SCHEMA),
        # the most specific range decides, not the one of the greatest weight
        ("*/*, application/schema+json;q=0.1", (SCHEMA, JSON), JSON),
        ("application/*;q=0.2, */*;q=0.9", (JSON, TEXT), TEXT),
        ("application/json;q=0, */*", (JSON,), None),
        ("application/json; q=0.000, text/plain", (JSON,), None),
        ("text/html", (JSON,), None),
        ("text/html, */*;q=0.001", (JSON,), JSON),
        # every offer is UTF-8; no other parameter is offered
        ("application/json; charset=utf-8", (JSON,), JSON),
        ('application/json; charset="UTF-8"', (JSON,), JSON),
        ("application/json; charset=latin1", (JSON,), None),
        ("application/json; version=2", (JSON,), None),
        ("application/json; charset=utf-8; q=0.1, application/json", (JSON, SCHEMA), JSON),
        # an offer with a parameter of its own
        ("text/plain; version=0.0.4", (FIGURES,), FIGURES),
        ("text/plain;version=0.0.4;charset=utf-8;q=0.3", (FIGURES,), FIGURES),
        ("text/plain", (FIGURES,), FIGURES),
        ("text/*;q=0.1", (FIGURES,), FIGURES),
        ("text/plain; version=1.0.0", (FIGURES,), None),
        # what cannot be read says nothing
        ("application, text/, /json, json", (JSON,), None),
        ("application/json;q=2", (JSON,), None),
        ("application/json;q=0.1234", (JSON,), None),
        ("*/json", (JSON,), None),
        (", ,application/json,", (JSON,), JSON),
        ('text/x;a="b,application/json"', (JSON,), None),
        ('text/x;a="b\\",", application/json', (JSON,), JSON),
    ],
)
def test_best(accept: str | None, offers: tuple[str, ...], chosen: str | None) -> None:
    assert negotiation.best(accept, offers) == chosen


def test_an_endless_field_is_read_in_time() -> None:
    assert negotiation.best('"\\' * 4000, (JSON,)) is None


@pytest.mark.parametrize(
    ("text", "essence", "charset"),
    [
        ("application/json", "application/json", None),
        (" Application/JSON ;\tCharset = UTF-8 ", "application/json", "utf-8"),
        ('application/json; charset="utf\\-8"', "application/json", "utf-8"),
        ("application/json;", "application/json", None),
        ("application/json; a=b; charset=x", "application/json", "x"),
    ],
)
def test_media_type(text: str, essence: str, charset: str | None) -> None:
    found = negotiation.media_type(text)
    assert found is not None
    assert (found.essence, found.parameter("charset")) == (essence, charset)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "json",
        "application/json, application/json",
        "a/b; c",
        "a/b; c=d; C=d",
        'a/b; c="d',
        "a b/c",
    ],
)
def test_no_media_type(text: str) -> None:
    assert negotiation.media_type(text) is None


def test_a_field_longer_than_any_client_needs_is_not_read() -> None:
    """An unclosed quote in 32 KiB once held a worker for seconds."""
    longest = JSON + " " * (negotiation.MOST_CHARACTERS - len(JSON))
    assert negotiation.best(longest, (JSON,)) == JSON
    assert negotiation.best(longest + " ", (JSON,)) is None
    assert negotiation.media_type(longest) == negotiation.media_type(JSON)
    assert negotiation.media_type(longest + " ") is None
