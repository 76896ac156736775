"""The documents that a command is to read: files, folders, patterns, standard input, JSON lines."""

import glob
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tuckmark.document import LARGE_BYTES
from tuckmark.faults import Fault

STDIN: Final = "-"
_OF_DOCUMENTS: Final = (".json",)
_OF_LINES: Final = (".jsonl", ".ndjson")


@dataclass(frozen=True, slots=True)
class Document:
    """One document, or why there is none.

    Attributes:
        file: the name as people see it.
        line: number of the line it is, from 1, where each line is a document.
        body: its bytes; more than a request may have are cut off one byte above that.
        fault: what keeps it from being read; its code is ``file_unreadable``.
    """

    file: str
    line: int | None = None
    body: bytes = b""
    fault: Fault | None = None


def gather(names: Sequence[str], *, lines: bool) -> Iterator[Document]:
    """Every document that names stand for, each once, in order.

    Args:
        names: files, folders (searched for ``.json`` files, or ``.jsonl`` and ``.ndjson``
            with ``lines``, outside hidden folders), patterns such as ``jobs/**/*.json``,
            or ``-`` for standard input.
        lines: whether each line is a document of its own; blank ones are none.
    """
    suffixes = _OF_LINES if lines else _OF_DOCUMENTS
    seen: set[str] = set()
    for name in names:
        files = _files(name, suffixes)
        if not files:
            yield _unread(name, f"No file is found there (of a folder, only {_either(suffixes)}).")
        for file in files:
            if file not in seen:
                seen.add(file)
                yield from _documents(file, lines=lines)


def _files(name: str, suffixes: tuple[str, ...]) -> list[str]:
    path = Path(name)
    if name != STDIN and path.is_dir():
        return [str(file) for file in sorted(path.rglob("*")) if _is_one(file, path, suffixes)]
    if name == STDIN or path.exists() or not glob.has_magic(name):
        return [name]
    return [file for file in sorted(glob.glob(name, recursive=True)) if not Path(file).is_dir()]


def _is_one(file: Path, folder: Path, suffixes: tuple[str, ...]) -> bool:
    hidden = any(part.startswith(".") for part in file.relative_to(folder).parts)
    return file.suffix in suffixes and not hidden and file.is_file()


def _documents(file: str, *, lines: bool) -> Iterator[Document]:
    try:
        body = _read(file, -1 if lines else LARGE_BYTES + 1)
    except OSError as error:
        yield _unread(file, f"The file cannot be read: {error.strerror}.")
        return
    if not lines:
        yield Document(_shown(file), body=body)
        return
    found = [(n, line) for n, line in enumerate(body.split(b"\n"), 1) if line.strip()]
    if not found:
        yield _unread(file, "The file holds no line with a document.")
    for n, line in found:
        yield Document(_shown(file), n, line[: LARGE_BYTES + 1])


def _read(file: str, most: int) -> bytes:
    if file == STDIN:
        return sys.stdin.buffer.read(most)
    with Path(file).open("rb") as stream:
        return stream.read(most)


def _unread(name: str, detail: str) -> Document:
    return Document(_shown(name), fault=Fault("", "file_unreadable", detail))


def _either(suffixes: tuple[str, ...]) -> str:
    return " and ".join(f"*{suffix}" for suffix in suffixes)


def _shown(name: str) -> str:
    """The name with only what UTF-8 can carry."""
    return os.fsencode(name).decode("utf-8", "replace")
