"""The command: judges all mutants, or those whose name holds one of the words given."""

import argparse
import importlib.util
import json
import os
import sys
import time
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

import yaml

from .asking import Tests
from .forks import SURVIVED, UNTOUCHED, Verdict
from .mutants import Mutant, all_mutants
from .quick import run_quick
from .running import run_all, warm_up

_HERE = Path(__file__).parent
ACCEPTED = _HERE / "accepted.yaml"


def installed_package() -> Path:
    """Where the package lies, found without importing it."""
    spec = importlib.util.find_spec("tuckmark")
    if spec is None or spec.origin is None:
        raise SystemExit("tuckmark is not installed")
    return Path(spec.origin).parent


def accepted() -> dict[str, str]:
    """The mutants that may survive, each with its reason.

    Raises:
        ValueError: a reason is empty, or a mutant is listed twice.
    """
    reasons: dict[str, str] = {}
    for entry in yaml.safe_load(ACCEPTED.read_text(encoding="utf-8")) or []:
        if not entry["reason"].strip():
            raise ValueError(f"no reason for {entry['mutants']}")
        for name in entry["mutants"]:
            if name in reasons:
                raise ValueError(f"listed twice: {name}")
            reasons[name] = entry["reason"]
    return reasons


def faults(verdicts: Iterable[Verdict], listed: Iterable[str]) -> list[str]:
    """Every survivor that is not listed, and every listed mutant that is no survivor."""
    by_name = {verdict.mutant.name: verdict.noticed_by for verdict in verdicts}
    names = set(listed)
    found = [
        f"SURVIVED  {name}"
        for name, noticed_by in by_name.items()
        if noticed_by == SURVIVED and name not in names
    ]
    for name in sorted(names):
        noticed_by = by_name.get(name)
        if noticed_by is None:
            found.append(f"LISTED, BUT THERE IS NO SUCH MUTANT  {name}")
        elif noticed_by != SURVIVED:
            found.append(f"LISTED, BUT NOTICED  {name}  by {noticed_by}")
    return found


#: The parts of the package that the summary tells apart; everything else is `rest`.
_PARTS = ("data", "mechanics", "families", "lengths")


def table(verdicts: Iterable[Verdict], listed: Collection[str]) -> str:
    """Per part of the package: how many mutants, what became of them, and what share was noticed.

    A mutant counts as noticed where a test fails, the loader refuses the table, or the tests come
    to no end.
    """
    rows = {part: [0, 0, 0, 0] for part in (*_PARTS, "rest")}
    for verdict in verdicts:
        part = verdict.mutant.file.partition("/")[0]
        row = rows[part if part in _PARTS else "rest"]
        noticed, is_listed = verdict.noticed_by != SURVIVED, verdict.mutant.name in listed
        became = (1, noticed, not noticed and is_listed, not noticed and not is_listed)
        row[:] = (count + more for count, more in zip(row, became, strict=True))
    rows["all"] = [sum(column) for column in zip(*rows.values(), strict=True)]
    titles = ("mutants", "noticed", "accepted", "survived", "% noticed")
    lines = [f"{'part':<10}" + "".join(f"{title:>10}" for title in titles)]
    for part, counts in rows.items():
        share = f"{100 * counts[1] / counts[0]:.1f}" if counts[0] else "-"
        lines.append(f"{part:<10}" + "".join(f"{count:>10}" for count in (*counts, share)))
    return "\n".join(lines)


def judged(
    package: Path,
    chosen: list[Mutant],
    known: Tests,
    at_once: int,
    expected: Collection[str],
) -> Iterator[Verdict]:
    """Every verdict: by a swap where that is enough, by a fresh import where it is not.

    Either way judges the untouched package first: its tests must pass. A mutant that is expected
    to survive is not asked about twice.
    """
    warm_up()
    file = "__init__.py"
    untouched = Mutant(UNTOUCHED, file, ((package / file).read_text(encoding="utf-8"),))
    left = {mutant.name: mutant for mutant in chosen}
    done = 0
    for way in (run_quick, run_all):
        (first,) = way(package, known, [untouched], 1)
        if first.noticed_by != SURVIVED:
            raise SystemExit(f"the package fails its tests as it is: {first.noticed_by}")
        print(f"{way.__name__}: the tests take {first.seconds:.0f} s", flush=True)
        asked = [
            mutant for mutant in left.values() if way is run_all or mutant.name not in expected
        ]
        for verdict in way(package, known, asked, at_once):
            yield verdict
            del left[verdict.mutant.name]
            done += 1
            told = f"{verdict.mutant.name} - {verdict.noticed_by or 'SURVIVED'}"
            print(f"{done}/{len(chosen)} {verdict.seconds:.0f} s  {told}", flush=True)


def remembered(memory: Path | None) -> dict[str, str]:
    """What noticed each mutant when the memory was last written."""
    if memory is None or not memory.exists():
        return {}
    known: dict[str, str] = json.loads(memory.read_text(encoding="utf-8"))
    return known


def main() -> int:
    """Run the command line; the exit status is 1 where anything is at fault."""
    parser = argparse.ArgumentParser(prog="./deploy/mutate", description=__doc__)
    parser.add_argument("--list", action="store_true", help="only name the mutants")
    parser.add_argument(
        "--memory",
        type=Path,
        metavar="FILE",
        help="what noticed each mutant last time: asked first, and written anew",
    )
    parser.add_argument(
        "--at-once", type=int, default=os.cpu_count() or 1, metavar="N", help="how many processes"
    )
    parser.add_argument("parts", nargs="*", metavar="PART", help="a part of a mutant's name")
    asked = parser.parse_args()

    def is_asked_for(name: str) -> bool:
        return not asked.parts or any(part in name for part in asked.parts)

    package = installed_package()
    chosen = [mutant for mutant in all_mutants(package) if is_asked_for(mutant.name)]
    if asked.list:
        print(*(mutant.name for mutant in chosen), sep="\n")
        return 0
    started = time.monotonic()
    memory = remembered(asked.memory)
    known = Tests(package, _HERE.parent, dict(memory))
    listed = set(filter(is_asked_for, accepted()))
    verdicts = []
    try:
        for verdict in judged(package, chosen, known, asked.at_once, listed):
            verdicts.append(verdict)
            memory[verdict.mutant.name] = verdict.noticed_by
    finally:
        if asked.memory:
            asked.memory.write_text(json.dumps(memory, indent=0), encoding="utf-8")
    found = faults(verdicts, listed)
    print(table(verdicts, listed), *found, sep="\n")
    print(f"{len(chosen)} mutants in {time.monotonic() - started:.0f} s")
    survivors_at_fault = sum(fault.startswith("SURVIVED") for fault in found)
    print(f"{len(chosen) - survivors_at_fault} passed, {len(found)} failed")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
