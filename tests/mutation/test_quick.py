"""The swap of one function's code for another's, on functions made for it."""

from functools import cache
from pathlib import Path
from typing import Any

from .mutants import of_module
from .quick import changed_functions, forget, swap

PATH = "/nowhere/rope.py"
SOURCE = """\
LIMIT = 5

def turns(mm, lay=7):
    return mm / 80

def picks(mm):
    return (lambda: mm / 40)()

class Rope:
    def strands(self):
        return 3

halves = [lambda: 2, lambda: 4]
"""


def mutated(name: str) -> str:
    (content,) = {mutant.name: mutant.contents for mutant in of_module("rope.py", SOURCE)}[
        f"rope.py: {name}"
    ]
    return content


def changed(name: str) -> set[str]:
    return set(changed_functions(SOURCE, mutated(name), PATH))


def test_the_function_that_a_number_stands_in_is_another_one() -> None:
    assert changed("turns 80") == {"turns"}
    assert changed("picks 40") == {"picks"}  # in a lambda of its own
    assert changed("Rope.strands 3") == {"Rope", "Rope.strands"}


def test_what_was_computed_on_import_is_for_a_fresh_import() -> None:
    for name in ("LIMIT 5", "turns 7", "halves 2", "halves 4"):
        assert changed(name) == set()


def test_a_swap_reaches_functions_and_methods_that_there_are() -> None:
    made: dict[str, Any] = {}
    exec(compile(SOURCE, PATH, "exec"), made)  # noqa: S102 - the source above
    assert (made["turns"](162), made["picks"](82), made["Rope"]().strands()) == (2.025, 2.05, 3)
    for name, swapped in (("turns 80", 1), ("picks 40", 1), ("Rope.strands 3", 1), ("LIMIT 5", 0)):
        assert swap(changed_functions(SOURCE, mutated(name), PATH), PATH) == swapped
    assert (made["turns"](162), made["picks"](82), made["Rope"]().strands()) == (2.0, 2.0, 4)


def test_what_functions_remember_is_forgotten_below_the_places_given() -> None:
    asked = []

    @cache
    def answer() -> int:
        asked.append(1)
        return len(asked)

    assert (answer(), answer()) == (1, 1)
    forget(Path("/nowhere"))
    assert answer() == 1
    forget(Path(__file__).parent)
    assert answer() == 2
