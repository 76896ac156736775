"""Cut lists over HTTP: answered by the published schema, one at a time, beside the plans."""

import csv
import http.client
import io
import json
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.cutting import apart

AssertProblem = Callable[..., dict[str, Any]]
REQUEST = published.schema("cutlist-request")["examples"][0]
REPORT = jsonschema.Draft202012Validator(published.schema("cutlist-report"))
#: what a plan may take while a cut list is worked on; on an idle machine it takes milliseconds
PROMPT_S = 2.0


def hard_request(budget_s: float) -> dict[str, Any]:
    """Far more than can be proven within the budget."""
    rng = random.Random(5)  # noqa: S311 - the same draw each time
    orders = [
        {"id": f"o{n}", "rope": "r", "length": f"{rng.randint(2_000, 60_000)} mm", "quantity": 3}
        for n in range(150)
    ]
    reels = [{"id": "new", "rope": "r", "length": "200 m", "quantity": 100}]
    cuts = {"allowance": "10 mm", "keep_from": "5 m"}
    return {"orders": orders, "reels": reels, **cuts, "time_budget_s": budget_s}


def test_the_published_example(client: FlaskClient) -> None:
    response = client.post("/v1/cutlists", json=REQUEST)
    assert response.status_code == 200
    assert [error.message for error in REPORT.iter_errors(response.json)] == []
    # 4 x 22.6144 + 6 x 14.21 = 175.7176 m: one new reel, and it cannot be done without
    assert response.json["reels_used"] == 1
    assert response.json["unmade"] == []
    assert response.json["waste"] == response.json["bound"] == {"mm": 100.0, "text": "100 mm"}
    assert response.json["proven"] is True


def test_refusals_point_into_the_request(
    client: FlaskClient, assert_problem: AssertProblem
) -> None:
    order = REQUEST["orders"][0] | {"length": "22604.4mm"}
    response = client.post("/v1/cutlists", json=REQUEST | {"orders": [order]})
    body = assert_problem(response, 422, "cutlist_invalid")
    assert body["errors"][0]["pointer"] == "/orders/0/length"
    assert body["errors"][0]["hint"] == 'Write "22604.4 mm".'
    twice = REQUEST | {"orders": [REQUEST["orders"][0]] * 2}
    body = assert_problem(client.post("/v1/cutlists", json=twice), 422, "cutlist_refused")
    assert [item["code"] for item in body["errors"]] == ["repeated_id"]


def table(client: FlaskClient, request: Any, query: str = "?format=csv") -> list[dict[str, str]]:
    response = client.post(f"/v1/cutlists{query}", json=request)
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert response.headers["Content-Disposition"] == 'inline; filename="cut-list.csv"'
    return list(csv.DictReader(io.StringIO(response.text, newline="")))


def test_as_a_table_it_says_what_it_says_as_json(client: FlaskClient) -> None:
    answer = client.post("/v1/cutlists?format=json", json=REQUEST).json
    rows = table(client, REQUEST)
    assert len(rows) == 10
    cuts = [
        (reel, number, piece)
        for reel in answer["cuts"]
        for number, piece in enumerate(reel["pieces"], 1)
    ]
    for row, (reel, number, piece) in zip(rows, cuts, strict=True):
        assert (row["rope"], row["reel"]) == (reel["rope"], reel["reel"])
        assert (row["copy"], row["cut"]) == (str(reel["copy"]), str(number))
        assert (row["order"], row["part"]) == (piece["order"], piece["part"] or "")
        for name in ("length", "from", "to"):
            assert float(row[f"{name}_mm"]) == piece[name]["mm"]
            assert row[name] == piece[name]["text"]
        assert row["remnant"] == ("yes" if reel["remnant"] else "no")
        assert (row["unmade"], row["proven"]) == ("", "yes")
        last = number == len(reel["pieces"])
        assert row["offcut"] == (reel["offcut"]["text"] if last else "")
        assert row["kept"] == (("yes" if reel["kept"] else "no") if last else "")


def test_a_table_tells_what_is_not_made_and_runs_no_formula(client: FlaskClient) -> None:
    """Two pieces of 3 m and 60 m; the only reel has 5 m: one is cut, one is longer than any."""
    request = {
        "orders": [
            {"id": "=1+1", "rope": "r", "length": "3 m", "quantity": 1},
            {"id": 'long "one", two', "rope": "r", "length": "60 m", "quantity": 2},
        ],
        "reels": [{"id": "+r", "rope": "r", "length": "5 m", "remnant": True}],
    }
    made, left_out = table(client, request)
    assert (made["order"], made["reel"], made["remnant"]) == ("'=1+1", "'+r", "yes")
    assert (made["from_mm"], made["to_mm"], made["length"]) == ("0.0", "3000.0", "3000 mm")
    assert made["offcut_mm"] == "2000.0"
    assert (left_out["order"], left_out["reel"]) == ('long "one", two', "")
    assert (left_out["unmade"], left_out["unmade_quantity"]) == ("longer_than_any_reel", "2")


