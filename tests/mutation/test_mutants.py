"""What the check changes, and what it makes of the answers."""

from pathlib import Path

import pytest

from . import __main__ as command
from .forks import NO_END, REFUSED, SURVIVED, Verdict
from .mutants import Mutant, of_module, of_table
from .reaching import reached

TABLE = """\
name,value,picks,unit,source,place,confidence,note
bury,72,,1,toss,126,A,7
taper,1/3,3 2,1,toss,126,A,
"""


def test_every_number_of_a_table_is_changed_once() -> None:
    # 72 · 1.02 = 73.44, 72 · 0.98 = 70.56; 1/3 · 1.02 = 17/50, 1/3 · 0.98 = 49/150.
    mutants = {mutant.name: mutant.contents for mutant in of_table("t.csv", TABLE)}
    assert mutants == {
        "t.csv: bury value": tuple(
            TABLE.replace("bury,72", f"bury,{new}") for new in ("1836/25", "1764/25", "73")
        ),
        "t.csv: taper value": tuple(
            TABLE.replace("1/3", new) for new in ("17/50", "49/150", "4/3")
        ),
        "t.csv: taper picks #1": (TABLE.replace("3 2", "4 2"),),
        "t.csv: taper picks #2": (TABLE.replace("3 2", "3 3"),),
    }


MODULE = '''\
"""One 1."""
LIMIT: Final = 5.0
SIZES = {'in': 25.0, 8: (1, 2), **MORE}

class Rope:
    turns = 6

    def length(self, x: float, exact: bool=True) -> float:
        return 0.0 if exact else -2 * x * x ** 2
print(f'{LIMIT:.1f} of 10')
'''


def test_every_number_of_a_module_is_changed_once() -> None:
    mutants = {mutant.name: mutant.contents for mutant in of_module("m.py", MODULE)}
    assert mutants == {
        "m.py: LIMIT 5.0": (MODULE.replace("= 5.0", "= 5.1"),),
        "m.py: SIZES[in] 25.0": (MODULE.replace("25.0", "25.5"),),
        "m.py: SIZES 8": (MODULE.replace("8", "9"),),
        "m.py: SIZES[8] 1": (MODULE.replace("(1", "(2"),),
        "m.py: SIZES[8] 2": (MODULE.replace(" 2)", " 3)"),),
        "m.py: Rope 6": (MODULE.replace("6", "7"),),
        "m.py: Rope.length 0.0": (MODULE.replace("0.0", "1.0"),),
        "m.py: Rope.length 2": (MODULE.replace("-2", "-3"),),
        "m.py: Rope.length 2 #2": (MODULE.replace("** 2", "** 3"),),
    }


def verdict(name: str, noticed_by: str) -> Verdict:
    return Verdict(Mutant(name, "m.py", ("",)), noticed_by)


@pytest.mark.parametrize(
    ("noticed_by", "listed", "fault"),
    [
        ("tests/test_a.py::test_a", [], []),
        (REFUSED, [], []),
        (NO_END, [], []),
        (SURVIVED, [], ["SURVIVED  m 1"]),
        (SURVIVED, ["m 1"], []),
        (REFUSED, ["m 1"], [f"LISTED, BUT NOTICED  m 1  by {REFUSED}"]),
        (SURVIVED, ["m 1", "m 2"], ["LISTED, BUT THERE IS NO SUCH MUTANT  m 2"]),
    ],
)
def test_survivors_and_list_must_agree(
    noticed_by: str, listed: list[str], fault: list[str]
) -> None:
    assert command.faults([verdict("m 1", noticed_by)], listed) == fault


def test_every_accepted_survivor_has_its_reason() -> None:
    assert all(reason.strip() for reason in command.accepted().values())


def test_what_tests_can_reach(tmp_path: Path) -> None:
    package, tests = tmp_path / "rope", tmp_path / "tests"
    modules = {
        "__init__.py": "",
        "eyes.py": "from rope.parts import pins",
        "parts/__init__.py": "",
        "parts/pins.py": "import math",
        "parts/wedges.py": "",
        "web.py": "from rope.eyes import Eye",
    }
    for name, text in modules.items():
        (package / name).parent.mkdir(parents=True, exist_ok=True)
        (package / name).write_text(text, encoding="utf-8")
    tests.mkdir()
    (tests / "test_eyes.py").write_text("from rope.eyes import Eye", encoding="utf-8")
    eyes = {"__init__.py", "eyes.py", "parts/__init__.py", "parts/pins.py"}
    assert reached(tests, package) == eyes
    assert reached(tests / "test_eyes.py", package) == eyes
