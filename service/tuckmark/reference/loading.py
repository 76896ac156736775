"""Reading ``data/``: every row checked before any of it is used."""

import csv
import functools
import hashlib
import io
import json
import math
import re
from collections.abc import Mapping
from fractions import Fraction
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType

from tuckmark.reference.figures import Cell, DataError, Row, Source
from tuckmark.reference.layouts import CHOICES, CONFIDENCES, LAYOUTS, SOURCE_KINDS, UNITS, Layout
from tuckmark.reference.lookups import Reference

_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+|/[0-9]+)?")
_SOURCES = "sources.json"
_SOURCE_FIELDS = ("title", "section", "kind", "confidence")


@functools.cache
def default() -> Reference:
    """The package's own tables, read once.

    Raises:
        DataError: as `load`.
    """
    return load()


def load(directory: Path | None = None) -> Reference:
    """Read and check all tables.

    Args:
        directory: where the CSV files and ``sources.json`` lie; None for the package's own.

    Raises:
        DataError: a file is missing, unknown or unreadable, or a row lacks its unit, source,
            place or confidence, names an unknown source, repeats a key, holds something that
            is not a finite number or lies outside its own range.
    """
    folder: Traversable = (
        resources.files("tuckmark").joinpath("data") if directory is None else directory
    )
    files = {
        entry.name: entry.read_bytes()
        for entry in sorted(folder.iterdir(), key=lambda entry: entry.name)
        if entry.name == _SOURCES or entry.name.endswith(".csv")
    }
    expected = {_SOURCES, *(f"{name}.csv" for name in LAYOUTS)}
    for name in sorted(expected ^ files.keys()):
        raise DataError(f"{name}: {'missing' if name in expected else 'no such table is known'}")

    sources = _read_sources(_decoded(_SOURCES, files[_SOURCES]))
    tables = {
        name: _read_table(name, layout, _decoded(name, files[f"{name}.csv"]), sources)
        for name, layout in LAYOUTS.items()
    }
    return Reference.of(_version(files), sources, tables)


def _version(files: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256()
    for name, content in files.items():
        # The length keeps two files from passing for one another's continuation.
        digest.update(f"{name}\0{len(content)}\0".encode())
        digest.update(content)
    return digest.hexdigest()[:16]


def _decoded(name: str, content: bytes) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise DataError(f"{name}: not UTF-8") from error


def _read_sources(text: str) -> Mapping[str, Source]:
    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        found = dict(pairs)
        if len(found) != len(pairs):
            raise DataError(f"{_SOURCES}: a key stands twice")
        return found

    try:
        document = json.loads(text, object_pairs_hook=once)
    except json.JSONDecodeError as error:
        raise DataError(f"{_SOURCES}: not JSON: {error}") from error
    if not isinstance(document, dict) or not document:
        raise DataError(f"{_SOURCES}: not an object of sources")
    return MappingProxyType({key: _source(key, entry) for key, entry in document.items()})


def _source(key: str, entry: object) -> Source:
    where = f"{_SOURCES}: {key}"
    if not re.fullmatch("[a-z][a-z0-9_]*", key):
        raise DataError(f"{where}: a key is lower-case words joined by _")
    if not isinstance(entry, dict) or entry.keys() != set(_SOURCE_FIELDS):
        raise DataError(f"{where}: wants exactly {', '.join(_SOURCE_FIELDS)}")
    if not all(isinstance(value, str) and value.strip() for value in entry.values()):
        raise DataError(f"{where}: every field is a text that is not empty")
    if entry["kind"] not in SOURCE_KINDS:
        raise DataError(f"{where}: kind {entry['kind']!r} is none of {', '.join(SOURCE_KINDS)}")
    if entry["confidence"] not in CONFIDENCES:
        raise DataError(f"{where}: confidence {entry['confidence']!r} is not A, B or C")
    return Source(key, **entry)


def _read_table(
    name: str, layout: Layout, text: str, sources: Mapping[str, Source]
) -> tuple[Row, ...]:
    try:
        header, *lines = csv.reader(io.StringIO(text), strict=True)
    except (csv.Error, ValueError) as error:
        raise DataError(f"{name}: no readable header and rows") from error
    _check_header(name, layout, header)
    if not lines:
        raise DataError(f"{name}: no rows")

    rows: dict[Cell, Row] = {}
    for number, cells in enumerate(lines, start=2):
        where = f"{name}, line {number}"
        if len(cells) != len(header):
            raise DataError(f"{where}: {len(cells)} cells under {len(header)} columns")
        row = _read_row(where, layout, dict(zip(header, cells, strict=True)))
        _check_row(where, layout, row, sources)
        if row[layout.key] in rows:
            raise DataError(f"{where}: {layout.key} {row[layout.key]!r} stands twice")
        rows[row[layout.key]] = MappingProxyType(row)
    if layout.complete and (missing := set(CHOICES[layout.key]) - rows.keys()):
        raise DataError(f"{name}: no row for {', '.join(sorted(missing))}")
    return tuple(rows.values())


def _check_header(name: str, layout: Layout, header: list[str]) -> None:
    for column in header:
        if column not in layout.columns:
            raise DataError(f"{name}: unknown column {column!r}")
    for column in layout.columns:
        if header.count(column) != 1:
            raise DataError(f"{name}: column {column!r} stands {header.count(column)} times")


def _read_row(where: str, layout: Layout, cells: Mapping[str, str]) -> dict[str, Cell]:
    row: dict[str, Cell] = {}
    for column, cell in cells.items():
        if cell != cell.strip():
            raise DataError(f"{where}: {column} {cell!r} has blanks around it")
        if not cell and column in layout.filled:
            raise DataError(f"{where}: {column} is empty")
        if column in layout.numeric:
            row[column] = _number(f"{where}: {column}", cell) if cell else None
        else:
            row[column] = cell
    return row


def _number(where: str, cell: str) -> float:
    """A decimal or an exact fraction such as ``4/3``."""
    if not _NUMBER.fullmatch(cell):
        raise DataError(f"{where} {cell!r} is not a decimal or a fraction")
    try:
        number = float(Fraction(cell))
    except (ZeroDivisionError, OverflowError):
        number = math.inf
    if not math.isfinite(number):
        raise DataError(f"{where} {cell!r} is not finite")
    return number


def _check_row(where: str, layout: Layout, row: Row, sources: Mapping[str, Source]) -> None:
    for column, words in CHOICES.items():
        if column in row and row[column] not in words:
            raise DataError(f"{where}: {column} {row[column]!r} is none of {', '.join(words)}")
    if row["unit"] not in UNITS:
        raise DataError(f"{where}: unit {row['unit']!r} is not in the list of units")
    if layout.unit is not None and row["unit"] != layout.unit:
        raise DataError(f"{where}: unit {row['unit']!r}, the table's is {layout.unit!r}")
    source = sources.get(str(row["source"]))
    if source is None:
        raise DataError(f"{where}: unknown source {row['source']!r}")
    if str(row["confidence"]) < source.confidence:
        raise DataError(f"{where}: confidence is better than that of {source.key!r}")
    value, low, high = (row.get(column) for column in ("value", "low", "high"))
    if isinstance(value, float):
        if isinstance(low, float) and low > value:
            raise DataError(f"{where}: low {low} is above the value {value}")
        if isinstance(high, float) and high < value:
            raise DataError(f"{where}: high {high} is below the value {value}")
