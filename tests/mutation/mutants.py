"""Finds every number of the data and of the computing core, and changes one at a time."""

import ast
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

#: Modules off the way from a spec to its plan: the shells round it, how a plan is drawn, addressed
#: and compared, what is done with many of them or after the work, and what builds the documents.
SHELLS = (
    *("web/", "cli/", "render/", "cutting/", "asbuilt/", "__main__.py", "batch.py", "packing.py"),
    *("settings.py", "observing.py", "changes.py", "differences.py", "problems.py"),
    *("published.py", "publishing.py", "abnf.py"),
)
#: Where figures are rounded and written, though it lies among the views.
_CORE_IN_SHELL = "render/plan_json.py"

_SHARES = (Fraction(102, 100), Fraction(98, 100))
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+|/[0-9]+)?")
_COUNTS = re.compile(r"[0-9]+(?: [0-9]+)+")
#: Columns of words, of which some look like numbers: a unit of 1, a page.
_WORDS = {"unit", "source", "place", "confidence", "note"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """The package with one number changed.

    Attributes:
        name: what was changed, the same as long as its surroundings keep their names.
        file: path below the package.
        contents: the changed file; the later ones are for when the loader takes none before.
    """

    name: str
    file: str
    contents: tuple[str, ...]


def all_mutants(package: Path) -> list[Mutant]:
    """Every mutant of the package, the data's first.

    Raises:
        ValueError: two have the same name.
    """
    found: list[Mutant] = []
    for path in sorted((package / "data").glob("*.csv")):
        found += of_table(path.relative_to(package).as_posix(), path.read_text(encoding="utf-8"))
    for path in sorted(package.rglob("*.py")):
        file = path.relative_to(package).as_posix()
        if file == _CORE_IN_SHELL or not file.startswith(SHELLS):
            found += of_module(file, path.read_text(encoding="utf-8"))
    twice = [name for name, count in Counter(mutant.name for mutant in found).items() if count > 1]
    if twice:
        raise ValueError(f"named twice: {', '.join(twice)}")
    return found


def of_table(file: str, text: str) -> Iterator[Mutant]:
    """One mutant for each numeric cell, or each count of a cell that lists counts.

    A cell grows by 2 %. Where its row forbids that it shrinks by 2 %, as a value may not pass the
    high end of its own row, or grows by one, as no count is fractional.
    """
    header, *rows = csv.reader(io.StringIO(text))
    for at, row in enumerate(rows, start=1):
        for column, (title, cell) in enumerate(zip(header, row, strict=True)):
            if title in _WORDS:
                continue

            def changed(new: str, at: int = at, column: int = column) -> str:
                table = [header, *(list(cells) for cells in rows)]
                table[at][column] = new
                out = io.StringIO()
                csv.writer(out, lineterminator="\n").writerows(table)
                return out.getvalue()

            name = f"{file}: {row[0]} {title}"
            if _NUMBER.fullmatch(cell):
                number = Fraction(cell)
                others = (*(number * share for share in _SHARES), number + 1)
                yield Mutant(name, file, tuple(changed(str(other)) for other in others))
            elif _COUNTS.fullmatch(cell):
                counts = cell.split(" ")
                for place, count in enumerate(counts):
                    new = [*counts[:place], str(int(count) + 1), *counts[place + 1 :]]
                    yield Mutant(f"{name} #{place + 1}", file, (changed(" ".join(new)),))


def of_module(file: str, text: str) -> Iterator[Mutant]:
    """One mutant for each numeric constant: a float grows by 2 %, an integer and 0.0 by one."""
    tree = ast.parse(text)
    seen: Counter[str] = Counter()
    for where, constant in _constants(tree, ""):
        was = constant.value
        name = f"{file}: {where} {was!r}"
        seen[name] += 1
        constant.value = was + 1 if isinstance(was, int) else was * 1.02
        if constant.value == was:  # two per cent of nothing is nothing
            constant.value = was + 1
        yield Mutant(f"{name} #{seen[name]}" if seen[name] > 1 else name, file, (source_of(tree),))
        constant.value = was


def source_of(tree: ast.Module) -> str:
    """A module as every mutant of it is written: without comments, in one way."""
    return ast.unparse(tree) + "\n"


def _constants(node: ast.AST, where: str) -> Iterator[tuple[str, ast.Constant]]:
    """Every numeric constant below a node, with the name of what it stands in."""
    match node:
        case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
            where = f"{where}.{name}" if where else name
        case ast.AnnAssign(target=ast.Name(id=name)) | ast.Assign(targets=[ast.Name(id=name)]):
            where = where or name
        case ast.Dict(keys=keys, values=values):
            for key, value in zip(keys, values, strict=True):
                inside = f"{where}[{key.value}]" if isinstance(key, ast.Constant) else where
                if key is not None:  # as in {**others}
                    yield from _constants(key, where)
                yield from _constants(value, inside)
            return
        case ast.Constant(value=bool()):
            return
        case ast.Constant(value=int() | float()):
            yield where or "module", node
    for child in ast.iter_child_nodes(node):
        yield from _constants(child, where)
