"""The published documents: schemas, grammar, examples, OpenAPI, each read once.

They travel inside the package (see ``pyproject.toml``); in a source tree the
same files stand at the top of the repository.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any, Final

from tuckmark.document import Json

_IN_REPOSITORY: Final = {
    "schema/v1": "schema/v1",
    "examples": "schema/examples",
    "corpus": "schema/corpus",
    "openapi.json": "openapi/openapi.json",
}
_LAST_MEMBER: Final = '"document": '


@cache
def schema_files() -> Mapping[str, bytes]:
    """Every published schema's bytes by its name, such as ``splice-spec``."""
    return _files_in("schema/v1", ".json")


@cache
def schema(name: str) -> dict[str, Any]:
    """A published schema as a document.

    Raises:
        KeyError: no schema of this name is published.
    """
    document: dict[str, Any] = json.loads(schema_files()[name])
    return document


@cache
def grammar() -> bytes:
    """The grammar of quantities, ABNF (RFC 5234)."""
    return _place("schema/v1").joinpath("quantity.abnf").read_bytes()


@cache
def examples() -> Mapping[str, Json]:
    """Every example spec by its name, such as ``towing-pendant``."""
    files = _files_in("examples", ".json")
    return MappingProxyType({name: json.loads(text) for name, text in files.items()})


@dataclass(frozen=True, slots=True)
class CorpusCase:
    """One document of the corpus and what every validator must say of it.

    Attributes:
        of_class: what sort of edge it tries, such as ``numbers``.
        valid: whether the spec schema accepts it.
        why: what is special about it.
        document: its text, not its value: ``4.0`` and ``4e0`` stay as they are written.
    """

    of_class: str
    valid: bool
    why: str
    document: str


@cache
def corpus_files() -> Mapping[str, bytes]:
    """The corpus, one file of JSON lines a class; ``document`` is each line's last member."""
    return _files_in("corpus", ".jsonl")


@cache
def corpus() -> Mapping[str, tuple[CorpusCase, ...]]:
    """Hand-made documents by class, each with its verdict: to try other validators on."""
    return MappingProxyType(
        {
            name: tuple(map(_case, content.decode("utf-8").split("\n")[:-1]))
            for name, content in corpus_files().items()
        }
    )


@cache
def openapi() -> bytes:
    """The OpenAPI document as published."""
    return _place("openapi.json").read_bytes()


def _case(line: str) -> CorpusCase:
    facts = json.loads(line)
    text = line.partition(_LAST_MEMBER)[2].removesuffix("}")
    return CorpusCase(facts["class"], facts["valid"], facts["why"], text)


def _files_in(folder: str, suffix: str) -> Mapping[str, bytes]:
    found = {
        entry.name.removesuffix(suffix): entry.read_bytes()
        for entry in sorted(_place(folder).iterdir(), key=lambda entry: entry.name)
        if entry.name.endswith(suffix)
    }
    return MappingProxyType(found)


def _place(name: str) -> Traversable:
    package = resources.files("tuckmark")
    packaged = package.joinpath("published").joinpath(name)
    if packaged.is_dir() or packaged.is_file():
        return packaged
    return package.joinpath("..", "..", _IN_REPOSITORY[name])
