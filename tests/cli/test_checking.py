"""``tuckmark check`` over folders, patterns, standard input and JSON lines."""

import io
import json
import os
import sys
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import cli, published
from tuckmark.web import create_app

SPEC: dict[str, Any] = published.examples()["towing-pendant"]
PRETTY = json.dumps(SPEC, indent=2)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Jobs in folders, one of them wrong in line 14, beside files that are none."""
    (tmp_path / "jobs" / "may").mkdir(parents=True)
    (tmp_path / "jobs" / ".cache").mkdir()
    (tmp_path / "jobs" / "a.json").write_text(PRETTY, "utf-8")
    wrong = PRETTY.replace('"hmpe"', '"hmpee"')
    (tmp_path / "jobs" / "may" / "b.json").write_text(wrong, "utf-8")
    (tmp_path / "jobs" / ".cache" / "c.json").write_text("no spec", "utf-8")
    (tmp_path / "jobs" / "notes.txt").write_text("no spec", "utf-8")
    return tmp_path / "jobs"


def checked(capsysbinary: pytest.CaptureFixture[bytes], *arguments: str) -> tuple[int, Any]:
    code = cli.main(["check", "--format", "json", *arguments])
    return code, json.loads(capsysbinary.readouterr().out)


def test_a_folder_is_searched_but_not_its_hidden_ones(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    code, reports = checked(capsysbinary, str(folder))
    assert code == cli.BAD
    assert [report["file"] for report in reports] == [
        str(folder / "a.json"),
        str(folder / "may" / "b.json"),
    ]


def test_a_pattern_is_filled_in_and_no_file_told_twice(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    pattern = str(folder / "**" / "*.json")
    code, reports = checked(capsysbinary, pattern, str(folder / "a.json"))
    assert code == cli.BAD
    assert [Path(report["file"]).name for report in reports] == ["a.json", "b.json"]


@pytest.mark.parametrize("name", ["none.json", "*.spec", "empty"])
def test_what_leads_to_no_file_is_not_passed_over(
    folder: Path, name: str, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    (folder / "empty").mkdir()
    code, reports = checked(capsysbinary, str(folder / name), str(folder / "a.json"))
    assert code == cli.UNREADABLE
    assert [report["unreadable"] for report in reports] == [True, False]
    assert reports[0]["errors"][0]["code"] == "file_unreadable"


def test_a_file_name_that_is_no_utf_8_can_be_told(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    name = os.fsdecode(os.fsencode(folder) + b"/\xff.json")
    Path(name).write_text(PRETTY, "utf-8")
    code, reports = checked(capsysbinary, name)
    assert (code, Path(reports[0]["file"]).name) == (cli.GOOD, "\ufffd.json")


def test_line_and_column_are_told_in_every_format(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = folder / "may" / "b.json"
    (line,) = [n for n, text in enumerate(wrong.read_text().splitlines(), 1) if "hmpee" in text]
    column = wrong.read_text().splitlines()[line - 1].index('"hmpee"') + 1
    cli.main(["check", str(wrong)])
    assert capsys.readouterr().out.startswith(f"{wrong}:{line}:{column}: /rope/fibre: not_one_of: ")
    cli.main(["check", "--format", "github", str(wrong)])
    assert capsys.readouterr().out.startswith(
        f"::error file={wrong},line={line},col={column},title=not_one_of::/rope/fibre "
    )


def test_an_annotation_is_escaped_as_its_reader_wants_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Workflow commands: % CR LF are escaped in the message, : and , in properties as well."""
    odd = tmp_path / "a,b:c%.json"
    odd.write_text('{"50 %\\n": 1}', "utf-8")
    cli.main(["check", "--format", "github", str(odd)])
    first = capsys.readouterr().out.splitlines()[0]
    assert "/a%2Cb%3Ac%25.json,line=1," in first
    cli.main(["check", "--format", "github", str(odd)])
    (unknown,) = [
        line for line in capsys.readouterr().out.splitlines() if "unknown_property" in line
    ]
    assert "::/50 %25%0A There is no property of this name here: 50 %25%0A." in unknown


