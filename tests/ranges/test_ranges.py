"""The arithmetic of ranges, worked by hand on whole numbers."""

from tuckmark.plan import Length, uncertain
from tuckmark.ranges import NO_EFFECTS, added, edges, scaled, without


def test_effects_of_different_inputs_add_in_quadrature_each_way_by_itself() -> None:
    # down 3 and 4: 5; up 5 and 12: 13
    assert edges(100.0, {"pitch": (-3.0, 5.0), "diameter": (12.0, -4.0)}) == (95.0, 113.0)


def test_one_input_alone_gives_its_own_ends() -> None:
    assert edges(100.0, {"pitch": (-3.0, 5.0)}) == (97.0, 105.0)
    assert edges(100.0, {"pitch": (5.0, -3.0)}) == (97.0, 105.0)


def test_where_both_ends_push_one_way_the_farther_counts_and_the_other_way_nothing() -> None:
    assert edges(100.0, {"pitch": (2.0, 7.0)}) == (100.0, 107.0)
    assert edges(100.0, {"pitch": (-2.0, -7.0)}) == (93.0, 100.0)
    assert edges(100.0, {"pitch": (0.25, 0.5)}) == (100.0, 100.5)
    # 7 up joins 24 up: 25; nothing of it joins 24 down
    assert edges(100.0, {"pitch": (2.0, 7.0), "diameter": (-24.0, 24.0)}) == (76.0, 125.0)


def test_what_nothing_moves_has_no_range() -> None:
    assert edges(100.0, NO_EFFECTS) == (100.0, 100.0)
    assert uncertain(100.0, {"pitch": (0.0, 0.0)}) == Length(100.0)
    assert uncertain(100.0, NO_EFFECTS).bounds_mm == (100.0, 100.0)


def test_one_input_in_two_places_adds_before_it_is_squared() -> None:
    ends = {"pitch": (-3.0, 3.0), "diameter": (-4.0, 4.0)}
    both = added(ends, ends)
    assert both == {"pitch": (-6.0, 6.0), "diameter": (-8.0, 8.0)}
    # twice as far as one end, where two independent inputs would go only 1.41 times
    assert edges(0.0, both) == (-10.0, 10.0)
    assert edges(0.0, added({"a": (-3.0, 3.0)}, {"b": (-4.0, 4.0)})) == (-5.0, 5.0)


def test_one_input_that_works_against_itself_cancels() -> None:
    assert edges(0.0, added({"pitch": (-3.0, 4.0)}, {"pitch": (3.0, -4.0)})) == (0.0, 0.0)


def test_a_multiple_scales_its_effects_and_a_negative_one_turns_them_round() -> None:
    assert scaled({"pitch": (-3.0, 5.0)}, 2) == {"pitch": (-6.0, 10.0)}
    assert edges(0.0, scaled({"pitch": (-3.0, 5.0)}, -1)) == (-5.0, 3.0)


def test_what_is_known_exactly_moves_nothing() -> None:
    effects = {"pitch": (-3.0, 3.0), "diameter": (-4.0, 4.0)}
    assert without(effects, ("pitch",)) == {"diameter": (-4.0, 4.0)}
    assert without(effects, ("pitch", "diameter")) == {}


def test_a_range_without_known_inputs_is_one_input_of_its_own() -> None:
    allowance = Length(0.0, 0.0, 36.0)
    assert allowance.moved == {"splice_allowance": (0.0, 36.0)}
    # of one splice made at both ends: 72, and with 21 of something else hypot(72, 21) = 75
    total = added(allowance.moved, allowance.moved, {"diameter": (-21.0, 21.0)})
    assert edges(0.0, total) == (-21.0, 75.0)
    assert Length(5.0).moved == {}
