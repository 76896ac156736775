"""Every family, shortest, longest and as it is offered, in both systems of units, is drawn so
that it can be read: nothing on anything else, nothing outside, nothing too small, nothing missing.
"""

from functools import cache
from itertools import combinations, pairwise
from typing import Any

import pytest
from drawn_specs import cases, plan_of, stopped
from seen import Box, Seen, see

from tuckmark.render import drawing

Json = dict[str, Any]

ALL = list(cases())
#: the sizes that a sheet must have, in mm as printed
LEAST_TEXT_MM = 2.5
LEAST_DISTANCE_MM = 3.0
LEAST_LINE_MM = 0.25
WORDS = {"stop": "STOP", "warn": "CHECK", "info": "NOTE"}
#: text may be broken over lines
PARTS = ("title", "desc", "g", "svg", "rect", "line", "path", "circle", "text")


@pytest.fixture(params=ALL, ids=["-".join(case) for case in ALL])
def case(request: pytest.FixtureRequest) -> tuple[str, str, str]:
    return request.param


@pytest.fixture
def plan(case: tuple[str, str, str]) -> Json:
    return plan_of(*case)


@pytest.fixture(params=[True, False], ids=["alone", "bare"])
def seen(case: tuple[str, str, str], request: pytest.FixtureRequest) -> Seen:
    return seen_of(case, alone=request.param)


@cache
def seen_of(case: tuple[str, str, str], *, alone: bool) -> Seen:
    return see(drawing.draw(plan_of(*case), alone=alone).svg())


def said(seen: Seen) -> str:
    """All that is written, line after line."""
    return " ".join(seen.texts)


def test_no_words_on_words(seen: Seen) -> None:
    for one, other in combinations(seen.words, 2):
        assert not one.ink.meets(other.ink), (one, other)


def test_no_line_or_dot_through_words(seen: Seen) -> None:
    for word in seen.words:
        for stroke in seen.strokes:
            assert not stroke.crosses(word.ink), (word, stroke)
        for x, y, r in seen.dots:
            assert not word.ink.meets(Box(x - r, y - r, x + r, y + r)), (word, x, y)


def test_nothing_leaves_the_picture(seen: Seen) -> None:
    for word in seen.words:
        box = word.ink
        assert box.left >= 0, word
        assert box.right <= seen.width, word
        assert box.top >= 0, word
        assert box.bottom <= seen.height, word
    for x, y in seen.points:
        assert 0 <= x <= seen.width
        assert 0 <= y <= seen.height


def test_words_are_as_long_as_said(seen: Seen) -> None:
    for word in seen.words:
        assert word.said_length == pytest.approx(word.true_length, abs=0.002), word


def test_it_is_large_and_strong_enough_to_print(plan: Json, seen: Seen) -> None:
    assert min(word.size for word in seen.words) >= LEAST_TEXT_MM
    assert min(seen.stroke_widths) >= LEAST_LINE_MM
    distances = {mark["distance"]["text"] for mark in plan["marks"]}
    shown = [word for word in seen.words if word.text in distances and word.bold]
    assert {word.text for word in shown} == distances
    assert min(word.size for word in shown) >= LEAST_DISTANCE_MM


def test_no_colour_and_no_pale_grey(seen: Seen) -> None:
    for paint in seen.greys - {"none", "#fff"}:
        red, green, blue = (
            (paint[1:3], paint[3:5], paint[5:]) if len(paint) == 7 else tuple(paint[1:])
        )
        assert red == green == blue, paint
        assert int(red, 16) / (16 ** len(red) - 1) <= 0.6, paint


def test_every_mark_is_there_with_its_name_distance_and_shape(plan: Json, seen: Seen) -> None:
    texts = set(seen.texts)
    for mark in plan["marks"]:
        shown = [place for place in seen.marks if mark["id"] in place.ids]
        assert shown, mark["id"]
        for place in shown:
            assert mark["shape"] in place.kinds, mark["id"]
            assert mark["name"] in place.title
            assert mark["distance"]["text"] in place.title
        assert mark["name"] in texts
        assert mark["distance"]["text"] in texts
    assert not {id_ for place in seen.marks for id_ in place.ids} - {
        mark["id"] for mark in plan["marks"]
    }


