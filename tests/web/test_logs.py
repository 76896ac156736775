"""The log: one line a request, nothing of the spec, nothing of the values that broke something."""

import json
import logging
import os
import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark.pipeline import Pipeline, default_pipeline
from tuckmark.web import create_app, logs

#: the example of W3C Trace Context, 3.2.3
PARENT = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01"


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        (PARENT, PARENT),
        ("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-00",) * 2,
        ("01" + PARENT[2:] + "-later", "01" + PARENT[2:]),
        (PARENT + "-later", None),  # version 00 has four parts
        ("ff" + PARENT[2:], None),
        (PARENT.upper(), None),
        (PARENT[:-1], None),
        (PARENT + "0", None),
        (PARENT + "\n", None),
        (PARENT.replace("0af7651916cd43dd8448eb211c80319c", "0" * 32), None),
        (PARENT.replace("b7ad6b7169203331", "0" * 16), None),
        ("", None),
        (None, None),
    ],
)
def test_traceparent_by_w3c_trace_context(given: str | None, kept: str | None) -> None:
    assert logs.traceparent(given) == kept


def lines_of(caplog: pytest.LogCaptureFixture) -> list[dict[str, Any]]:
    return [json.loads(logs.JsonLines().format(record)) for record in caplog.records]


def test_one_line_a_request(
    client: FlaskClient, spec: Any, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO):
        client.post(
            "/v1/plans?fields=marks",
            json=spec,
            headers={"X-Request-ID": "job-7", "traceparent": PARENT},
        )
        client.get("/problems/no_such_code_here")
        client.get("/v1/plans/1SECRET/strip?made=SECRET")
        client.get("/SECRET")
        client.open("/livez", method="K" * 300)
    plan, problem, packed, nowhere, odd = lines_of(caplog)
    assert plan["bytes"] > 1000
    assert plan["duration_ms"] > 0
    for line in (plan, problem, packed, nowhere, odd):
        assert line.pop("time").endswith("+00:00")
        for name in ("bytes", "duration_ms", "pid"):
            line.pop(name)
    common = {"level": "info", "event": "request"}
    assert plan == common | {
        "method": "POST",
        "route": "/v1/plans",
        "status": 200,
        "request_id": "job-7",
        "traceparent": PARENT,
    }
    assert (problem["route"], problem["problem"]) == ("/problems/{code}", "not_found")
    assert packed["route"] == "/v1/plans/{packed}/{view}"
    assert (nowhere["route"], nowhere["status"]) == ("none", 404)
    assert odd["method"] == "K" * 16
    everything = json.dumps([plan, problem, packed, nowhere, odd])
    for secret in ("SECRET", "no_such_code_here", spec["job"]["order"]):
        assert secret not in everything


class Broken(Pipeline):
    """A pipeline that breaks and would give the spec away."""

    def plan(self, document: Any, printed: str | None = None) -> dict[str, Any]:  # noqa: ARG002
        try:
            return {}[document["job"]["order"]]
        except KeyError as error:
            raise RuntimeError(f"secret of {document}") from error


def test_an_error_tells_where_but_not_with_what(
    spec: Any, caplog: pytest.LogCaptureFixture
) -> None:
    good = default_pipeline()
    app = create_app(Broken(good.judge, good.reference, good.families))
    with caplog.at_level(logging.INFO):
        app.test_client().post("/v1/plans", json=spec)
    error, request = lines_of(caplog)
    assert [told["kind"] for told in error["errors"]] == ["RuntimeError", "KeyError"]
    assert error["errors"][0]["at"][-1].startswith("test_logs.py:")
    assert request["problem"] == "internal_error"
    assert spec["job"]["order"] not in json.dumps([error, request])


def test_nobody_waits_for_whoever_reads_the_log(monkeypatch: pytest.MonkeyPatch) -> None:
    """A full pipe costs lines; when there is room again, the next line says how many."""
    reading, writing = os.pipe()
    logger = logging.Logger("alone")
    with open(writing, "w", encoding="utf-8") as stream, open(reading, "rb") as other:
        monkeypatch.setattr("sys.stderr", stream)
        handler = logs.handler()
        logger.addHandler(handler)
        for _ in range(3000):
            logger.info("x" * 100)
        taken = other.read1(1 << 20)
        assert 0 < taken.count(b"\n") < 3000
        logger.info("again")
        last = json.loads(other.read1(1 << 20).splitlines()[-1])
    assert last["event"] == "again"
    assert last["lines_left_out"] == 3000 - taken.count(b"\n")


def test_on_a_terminal_lines_are_short_and_gunicorn_keeps_to_itself(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A pseudo-terminal; the bytes of a client do not move its cursor."""
    own, theirs = os.openpty()
    with open(theirs, "w", encoding="utf-8") as stream, open(own, encoding="utf-8") as shown:
        monkeypatch.setattr("sys.stderr", stream)
        handler = logs.handler()
        for name in ("gunicorn.error", "tuckmark.requests", "alone"):
            monkeypatch.setattr(logging.getLogger(name), "handlers", [handler])
            monkeypatch.setattr(logging.getLogger(name), "propagate", False)
        logging.getLogger("gunicorn.error").info("Booting worker")
        logging.getLogger("gunicorn.error").warning("Invalid\x1b[2J")
        with caplog.at_level(logging.INFO):
            client.get("/livez")
            client.get("/problems/none_such", headers={"X-Request-ID": "job-7"})
        try:
            {}["secret"]
        except KeyError:
            logging.getLogger("alone").exception("broke")
        lines = [shown.readline().rstrip() for _ in range(4)]
    times, said = zip(*(line.split(" ", 1) for line in lines), strict=True)
    assert all(re.fullmatch(r"\d\d:\d\d:\d\d", time) for time in times)
    warned, asked, refused, broke = said
    assert warned == r"warning: Invalid\x1b[2J"
    assert re.fullmatch(r"200 GET /livez, [0-9.]+ ms", asked)
    assert re.fullmatch(
        r"404 GET /problems/\{code\}, [0-9.]+ ms, not_found \(request job-7\)", refused
    )
    assert re.match(r"error: broke; KeyError at test_logs.py:\d+ ", broke)
    assert "secret" not in broke


def test_a_batch_is_told_when_it_was_answered(
    client: FlaskClient, spec: Any, caplog: pytest.LogCaptureFixture
) -> None:
    """Its answer is made while it is taken: its bytes and time are only known at its end."""
    lines = (json.dumps(spec) + "\n") * 3
    with caplog.at_level(logging.INFO):
        answer = client.post("/v1/batches", data=lines, content_type="application/x-ndjson")
        whole = answer.data
        answer.close()
    (told,) = lines_of(caplog)
    assert (told["route"], told["status"]) == ("/v1/batches", 200)
    assert told["bytes"] == len(whole)


def test_a_batch_that_is_broken_off_is_told_as_far_as_it_came(
    client: FlaskClient, spec: Any, caplog: pytest.LogCaptureFixture
) -> None:
    lines = (json.dumps(spec) + "\n") * 3
    with caplog.at_level(logging.INFO):
        answer = client.post(
            "/v1/batches", data=lines, content_type="application/x-ndjson", buffered=False
        )
        first = next(iter(answer.response))
        assert not lines_of(caplog)
        answer.close()
    (told,) = lines_of(caplog)
    assert told["bytes"] == len(first)
