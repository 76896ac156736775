"""Figures taken out of a plan are what they are taken for, or the program is at fault."""

import pytest

from tuckmark.figure_tree import count_in, length_in
from tuckmark.plan import Length


def test_a_length_and_a_count() -> None:
    figures = {"buried": Length(720.0), "full": 4}
    assert length_in(figures, "buried").mm == 720.0
    assert count_in(figures, "full") == 4


def test_nothing_else_is_taken_for_one() -> None:
    with pytest.raises(TypeError, match="full is no length"):
        length_in({"full": 4}, "full")
    with pytest.raises(TypeError, match="buried is no count"):
        count_in({"buried": Length(720.0)}, "buried")
    with pytest.raises(KeyError):
        length_in({}, "buried")