def test_no_control_of_a_document_or_a_file_name_reaches_the_runner(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    odd = tmp_path / "a\x1b[2Jb.json"
    odd.write_text('{"x\\u001b[31m\\u0007\\u202e": 1}', "utf-8")
    cli.main(["check", "--format", "github", str(odd)])
    told = capsys.readouterr().out
    assert "x\\x1b[31m\\x07\\u202e" in told
    assert all(letter.isprintable() for line in told.split("\n") for letter in line)


def test_what_is_allowed_and_what_was_given_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pitch of 3 d, outside the 5 to 14 d that are planned with; and a fibre there is not."""
    path = tmp_path / "pitch.json"
    path.write_text(PRETTY.replace('"230 mm"', '"72 mm"'), "utf-8")
    cli.main(["check", "--plan", str(path)])
    assert "(allowed: 5 to 14 diameters (120 mm to 336 mm)" in capsys.readouterr().out
    cli.main(["check", "--plan", "--format", "github", str(path)])
    assert "(allowed: 5 to 14 diameters (120 mm to 336 mm)" in capsys.readouterr().out
    path.write_text(PRETTY.replace('"hmpe"', '"100 %"'), "utf-8")
    cli.main(["check", str(path)])
    said = capsys.readouterr().out
    assert "(allowed: hmpe, aramid, lcp, " in said
    assert "; given: 100 %)" in said
    cli.main(["check", "--format", "github", str(path)])
    assert "; given: 100 %25)" in capsys.readouterr().out


@pytest.mark.parametrize(("given", "shown"), [("", '""'), (4, "4"), (True, "true")])
def test_what_is_given_is_shown_as_it_stands(
    given: Any, shown: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.json"
    path.write_text(json.dumps({**SPEC, "schema_version": given}), "utf-8")
    cli.main(["check", str(path)])
    assert f"given: {shown})" in capsys.readouterr().out


def test_what_a_document_holds_does_not_break_a_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.json"
    path.write_text(json.dumps({**SPEC, "schema_version": "1\n::error::\x1b[2J"}), "utf-8")
    cli.main(["check", str(path)])
    (line,) = capsys.readouterr().out.splitlines()
    assert "given: 1\\n::error::\\x1b[2J" in line
    cli.main(["check", "--format", "github", str(path)])
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("::error file=")
    assert "given: 1%0A::error::" in line


def test_a_stop_has_its_place(tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    b = {**SPEC["ends"]["b"], "stitching": "none"}
    path = tmp_path / "stopped.json"
    path.write_text(json.dumps({**SPEC, "ends": {**SPEC["ends"], "b": b}}, indent=1), "utf-8")
    code, (report,) = checked(capsysbinary, "--plan", str(path))
    assert code == cli.BAD
    (stop,) = report["stops"]
    shown = path.read_text().splitlines()[stop["line"] - 1]
    assert shown[stop["column"] - 1 :].startswith('"none"')


def test_json_lines(tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    good = json.dumps(SPEC)
    lines = [good, "", good.replace('"hmpe"', "4"), '{"a": 1, "a": 2}', good]
    path = tmp_path / "jobs.jsonl"
    path.write_bytes("\r\n".join(lines).encode() + b"\r\n")
    code, reports = checked(capsysbinary, "--lines", str(path))
    assert code == cli.UNREADABLE
    assert [report["line"] for report in reports] == [1, 3, 4, 5]
    assert [report["valid"] for report in reports] == [True, False, False, True]
    (wrong,) = reports[1]["errors"]
    assert (wrong["line"], lines[2][wrong["column"] - 1]) == (3, "4")
    (twice,) = reports[2]["errors"]
    assert (twice["line"], twice["column"]) == (4, 10)
    code, again = checked(capsysbinary, "--lines", str(tmp_path))
    assert again == reports


def test_json_lines_without_a_line(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "jobs.jsonl"
    path.write_bytes(b"\n \n")
    assert checked(capsysbinary, "--lines", str(path))[0] == cli.UNREADABLE


def test_json_lines_from_standard_input(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    body = io.BytesIO(b"\n".join(json.dumps(SPEC).encode() for _ in range(3)))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(body))
    code, reports = checked(capsysbinary, "--lines", "-")
    assert code == cli.GOOD
    assert [report["line"] for report in reports] == [1, 2, 3]


def test_too_large_a_file_is_told(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "large.json"
    path.write_text(PRETTY + " " * 65536, "utf-8")
    code, (report,) = checked(capsysbinary, str(path))
    assert (code, report["errors"][0]["code"]) == (cli.UNREADABLE, "document_too_large")


def cut_list_request(size: int) -> bytes:
    """A good request with very many orders, filled up with blanks."""
    request = published.schema("cutlist-request")["examples"][0]
    rope = request["orders"][0]["rope"]
    orders = [{"id": f"{number}", "rope": rope, "spec": SPEC} for number in range(200)]
    return json.dumps(request | {"orders": orders}).encode().ljust(size)


@pytest.mark.parametrize(
    ("size", "is_taken"), [(65_537, True), (1_048_576, True), (1_048_577, False)]
)
def test_a_cut_list_request_may_have_what_the_service_takes(
    client: FlaskClient,
    tmp_path: Path,
    capsysbinary: pytest.CaptureFixture[bytes],
    size: int,
    is_taken: bool,
) -> None:
    """1 MiB, as the README says."""
    body = cut_list_request(size)
    path = tmp_path / "cutlist.json"
    path.write_bytes(body)
    code, (report,) = checked(capsysbinary, str(path))
    answer = client.post("/v1/cutlists", data=body, content_type="application/json")
    assert (answer.status_code == 413) is not is_taken
    if is_taken:
        assert (code, report["schema"], report["valid"]) == (cli.GOOD, "cutlist-request", True)
    else:
        assert (code, report["errors"][0]["code"]) == (cli.UNREADABLE, "document_too_large")
    line = body.strip()
    assert len(line) > 65_536
    path.write_bytes(line + b"\n")
    code, (report,) = checked(capsysbinary, "--lines", str(path))
    assert (code, report["valid"]) == (cli.GOOD, True)


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    return create_app().test_client()


@pytest.mark.parametrize(
    "body",
    [
        *(json.dumps(spec) for spec in published.examples().values()),
        PRETTY.replace('"hmpe"', '"hmpee"'),
        PRETTY.replace('"18 m"', '"1 m"'),
        PRETTY.replace('"schema_version": "1.0"', '"schema_version": 1.0'),
        '{"rope": 1, "rope": 2}',
        "{",
        "[]",
    ],
)
def test_it_says_what_the_service_says(
    client: FlaskClient, body: str, tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "spec.json"
    path.write_text(body, "utf-8")
    _, (report,) = checked(capsysbinary, "--plan", str(path))
    for item in (*report["errors"], *report["stops"]):
        del item["line"], item["column"]
    answer = client.post("/v1/validations", data=body, content_type="application/json")
    assert answer.json is not None
    if answer.status_code == 200:
        assert {key: report[key] for key in answer.json} == answer.json
    else:
        assert answer.status_code == 400
        assert report["unreadable"]
        assert report["errors"] == answer.json["errors"]


def test_requests_that_hold_specs_are_judged_as_what_they_are(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    names = ("cutlist-request", "inspection-request", "calibration-request")
    for name in names:
        good = published.schema(name)["examples"][0]
        (folder / f"{name}.json").write_text(json.dumps(good), "utf-8")
    _, reports = checked(capsysbinary, "--plan", str(folder))
    told = {Path(report["file"]).stem: report for report in reports}
    assert told["a"]["schema"] == "splice-spec"
    for name in names:
        assert (told[name]["schema"], told[name]["valid"]) == (name, True)
        assert told[name]["plannable"] is None
    wrong = published.schema("cutlist-request")["examples"][0] | {"allowance": "much"}
    (folder / "cutlist-request.json").write_text(json.dumps(wrong), "utf-8")
    code, (report,) = checked(capsysbinary, str(folder / "cutlist-request.json"))
    assert code == cli.BAD
    assert [item["pointer"] for item in report["errors"]] == ["/allowance"]


def test_a_good_request_says_what_was_not_looked_at(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "cut.json"
    path.write_text(json.dumps(published.schema("cutlist-request")["examples"][0]), "utf-8")
    assert cli.main(["check", "--plan", str(path)]) == cli.GOOD
    said = "good by the schema cutlist-request; specs in it are not planned"
    assert capsys.readouterr().out == f"{path}: {said}\n"