def test_marks_lie_in_order_on_one_axis(plan: Json, seen: Seen) -> None:
    """From the left for end a, from the right for end b, and further on for longer distances."""
    for end in "ab":
        for part in ("rope", "cover", "core", "strand"):
            marks = [mark for mark in plan["marks"] if (mark["end"], mark["part"]) == (end, part)]
            lines = {place.y for place in seen.marks if marks and marks[0]["id"] in place.ids}
            on_axis = [first(seen, mark["id"]) for mark in marks]
            assert all(place.y == pytest.approx(on_axis[0].y, abs=0.02) for place in on_axis)
            assert not marks or on_axis[0].y == pytest.approx(min(lines), abs=0.02)
            turn = 1 if end == "a" else -1
            placed = [(place_mm(mark, plan["marks"]), turn * place.x)
                      for mark, place in zip(marks, on_axis, strict=True)]  # fmt: skip
            for (at_mm, x), (next_mm, next_x) in pairwise(sorted(placed)):
                if next_mm - at_mm < 0.05:
                    assert next_x == pytest.approx(x, abs=0.01)
                else:
                    assert next_x > x


def first(seen: Seen, mark_id: str) -> Any:
    return next(place for place in seen.marks if mark_id in place.ids)


def place_mm(mark: Json, marks: list[Json]) -> float:
    origin = next((other for other in marks if other["id"] == mark["from"]), None)
    return mark["distance"]["mm"] + (place_mm(origin, marks) if origin else 0.0)


def test_marks_are_far_enough_apart_to_be_told_from_each_other_somewhere(
    plan: Json, seen: Seen
) -> None:
    """Each pair of neighbours stands 2 mm apart in the main line or in a detail."""
    by_line: dict[float, list[Any]] = {}
    for place in seen.marks:
        by_line.setdefault(round(place.y, 2), []).append(place)
    alone = set()
    for places in by_line.values():
        for place in places:
            others = [abs(place.x - other.x) for other in places if other.ids != place.ids]
            if min(others, default=2.0) >= 2.0:
                alone.update(place.ids)
    assert alone == {mark["id"] for mark in plan["marks"]}


def test_all_warnings_and_cautions_stand_beside_the_rope(
    case: tuple[str, str, str], plan: Json
) -> None:
    seen = seen_of(case, alone=True)
    whole = said(seen)
    for warning in plan["warnings"]:
        assert WORDS[warning["severity"]] in {text.partition(":")[0] for text in seen.texts}
        assert " ".join(warning["message"].split()) in whole
        assert warning["message"] in seen.description
    for caution in plan["cautions"]:
        assert " ".join(caution["text"].split()) in whole


def test_a_sheet_says_the_words_itself(case: tuple[str, str, str], plan: Json) -> None:
    whole = said(seen_of(case, alone=False))
    for item in [*plan["warnings"], *plan["cautions"]]:
        assert item.get("message", item.get("text")) not in whole


def test_a_stopped_plan_is_overprinted(case: tuple[str, str, str], plan: Json) -> None:
    for alone in (True, False):
        assert not seen_of(case, alone=alone).overprints
        seen = see(drawing.draw(stopped(plan), alone=alone).svg())
        assert set(seen.overprints) == {"do not splice from this plan"}
        assert "do not splice from this plan" in seen.title
    seen = see(drawing.draw(stopped(plan)).svg())
    assert "STOP: do not splice from this plan" in seen.texts
    assert stopped(plan)["warnings"][0]["message"] in said(seen)


def test_only_plain_elements_and_words_for_those_who_cannot_see(plan: Json, seen: Seen) -> None:
    assert seen.tags <= set(PARTS)
    assert seen.title.startswith("Splicing drawing")
    for mark in plan["marks"]:
        assert f"{mark['name']}, {mark['shape']}, {mark['distance']['text']}" in seen.description


def test_end_b_is_also_told_from_end_a(plan: Json, seen: Seen) -> None:
    for mark in plan["marks"]:
        if mark["end"] == "b" and mark["from_a"]:
            assert f"{mark['from_a']['text']} from a" in seen.texts
