"""The same verdict everywhere: service, command and four validators, on corpus and mutants.

The verdicts of the corpus were set down by hand from the grammar and the schema's prose; those of
the mutants are whatever the judges say, as long as all say the same.
"""

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import jsonschema
import jsonschema_rs
import pytest
from mutants import mutants

from tuckmark import cli, document, published
from tuckmark.declaration import declared
from tuckmark.reading import to_spec
from tuckmark.validation import Judge
from tuckmark.web import create_app

SCHEMA = published.schema("splice-spec")
MUTANTS = 5_000
CLASSES = {
    *("bounds", "choices", "foreign_keys", "grammar_length", "grammar_other", "least", "lists"),
    *("lengths_of_texts", "numbers", "objects", "one_of", "quantity_objects", "texts"),
}
CASES = [case for cases in published.corpus().values() for case in cases]


@pytest.fixture(scope="module")
def texts() -> list[str]:
    return [*(case.document for case in CASES), *mutants(MUTANTS)]


@pytest.fixture(scope="module")
def verdicts(texts: list[str]) -> list[bool]:
    judge = Judge(SCHEMA)
    return [judge.accepts(document.read(text.encode())) for text in texts]


def differing(texts: list[str], one: list[bool], other: list[bool]) -> list[str]:
    return [text for text, a, b in zip(texts, one, other, strict=True) if a is not b]


def test_the_corpus_is_judged_as_it_says(verdicts: list[bool]) -> None:
    wrong = [
        (case.of_class, case.why, case.document)
        for case, verdict in zip(CASES, verdicts[: len(CASES)], strict=True)
        if case.valid is not verdict
    ]
    assert wrong == []


def test_the_corpus_holds_every_class_and_both_verdicts() -> None:
    assert published.corpus().keys() == CLASSES
    for of_class, cases in published.corpus().items():
        assert {case.of_class for case in cases} == {of_class}
        assert all(case.why for case in cases)
        assert of_class == "objects" or len({case.valid for case in cases}) == 2
    assert len(CASES) >= 580
    assert len({case.document for case in CASES}) == len(CASES)


def test_the_mutants_are_many_and_of_both_verdicts(texts: list[str], verdicts: list[bool]) -> None:
    drawn = verdicts[len(CASES) :]
    assert len(drawn) == MUTANTS
    assert drawn.count(True) >= MUTANTS // 5
    assert drawn.count(False) >= MUTANTS // 3
    assert len(set(texts[len(CASES) :])) >= MUTANTS * 3 // 4


def test_the_service(texts: list[str], verdicts: list[bool]) -> None:
    client = create_app().test_client()
    found = []
    for text in texts:
        answer = client.post("/v1/validations", data=text, content_type="application/json")
        assert answer.json is not None
        assert answer.status_code == 200
        found.append(answer.json["valid"])
    assert differing(texts, found, verdicts) == []


def test_the_command(
    texts: list[str],
    verdicts: list[bool],
    tmp_path: Path,
    capsysbinary: pytest.CaptureFixture[bytes],
) -> None:
    path = tmp_path / "all.jsonl"
    path.write_text("\n".join(texts), "utf-8")
    assert cli.main(["check", "--lines", "--format", "json", str(path)]) == cli.BAD
    reports = json.loads(capsysbinary.readouterr().out)
    assert differing(texts, [report["valid"] for report in reports], verdicts) == []


def test_the_command_and_the_service_name_the_same_codes(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    client = create_app().test_client()
    path = tmp_path / "corpus.jsonl"
    path.write_text("\n".join(case.document for case in CASES), "utf-8")
    cli.main(["check", "--plan", "--lines", "--format", "json", str(path)])
    reports = json.loads(capsysbinary.readouterr().out)
    codes: Counter[str] = Counter()
    for case, report in zip(CASES, reports, strict=True):
        sent = {"data": case.document, "content_type": "application/json"}
        answer = client.post("/v1/validations", **sent).json
        for item in (*report["errors"], *report["stops"]):
            del item["line"], item["column"]
            codes[item["code"]] += 1
        assert {key: report[key] for key in answer} == answer
    assert len(codes) >= 15


def test_jsonschema(texts: list[str], verdicts: list[bool]) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMA)
    found = [validator.is_valid(json.loads(text)) for text in texts]
    assert differing(texts, found, verdicts) == []


def test_jsonschema_rs(texts: list[str], verdicts: list[bool]) -> None:
    validator = jsonschema_rs.Draft202012Validator(SCHEMA)
    found = [validator.is_valid(json.loads(text)) for text in texts]
    assert differing(texts, found, verdicts) == []


def test_check_jsonschema(texts: list[str], verdicts: list[bool], tmp_path: Path) -> None:
    (tmp_path / "schema.json").write_bytes(published.schema_files()["splice-spec"])
    names = [f"{n:04}.json" for n in range(len(texts))]
    for name, text in zip(names, texts, strict=True):
        (tmp_path / name).write_text(text, "utf-8")
    command = [sys.executable, "-m", "check_jsonschema", "--schemafile", "schema.json"]
    answer = subprocess.run(
        [*command, "--output-format", "json", *names],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    report = json.loads(answer.stdout)
    assert report["parse_errors"] == []
    refused = {error["filename"] for error in report["errors"]}
    assert differing(texts, [name not in refused for name in names], verdicts) == []


def by_ajv(texts: list[str], node: Path, folder: Path) -> list[bool]:
    schema = folder / "schema.json"
    schema.write_bytes(published.schema_files()["splice-spec"])
    answer = subprocess.run(
        ["node", node / "judge.mjs", schema],
        input="\n".join(texts),
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert answer.stderr == ""
    return [mark == "1" for mark in answer.stdout.strip()]


def test_ajv_in_strict_mode(
    texts: list[str], verdicts: list[bool], node: Path, tmp_path: Path
) -> None:
    assert differing(texts, by_ajv(texts, node, tmp_path), verdicts) == []


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(4))
def test_many_more_mutants(seed: int, node: Path, tmp_path: Path) -> None:
    texts = list(mutants(20_000, seed))
    judge, described = Judge(SCHEMA), jsonschema.Draft202012Validator(SCHEMA)
    verdicts = [judge.accepts(document.read(text.encode())) for text in texts]
    assert differing(texts, by_ajv(texts, node, tmp_path), verdicts) == []
    found = [described.is_valid(json.loads(text)) for text in texts]
    assert differing(texts, found, verdicts) == []


def test_the_bare_verdict_and_the_worded_one_agree(texts: list[str], verdicts: list[bool]) -> None:
    judge = Judge(SCHEMA)
    for text, accepted in zip(texts, verdicts, strict=True):
        verdict = judge.verdict(document.read(text.encode()))
        assert (verdict.count == 0) == accepted
        assert (not verdict.faults) == accepted


def test_the_compiled_loader_builds_what_marshmallow_builds(
    texts: list[str], verdicts: list[bool]
) -> None:
    accepted = [text for text, verdict in zip(texts, verdicts, strict=True) if verdict]
    for text in accepted[:600]:
        read = document.read(text.encode())
        assert to_spec(read) == declared().load(read)
        assert to_spec(read).rope.construction == read["rope"]["construction"]
