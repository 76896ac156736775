"""The command line as its users call it: what it writes, and what it returns."""

import io
import json
import os
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tuckmark import cli, published

SPEC: dict[str, Any] = published.examples()["towing-pendant"]


def written(folder: Path, name: str, document: Any) -> str:
    path = folder / name
    path.write_text(document if isinstance(document, str) else json.dumps(document), "utf-8")
    return str(path)


@pytest.fixture
def good(tmp_path: Path) -> str:
    return written(tmp_path, "good.json", SPEC)


@pytest.fixture
def misspelt(tmp_path: Path) -> str:
    rope = {**SPEC["rope"], "fibre": "hmpee"}
    return written(tmp_path, "misspelt.json", {**SPEC, "rope": rope})


@pytest.fixture
def too_short(tmp_path: Path) -> str:
    return written(tmp_path, "short.json", {**SPEC, "length": {"finished": "1 m"}})


@pytest.fixture
def stopped(tmp_path: Path) -> str:
    b = {**SPEC["ends"]["b"], "stitching": "none"}
    return written(tmp_path, "stopped.json", {**SPEC, "ends": {**SPEC["ends"], "b": b}})


@pytest.fixture
def unreadable(tmp_path: Path) -> str:
    return written(tmp_path, "unreadable.json", '{"rope": 1, "rope": 2}')


