"""The command: judges all mutants, or those whose name holds one of the words given."""

import argparse
import importlib.util
import os
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import yaml

from .mutants import Mutant, all_mutants
from .running import NO_END, REFUSED, SURVIVED, Verdict, run_all, warm_up

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


def table(verdicts: Iterable[Verdict]) -> str:
    """Per file: how many mutants, and what became of them."""
    kinds = {REFUSED: 1, NO_END: 2, SURVIVED: 3}
    rows: defaultdict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for verdict in verdicts:
        rows[verdict.mutant.file][kinds.get(verdict.noticed_by, 0)] += 1
    lines = [f"{'file':<44}{'by a test':>10}{'refused':>10}{'no end':>10}{'survived':>10}"]
    lines += [
        f"{file:<44}" + "".join(f"{count or '':>10}" for count in counts)
        for file, counts in sorted(rows.items())
    ]
    return "\n".join(lines)


def judged(package: Path, chosen: list[Mutant], *, independent: bool) -> list[Verdict]:
    """All verdicts, with the untouched package judged first: its tests must pass."""
    tests = _HERE.parent
    warm_up()
    file = "__init__.py"
    untouched = Mutant("untouched", file, ((package / file).read_text(encoding="utf-8"),))
    (first,) = run_all(package, tests, [untouched], 1, independent=independent)
    if first.noticed_by != SURVIVED:
        raise SystemExit(f"the package fails its tests as it is: {first.noticed_by}")
    verdicts = []
    at_once = os.cpu_count() or 1
    judging = run_all(package, tests, chosen, at_once, independent=independent)
    for number, verdict in enumerate(judging, start=1):
        verdicts.append(verdict)
        if verdict.noticed_by == SURVIVED or number % 50 == 0:
            print(f"{number}/{len(chosen)}", verdict.mutant.name, "-", verdict.noticed_by or "?")
    return verdicts


def main() -> int:
    """Run the command line; the exit status is 1 where anything is at fault."""
    parser = argparse.ArgumentParser(prog="./deploy/mutate", description=__doc__)
    parser.add_argument("--list", action="store_true", help="only name the mutants")
    parser.add_argument(
        "--with-record",
        action="store_true",
        help="ask the record of the plans' fingerprint first: quicker, but our own output",
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
    verdicts = judged(package, chosen, independent=not asked.with_record)
    found = faults(verdicts, filter(is_asked_for, accepted()))
    print(table(verdicts), *found, sep="\n")
    print(f"{len(chosen)} mutants in {time.monotonic() - started:.0f} s")
    survivors_at_fault = sum(fault.startswith("SURVIVED") for fault in found)
    print(f"{len(chosen) - survivors_at_fault} passed, {len(found)} failed")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
