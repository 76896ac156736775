"""Batches: every line its answer, in order, in bounded memory, the same bytes everywhere."""

import copy
import http.client
import io
import logging
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import suppress
from types import SimpleNamespace
from typing import Any

import jsonschema
import orjson
import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from tuckmark import batch, cli, published
from tuckmark.document import MAX_BYTES
from tuckmark.pipeline import Pipeline, default_pipeline
from tuckmark.web import create_app, parts
from tuckmark.web.bodies import BATCH_BYTES
from tuckmark.web.parts import Parts
from tuckmark.web.problems import ProblemError
from tuckmark.web.turns import Turns

LINE = jsonschema.Draft202012Validator(published.schema("batch-line"))
NDJSON = "application/x-ndjson"
AssertProblem = Callable[..., dict[str, Any]]


def specs(count: int) -> Iterator[bytes]:
    """So many different specs, a line each."""
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    for number in range(count):
        spec["length"] = {"finished": f"{18_000 + number} mm"}
        yield orjson.dumps(spec) + b"\n"


def post(client: FlaskClient, body: bytes, query: str = "") -> list[Any]:
    response = client.post(f"/v1/batches{query}", data=body, content_type=NDJSON)
    assert response.status_code == 200
    assert response.headers["Content-Type"] == NDJSON
    assert response.data.endswith(b"\n")
    return [orjson.loads(line) for line in response.data.splitlines()]


def summary(answers: list[Any]) -> list[tuple[int, int, str]]:
    """Line, status, and for a problem its code."""
    assert [message for each in answers for message in LINE.iter_errors(each)] == []
    return [
        (
            each["line"],
            each["status"],
            each.get("problem", {"type": "/plan"})["type"].split("/")[-1],
        )
        for each in answers
    ]


def mixed() -> bytes:
    good = next(specs(1))
    refused = orjson.loads(good) | {"length": {"finished": "1 m"}}
    return b"".join(
        (
            good,
            b"\n",
            b" \t\r\n",
            b"{broken\n",
            b'"\xff"\n',
            b"\xef\xbb\xbf" + good,
            good.rstrip(b"\n") + b"\r\n",
            good.rstrip(b"\n").ljust(MAX_BYTES) + b"\n",
            good.rstrip(b"\n").ljust(MAX_BYTES + 1) + b"\n",
            good.rstrip(b"\n").ljust(MAX_BYTES + 2) + b"\n",
            b"[" * 5 * MAX_BYTES + b"\n",
            b"{}\n",
            orjson.dumps(refused) + b"\n",
            good.rstrip(b"\n"),
        )
    )


MIXED = [
    (1, 200, "plan"),
    (2, 400, "document_unreadable"),
    (3, 400, "document_unreadable"),
    (4, 400, "document_unreadable"),
    (5, 400, "document_unreadable"),
    (6, 400, "document_unreadable"),
    (7, 200, "plan"),
    (8, 200, "plan"),
    (9, 413, "document_too_large"),
    (10, 413, "document_too_large"),
    (11, 413, "document_too_large"),
    (12, 422, "spec_invalid"),
    (13, 422, "not_plannable"),
    (14, 200, "plan"),
]


def test_every_line_gets_its_answer_whatever_is_on_it(client: FlaskClient) -> None:
    assert summary(post(client, mixed())) == MIXED


@pytest.mark.parametrize(
    ("body", "answers"),
    [(b"\n", 1), (b"\n\n\n", 3), (b" ", 1), (b"{}", 1), (b"{}\n", 1), (b"{}\n{}", 2)],
)
def test_every_line_feed_ends_a_line(client: FlaskClient, body: bytes, answers: int) -> None:
    assert [each["line"] for each in post(client, body)] == list(range(1, answers + 1))


def test_no_line_is_no_batch(client: FlaskClient, assert_problem: Any) -> None:
    response = client.post("/v1/batches", data=b"", content_type=NDJSON)
    body = assert_problem(response, 400, "document_unreadable")
    assert [item["code"] for item in body["errors"]] == ["document_empty"]


