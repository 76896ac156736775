"""One judge: the service, two validators and the command of a third give the same verdict."""

import copy
import json
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tuckmark import published
from tuckmark.reading import declared, to_spec
from tuckmark.validation import Judge

SCHEMA = published.schema("splice-spec")
STRAY: tuple[Any, ...] = (
    *(None, True, 0, -1, 4, 4.0, 4e0, 0.5, 1e300, [], {}, [1], ""),
    *("24 mm", "24mm", "0 mm", "5/8 in", "9/8 in", "1 1/4 in", "1 9/8 in", "5 ft 11 15/16 in"),
    *("5 ft 12 in", "24 mm\n", " 24 mm", "24  mm", "2,4 m", "-3 degC", "30 degC", "40 kN"),
    *("hmpe", "HMPE", "plain", "thimble", "\u00e9", "\u0000", "a" * 61),
    *({"value": 24, "unit": "mm"}, {"value": 0, "unit": "mm"}, {"value": "24", "unit": "mm"}),
    *({"value": 24}, {"value": 24, "unit": "mm", "tolerance": 1}, {"value": 1e7, "unit": "mm"}),
)
MUTANTS = 300


def mutants() -> list[Any]:
    """Examples with something put in, put elsewhere or taken out, always the same ones."""
    draw = random.Random(20_807)  # noqa: S311 - chooses test documents, guards nothing
    examples = [copy.deepcopy(spec) for _, spec in sorted(published.examples().items())]
    found: list[Any] = [*examples, *STRAY]
    while len(found) < MUTANTS:
        document = copy.deepcopy(draw.choice(examples))
        for _ in range(draw.choice((1, 1, 2))):
            spoil(document, draw)
        found.append(document)
    return found


def spoil(document: dict[str, Any], draw: random.Random) -> None:
    """One change somewhere in the document."""
    here: Any = document
    while True:
        inner = [value for value in here.values() if isinstance(value, dict)]
        if not inner or draw.random() < 0.3:
            break
        here = draw.choice(inner)
    names = [*here, "splice", "bury", "eye", "taper", "circumference", "tucks", "$schema"]
    name = draw.choice(names)
    if draw.random() < 0.25:
        here.pop(name, None)
    else:
        here[name] = copy.deepcopy(draw.choice(STRAY))


@pytest.fixture(scope="module")
def corpus() -> list[Any]:
    return mutants()


@pytest.fixture(scope="module")
def verdicts(corpus: list[Any]) -> list[bool]:
    judge = Judge(SCHEMA)
    return [judge.accepts(document) for document in corpus]


def test_the_corpus_holds_many_of_both(verdicts: list[bool]) -> None:
    assert verdicts.count(True) >= 40
    assert verdicts.count(False) >= 150


def test_jsonschema_agrees(corpus: list[Any], verdicts: list[bool]) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMA)
    assert [validator.is_valid(document) for document in corpus] == verdicts


def test_the_bare_verdict_and_the_worded_one_agree(corpus: list[Any], verdicts: list[bool]) -> None:
    judge = Judge(SCHEMA)
    for document, accepted in zip(corpus, verdicts, strict=True):
        verdict = judge.verdict(document)
        assert (verdict.count == 0) == accepted
        assert (not verdict.faults) == accepted


def test_whatever_is_accepted_loads(corpus: list[Any], verdicts: list[bool]) -> None:
    for document, accepted in zip(corpus, verdicts, strict=True):
        if accepted:
            assert to_spec(document).rope.construction == document["rope"]["construction"]


def test_the_compiled_loader_builds_what_marshmallow_builds(
    corpus: list[Any], verdicts: list[bool]
) -> None:
    for document, accepted in zip(corpus, verdicts, strict=True):
        if accepted:
            assert to_spec(document) == declared().load(document)


def test_check_jsonschema_agrees(corpus: list[Any], verdicts: list[bool], tmp_path: Path) -> None:
    schema = tmp_path / "splice-spec.json"
    schema.write_bytes(published.schema_files()["splice-spec"])
    names = [f"{n:04}.json" for n in range(len(corpus))]
    for name, document in zip(names, corpus, strict=True):
        (tmp_path / name).write_text(json.dumps(document), "utf-8")
    command = [sys.executable, "-m", "check_jsonschema", "--schemafile", schema.name]
    answer = subprocess.run(
        [*command, "--output-format", "json", *names],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    refused = {error["filename"] for error in json.loads(answer.stdout)["errors"]}
    assert [name not in refused for name in names] == verdicts