def test_a_table_is_had_by_accept_and_other_formats_are_not(
    client: FlaskClient, assert_problem: AssertProblem
) -> None:
    response = client.post("/v1/cutlists", json=REQUEST, headers={"Accept": "text/csv"})
    assert response.data == client.post("/v1/cutlists?format=csv", json=REQUEST).data
    assert b"\r\n" in response.data  # RFC 4180, 2.1
    body = assert_problem(
        client.post("/v1/cutlists?format=pdf", json=REQUEST), 400, "parameter_invalid"
    )
    assert body["errors"][0]["allowed"] == ["json", "csv"]


def test_a_second_cut_list_is_told_to_wait(
    client: FlaskClient, assert_problem: AssertProblem, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, may_end = threading.Event(), threading.Event()
    solved_apart = apart.solved_apart

    def slow(*arguments: Any) -> Any:
        begun.set()
        assert may_end.wait(30)
        return solved_apart(*arguments)

    monkeypatch.setattr(apart, "solved_apart", slow)
    statuses: list[int] = []
    first = threading.Thread(
        target=lambda: statuses.append(client.post("/v1/cutlists", json=REQUEST).status_code)
    )
    first.start()
    assert begun.wait(30)
    response = client.application.test_client().post("/v1/cutlists", json=REQUEST)
    assert_problem(response, 503, "solver_busy")
    assert response.headers["Retry-After"] == "5"
    invalid = client.application.test_client().post("/v1/cutlists", json={})
    assert_problem(invalid, 422, "cutlist_invalid")  # a fault is told at once
    may_end.set()
    first.join(60)
    assert statuses == [200]
    assert client.post("/v1/cutlists", json=REQUEST).status_code == 200


def test_a_solver_that_breaks_off_is_our_fault_and_frees_its_place(
    client: FlaskClient, assert_problem: AssertProblem, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_arguments: Any) -> Any:
        raise subprocess.CalledProcessError(-9, "secret")

    with monkeypatch.context() as patched:
        patched.setattr(apart, "solved_apart", broken)
        response = client.post("/v1/cutlists", json=REQUEST)
        assert_problem(response, 500, "internal_error")
        assert b"secret" not in response.data
    assert client.post("/v1/cutlists", json=REQUEST).status_code == 200


def test_what_a_broken_solver_says_goes_into_the_log_as_one_line(
    client: FlaskClient,
    assert_problem: AssertProblem,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """What broke and where, without the values; nothing of it raw on standard error."""
    breaks = "def solve():\n    raise ValueError('secret 22604.4')\nsolve()\n"
    monkeypatch.setattr(apart, "_COMMAND", (sys.executable, "-c", breaks))
    assert_problem(client.post("/v1/cutlists", json=REQUEST), 500, "internal_error")
    told = [record.getMessage() for record in caplog.records if record.name == apart.__name__]
    assert told == ["the solver ended with 1, ValueError at <string>:2"]
    assert "Traceback" not in capfd.readouterr().err


def test_a_killed_solver_is_told_of(
    client: FlaskClient,
    assert_problem: AssertProblem,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    dies = "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"
    monkeypatch.setattr(apart, "_COMMAND", (sys.executable, "-c", dies))
    assert_problem(client.post("/v1/cutlists", json=REQUEST), 500, "internal_error")
    told = [record.getMessage() for record in caplog.records if record.name == apart.__name__]
    assert told == ["the solver ended with -9, nothing said"]


def test_plans_do_not_wait_for_cut_lists(address: tuple[str, int]) -> None:
    def post(path: str, document: Any) -> Any:
        connection = http.client.HTTPConnection(*address, timeout=60)
        fields = {"Content-Type": "application/json"}
        connection.request("POST", path, json.dumps(document), fields)
        response = connection.getresponse()
        answer = json.loads(response.read())
        connection.close()
        return response.status, answer

    found: list[Any] = []
    solving = [  # as many as there are processes, and some to be told to wait
        threading.Thread(target=lambda: found.append(post("/v1/cutlists", hard_request(4))))
        for _ in range(4)
    ]
    for thread in solving:
        thread.start()
    spec, times = published.examples()["towing-pendant"], []
    while any(thread.is_alive() for thread in solving):
        begun = time.monotonic()
        status, _ = post("/v1/plans", spec)
        times.append(time.monotonic() - begun)
        assert status == 200
        time.sleep(0.05)
    statuses = sorted(status for status, _ in found)
    assert set(statuses) <= {200, 503}
    assert 200 in statuses
    for status, answer in found:
        if status == 200:
            assert answer["proven"] is False
            assert answer["unmade"] == []
    assert len(times) > 10
    assert max(times) < PROMPT_S