def test_as_many_lines_as_are_listed_and_no_more(
    client: FlaskClient, assert_problem: AssertProblem
) -> None:
    most = client.get("/v1/about").json["limits"]["batch_lines"]
    assert most == 20_000
    assert len(post(client, b"\n" * most)) == most
    assert len(post(client, b"\n" * (most - 1) + b" ")) == most
    for body in (b"\n" * (most + 1), b"\n" * most + b" ", b"\n" * BATCH_BYTES):
        response = client.post("/v1/batches", data=body, content_type=NDJSON)
        problem = assert_problem(response, 413, "batch_too_long")
        assert "20,000" in problem["detail"]
        assert "several batches" in problem["detail"]


@given(st.binary(max_size=40).map(lambda body: body.replace(b"a", b"\n")))
def test_lines_are_counted_as_they_are_read(body: bytes) -> None:
    assert batch.count_lines(body) == len(list(batch.lines(io.BytesIO(body))))


def begun(client: FlaskClient, lines: int = 3) -> Any:
    """A batch of which only the first answer was taken."""
    body = b"".join(specs(lines))
    response = client.post("/v1/batches", data=body, content_type=NDJSON, buffered=False)
    assert response.status_code == 200
    return response


def test_a_second_batch_is_told_to_wait(client: FlaskClient, assert_problem: AssertProblem) -> None:
    """Until the first one was taken to its end, or its client is gone."""
    other = client.application.test_client()
    for over in (lambda first: list(first.response), lambda first: first.close()):
        first = begun(client)
        response = other.post("/v1/batches", data=b"{}", content_type=NDJSON)
        assert_problem(response, 503, "batch_busy")
        assert response.headers["Retry-After"] == "5"
        none = other.post("/v1/batches", data=b"", content_type=NDJSON)
        assert_problem(none, 400, "document_unreadable")  # a fault is told at once
        assert other.post("/v1/plans", json=orjson.loads(next(specs(1)))).status_code == 200
        over(first)
        assert len(post(other, b"{}")) == 1


def test_a_batch_that_nobody_took_gives_its_turn_back() -> None:
    turns = Turns("batch_busy")
    kept = Parts(iter([b""]), turns.taken())
    with pytest.raises(ProblemError), turns.taken():
        pass
    del kept
    with turns.taken():
        pass