def test_plan_writes_the_plan(good: str, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    assert cli.main(["plan", good]) == cli.GOOD
    plan = json.loads(capsysbinary.readouterr().out)
    assert plan["lengths"]["cut"]["mm"] == 22604.4  # the contract's worked example


def test_plan_writes_to_a_file(good: str, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    assert cli.main(["plan", good, "-o", str(out)]) == cli.GOOD
    assert json.loads(out.read_bytes())["usable"] is True


def test_plan_reads_standard_input(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    body = io.TextIOWrapper(io.BytesIO(json.dumps(SPEC).encode()))
    monkeypatch.setattr(sys, "stdin", body)
    assert cli.main(["plan", "-"]) == cli.GOOD
    assert json.loads(capsysbinary.readouterr().out)["usable"] is True


def test_a_stopped_plan_is_written_but_not_good(
    stopped: str, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert cli.main(["plan", stopped]) == cli.BAD
    out, err = capsysbinary.readouterr()
    assert json.loads(out)["usable"] is False
    assert b"do not splice from this plan: A straight bury without stitching" in err


def test_plan_says_why_there_is_none(
    misspelt: str, unreadable: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["plan", misspelt]) == cli.BAD
    assert "/rope/fibre: not_one_of" in capsys.readouterr().err
    assert cli.main(["plan", unreadable]) == cli.UNREADABLE
    assert "/rope: duplicate_key" in capsys.readouterr().err


def test_check_answers_by_its_exit_code(
    good: str, misspelt: str, too_short: str, stopped: str, unreadable: str
) -> None:
    assert cli.main(["check", good]) == cli.GOOD
    assert cli.main(["check", good, misspelt]) == cli.BAD
    assert cli.main(["check", good, misspelt, unreadable]) == cli.UNREADABLE
    assert cli.main(["check", too_short, stopped]) == cli.GOOD  # the schema accepts both
    assert cli.main(["check", "--plan", good]) == cli.GOOD
    assert cli.main(["check", "--plan", too_short]) == cli.BAD
    assert cli.main(["check", "--plan", stopped]) == cli.BAD
    assert cli.main(["check", good + ".missing"]) == cli.UNREADABLE


def test_check_tells_every_fault_in_words(
    good: str, misspelt: str, stopped: str, capsys: pytest.CaptureFixture[str]
) -> None:
    cli.main(["check", "--plan", good, misspelt, stopped])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{good}: good"
    assert lines[1].startswith(f"{misspelt}:1:")
    assert ": /rope/fibre: not_one_of: " in lines[1]
    assert lines[1].endswith("Did you mean hmpe?")
    assert lines[2].startswith(f"{stopped}:1:")
    assert ": planned, but do not splice from it: stop: " in lines[2]


def test_check_counts_what_it_does_not_tell(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    many = written(tmp_path, "many.json", {**SPEC, **{f"x{n}": n for n in range(60)}})
    assert cli.main(["check", many]) == cli.BAD
    assert capsys.readouterr().out.splitlines()[-1] == f"{many}: and 10 more"


def test_check_as_json_is_the_services_own_report(
    good: str, misspelt: str, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert cli.main(["check", "--plan", "--format", "json", good, misspelt]) == cli.BAD
    first, second = json.loads(capsysbinary.readouterr().out)
    assert (first["file"], first["valid"], first["plannable"]) == (good, True, True)
    assert second["errors"][0]["code"] == "not_one_of"


def test_check_as_annotations(misspelt: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", "--format", "github", misspelt]) == cli.BAD
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith("::error file=")
    assert ",title=not_one_of::/rope/fibre " in line


def test_schema_prints_the_published_bytes(
    capsysbinary: pytest.CaptureFixture[bytes],
) -> None:
    assert cli.main(["schema"]) == cli.GOOD
    names = capsysbinary.readouterr().out.decode().split()
    assert {"problem", "splice-plan", "splice-spec", "validation-report"} <= set(names)
    assert names == sorted(published.schema_files())
    for name in names:
        assert cli.main(["schema", name]) == cli.GOOD
        assert capsysbinary.readouterr().out == published.schema_files()[name]
    assert cli.main(["schema", "splice-spec.json"]) == cli.GOOD
    capsysbinary.readouterr()
    assert cli.main(["schema", "sheet"]) == cli.UNREADABLE


def test_a_wrong_call_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["splice"])
    assert ended.value.code == cli.UNREADABLE
    assert "invalid choice" in capsys.readouterr().err


def test_plan_writes_a_view(good: str, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    assert cli.main(["plan", good, "--view", "marks", "--end", "b"]) == cli.GOOD
    header, *rows = capsysbinary.readouterr().out.decode().splitlines()
    assert header.startswith("id,end,part,name,")
    assert rows
    assert all(row.split(",")[1] == "b" for row in rows)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--view", "marks", "--dpi", "203"], "--dpi: not_used_here"),
        (["--view", "tag", "--dpi", "203"], "--dpi: not_used_here"),
        (["--view", "marks", "--format", "svg"], "--format: not_one_of"),
        (["--view", "marks", "--part", "core"], "--part: no_such_part"),
    ],
)
def test_a_view_that_cannot_be_made(
    good: str, arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["plan", good, *arguments]) == cli.BAD
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--page=a4", "--end=a", "--dpi=203", "--piece=1"])
def test_a_batch_makes_no_views(good: str, option: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["plan", "--batch", good, option]) == cli.UNREADABLE
    told = capsys.readouterr()
    assert (told.out, option.split("=")[0] in told.err) == ("", True)
    assert "not_used_here" in told.err


def test_a_public_address_that_is_none(
    good: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TUCKMARK_PUBLIC_URL", "plans.example")
    assert cli.main(["plan", good]) == cli.UNREADABLE
    assert "TUCKMARK_PUBLIC_URL" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["corpus"], ["schema", "splice-spec"]])
def test_whoever_has_read_enough_ends_it_quietly(arguments: list[str]) -> None:
    """As ``tuckmark corpus | head -1``: the reader is gone before all is written."""
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "tuckmark.cli", *arguments],
        stdout=writing, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
    )  # fmt: skip
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.parametrize(
    ("option", "text", "allowed"),
    [
        *(("--port", text, "0 to 65535") for text in ("65536", "99999", "-1", "abc", "", "8_000")),
        ("--port", "9" * 5000, "0 to 65535"),
        *(("--workers", text, "1 to 128") for text in ("0", "-1", "129", "two", "1.5")),
    ],
)
def test_an_address_that_cannot_be(
    option: str, text: str, allowed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["serve", f"{option}={text}"])
    assert ended.value.code == cli.UNREADABLE
    said = capsys.readouterr().err.splitlines()[-1]
    assert said.endswith(f"argument {option}: {text!r}: a number from {allowed} is wanted")


@pytest.mark.parametrize("host", ["\u00fc..\u00fc", "\u00fc" * 70])
def test_a_host_that_is_no_name(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["serve", "--host", host])
    assert ended.value.code == cli.UNREADABLE
    said = capsys.readouterr().err.splitlines()[-1]
    assert said.endswith(f"argument --host: {host!r}: a host name or address is wanted")


@pytest.mark.parametrize("host", ["no-such-host.invalid", "256.1.1.1", "1.2.3.4"])
def test_a_host_that_cannot_be_listened_on(host: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tuckmark.cli", "serve", "--port", "0", "--host", host],
        stderr=subprocess.PIPE, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == cli.UNREADABLE
    (said,) = done.stderr.splitlines()
    assert said.startswith(f"tuckmark: {host}, port 0: ")


def test_an_address_that_another_service_has_is_not_shared() -> None:
    """Two versions on one address would answer in turn, each with its own figures."""
    with socket.create_server(("127.0.0.1", 0), reuse_port=True) as other:
        port = other.getsockname()[1]
        done = subprocess.run(
            [sys.executable, "-m", "tuckmark.cli", "serve", "--port", str(port)],
            stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert done.returncode == cli.UNREADABLE
    assert done.stderr.endswith(f"tuckmark: 127.0.0.1, port {port}: Address already in use\n")
