"""Every code is explained with an example that brings it about, and with what to do.

``request`` says what to send, ``body`` (JSON), ``text`` or ``hex`` (bytes) what it carries, and
``at`` which pointer, parameter or header field the code is told of. Where a request cannot bring
the code about, or only one too long to print, there is a ``note`` instead.
"""

from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.validation import Judge
from tuckmark.web import problems

#: not brought about by one short request; other tests do, where anything can
TOLD_ONLY = {
    "bad_gateway",
    "bad_request",
    "batch_busy",
    "file_unreadable",
    "forbidden",
    "gateway_timeout",
    "headers_too_large",
    "included_angle_out_of_range",
    "internal_error",
    "key_needed",
    "keys_unreadable",
    "not_metered",
    "not_ready",
    "solver_busy",
    "stopping",
    "taper_leaves_no_strand",
    "too_many_requests",
    "unavailable",
    "uri_too_long",
}
ENTRIES = problems.catalogue()
SHOWN = [entry for code, entry in ENTRIES.items() if code not in TOLD_ONLY]
KEYS = {"request", "headers", "body", "text", "hex", "times", "at"}


def sent(client: FlaskClient, example: dict[str, Any]) -> Any:
    method, path = example["request"].split(" ")
    headers = {"Content-Type": "application/json"} if method == "POST" else {}
    headers |= example.get("headers", {})
    if "body" in example:
        return client.open(path, method=method, headers=headers, json=example["body"])
    data = bytes.fromhex(example["hex"]) if "hex" in example else example.get("text", "").encode()
    data *= example.get("times", 1)
    return client.open(path, method=method, headers=headers, data=data)


@pytest.mark.parametrize("code", sorted(TOLD_ONLY))
def test_what_is_only_told(code: str) -> None:
    assert list(ENTRIES[code].example) == ["note"]
    assert ENTRIES[code].example["note"]
    assert ENTRIES[code].fix


@pytest.mark.parametrize("entry", SHOWN, ids=lambda entry: entry.code)
def test_the_example_brings_the_code_about(client: FlaskClient, entry: problems.Entry) -> None:
    assert entry.fix
    assert set(entry.example) <= KEYS
    answer = sent(client, entry.example)
    body = answer.json
    if entry.kind == "problem":
        assert answer.status_code == entry.status
        assert body["type"].endswith(f"/{entry.code}")
        assert not entry.example.get("at") or len(body["errors"]) == 1
    elif entry.kind == "fault":
        told = {
            (item["code"], item.get("pointer", item.get("parameter"))) for item in body["errors"]
        }
        assert told == {(entry.code, entry.example.get("at", ""))}
    elif entry.kind == "warning":
        assert answer.status_code == 200
        told = {(item["code"], item["pointer"], item["severity"]) for item in body["warnings"]}
        assert (entry.code, entry.example["at"], entry.severity) in told
    else:
        assert entry.code in {item["code"] for item in body["cautions"]}


def test_specs_of_examples_that_plan_are_valid_anywhere() -> None:
    judge = Judge(published.schema("splice-spec"))
    for entry in SHOWN:
        if entry.kind in ("warning", "caution") and "body" in entry.example:
            body = entry.example["body"]
            for spec in [trial["spec"] for trial in body.get("trials", ())] or [body]:
                assert judge.accepts(spec), entry.code