@pytest.mark.parametrize(
    ("pause_s", "whole"), [(0.0, True), (0.19, True), (2.19, True), (2.21, False), (21.0, False)]
)
def test_a_client_may_keep_its_answer_waiting_for_so_long(
    pause_s: float, whole: bool, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """20 s and 0.2 s a part: of ten parts and the end, each may wait 2.2 s, as it is told."""
    clock = [0.0]
    monkeypatch.setattr(parts, "time", SimpleNamespace(monotonic=lambda: clock[0]))
    turns = Turns("batch_busy")
    answer = Parts(iter([b"part"] * 10), turns.taken())
    answer.request_id = "LW-2207"
    taken = 0
    with suppress(ConnectionResetError):
        for _ in answer:
            taken += 1
            clock[0] += pause_s
    assert (taken == 10 and not caplog.records) is whole
    assert ("LW-2207" in caplog.text) is not whole
    with turns.taken():
        pass  # its own has ended with it


def test_a_plan_in_a_batch_is_the_plan_by_itself(client: FlaskClient) -> None:
    every = [orjson.dumps(spec) for spec in published.examples().values()]
    for query in ("", "?fields=marks,lengths"):
        answers = post(client, b"\n".join(every), query)
        alone = [
            client.post(f"/v1/plans{query}", data=spec, content_type="application/json").json
            for spec in every
        ]
        assert [answer["plan"] for answer in answers] == alone


def test_a_problem_in_a_batch_is_the_problem_by_itself(client: FlaskClient) -> None:
    for line, answer in zip(mixed().split(b"\n"), post(client, mixed()), strict=True):
        if answer["status"] in (400, 422):
            alone = client.post("/v1/plans", data=line, content_type="application/json").json
            assert answer["problem"] == {key: alone[key] for key in alone if key != "request_id"}


def test_the_other_name_of_json_lines(client: FlaskClient) -> None:
    response = client.post("/v1/batches", data=b"{}", content_type="application/jsonl")
    assert response.status_code == 200


class SometimesBroken(Pipeline):
    """A pipeline with a fault of its own on some documents."""

    def plan(self, document: Any, printed: str | None = None) -> dict[str, Any]:
        if document["length"]["finished"] == "18001 mm":
            raise RuntimeError("secret")
        return super().plan(document, printed)


def test_a_fault_of_ours_is_one_line(caplog: pytest.LogCaptureFixture) -> None:
    good = default_pipeline()
    app = create_app(SometimesBroken(good.judge, good.reference, good.families))
    with caplog.at_level(logging.ERROR):
        response = app.test_client().post(
            "/v1/batches", data=b"".join(specs(3)), content_type=NDJSON
        )
    answers = [orjson.loads(line) for line in response.data.splitlines()]
    assert [answer["status"] for answer in answers] == [200, 500, 200]
    assert answers[1]["problem"]["type"].endswith("/internal_error")
    assert b"secret" not in response.data
    (record,) = caplog.records
    assert "line 2 " in record.getMessage()
    assert record.exc_info is not None


def peak_while_answering(client: FlaskClient, count: int) -> int:
    """Most memory held at once beyond the body, in bytes."""
    body = b"".join(specs(count))
    response = client.post("/v1/batches", data=body, content_type=NDJSON, buffered=False)
    tracemalloc.start()
    for number, part in enumerate(response.response, 1):
        assert orjson.loads(part)["line"] == number
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert number == count
    response.close()
    return peak


def test_memory_does_not_grow_with_the_lines(client: FlaskClient) -> None:
    peak_while_answering(client, 20)  # whatever is read once
    few, many = (peak_while_answering(client, count) for count in (50, 250))
    answer = len(batch.answer(default_pipeline(), 1, next(specs(1))).text)
    assert many - few < 200 * answer / 20  # kept answers would come to all of it


def test_the_first_answer_comes_before_the_last_is_made(address: tuple[str, int]) -> None:
    connection = http.client.HTTPConnection(*address, timeout=60)
    connection.request("POST", "/v1/batches", b"".join(specs(50)), {"Content-Type": NDJSON})
    response = connection.getresponse()
    assert response.headers["Transfer-Encoding"] == "chunked"
    answers = [orjson.loads(line) for line in response]
    assert [(each["line"], each["status"]) for each in answers] == [
        (number, 200) for number in range(1, 51)
    ]
    connection.close()


def test_the_command_line_writes_the_same_bytes(
    client: FlaskClient, tmp_path: Any, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    lines = tmp_path / "orders.ndjson"
    lines.write_bytes(mixed() + b"\n" + b"".join(specs(70)))
    served = client.post("/v1/batches?fields=lengths", data=lines.read_bytes(), content_type=NDJSON)
    assert cli.main(["plan", "--batch", str(lines), "--fields", "lengths"]) == cli.BAD
    out, err = capsysbinary.readouterr()
    assert out == served.data
    assert err == b""  # no progress bar where nobody looks


def test_exit_codes_of_batches(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    lines, out = tmp_path / "orders.ndjson", tmp_path / "plans.ndjson"
    lines.write_bytes(b"".join(specs(3)))
    command = ["plan", "--batch", str(lines), "-o", str(out)]
    assert cli.main(command) == cli.GOOD
    assert len(out.read_bytes().splitlines()) == 3
    stopped = orjson.loads(next(specs(1)))
    stopped["ends"]["b"]["stitching"] = "none"
    lines.write_bytes(b"".join(specs(1)) + orjson.dumps(stopped))
    assert cli.main(command) == cli.BAD
    assert cli.main(["plan", "--batch", str(lines) + ".missing"]) == cli.UNREADABLE
    assert cli.main([*command, "--view", "marks"]) == cli.UNREADABLE
    assert "one a line" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        cli.main([*command, "--fields", "marks,knots"])
    assert "knots" in capsys.readouterr().err
