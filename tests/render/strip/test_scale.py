"""Every mark lies where the plan says, in SVG and in PDF, to 0.1 mm; pieces and rows line up."""

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from pictures import SPLICES, UNITS, Box, Json, across, drawn, pdf_pages, plan, shortest_and_longest

from tuckmark.render import strip, views
from tuckmark.render.view import Options, Showing

WIDTHS_MM = (12, 25, 62, 110)
TENTH_MM = 0.1
THICKEST_LINE_MM = 0.75
NAMES = ("towing-pendant", "boom-pendant-inches", "core-carried-halyard", "dock-line-double-braid")


def expected(made: Json, end: str, part: str, root: str) -> list[float]:
    """Distances of the marks of one strip from its zero, which is always among them."""
    by_id = {mark["id"]: mark for mark in made["marks"]}
    places = {0.0}
    for mark in made["marks"]:
        at, base = mark["distance"]["mm"], mark["from"]
        while base in by_id and by_id[base]["part"] == mark["part"]:
            at, base = at + by_id[base]["distance"]["mm"], by_id[base]["from"]
        if (mark["end"], mark["part"], base) == (end, part, root):
            places.add(round(at, 1))
    return sorted(places)


def roots(made: Json) -> list[tuple[str, str, str]]:
    """End, part and where the distances begin of each strip, in the order of the plan."""
    by_id = {mark["id"]: mark for mark in made["marks"]}
    found = []
    for mark in made["marks"]:
        base = mark["from"]
        while base in by_id and by_id[base]["part"] == mark["part"]:
            base = by_id[base]["from"]
        found.append((mark["end"], mark["part"], base))
    return list(dict.fromkeys(found))


def pieces_of(made: Json, pages: list[tuple[float, list[Box]]]) -> Iterator[list[float]]:
    """Places of the lines of each strip from its zero, its pieces laid end to end on the rope.

    Where a piece ends and the next begins, both have a line: they lie at one place of the rope.
    """
    numbered = iter(pages)
    for key in roots(made):
        last = expected(made, *key)[-1]
        at, places = 0.0, []
        while not places or places[-1] < last - TENTH_MM:
            width, boxes = next(numbered)
            lines = [x for x, thick in across(boxes, 0.0, width) if thick < THICKEST_LINE_MM]
            places += [at + x - lines[0] for x in lines]
            at = places[-1]
        yield places
    assert not list(numbered), "a piece too many"


def with_restarts(found: list[float], wanted: list[float]) -> list[float]:
    """The lines that the plan does not have: they come in pairs, at one round place each."""
    rest = list(found)
    for place in wanted:
        nearest = min(rest, key=lambda x: abs(x - place))
        assert abs(nearest - place) <= TENTH_MM
        rest.remove(nearest)
    return rest


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("width_mm", WIDTHS_MM)
@pytest.mark.parametrize("name", NAMES)
def test_marks_in_the_svg_lie_where_the_plan_says(name: str, width_mm: int, units: str) -> None:
    made = plan(name, units)
    pictures = strip.pictures(Showing(made, Options(width_mm=width_mm)))
    pages = [(float(width_mm), drawn(one.svg()).rects) for one in pictures]
    assert all(one.width_mm <= 5000 for one in pictures)
    for key, found in zip(roots(made), pieces_of(made, pages), strict=True):
        rest = with_restarts(found, expected(made, *key))
        assert len(rest) % 2 == 0
        step_mm = 100 if units == "metric" else 152.4
        for first, second in zip(rest[::2], rest[1::2], strict=True):
            assert abs(first - second) <= TENTH_MM
            assert abs(first - round(first / step_mm) * step_mm) <= TENTH_MM


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
@pytest.mark.parametrize("name", ["towing-pendant", "dock-line-double-braid"])
def test_marks_in_the_pdf_lie_where_the_plan_says(name: str, width_mm: int) -> None:
    made = plan(name)
    showing = Showing(made, Options(width_mm=width_mm))
    pages = []
    for width, height, boxes in pdf_pages(views.show("strip", "pdf", showing)):
        assert width <= 5000.05
        assert abs(height - width_mm) < 0.01
        pages.append((height, boxes))
    for key, found in zip(roots(made), pieces_of(made, pages), strict=True):
        assert len(with_restarts(found, expected(made, *key))) % 2 == 0


@pytest.mark.parametrize("diameter", [0, 1])
@pytest.mark.parametrize("family", SPLICES)
def test_every_family_at_both_ends_of_its_sizes(family: str, diameter: int) -> None:
    made = plan(family, None, shortest_and_longest(family)[diameter])
    pictures = strip.pictures(Showing(made, Options(width_mm=25)))
    pages = [(25.0, drawn(one.svg()).rects) for one in pictures]
    for key, found in zip(roots(made), pieces_of(made, pages), strict=True):
        assert len(with_restarts(found, expected(made, *key))) % 2 == 0


@pytest.mark.parametrize("units", UNITS)
def test_restart_lines_say_the_same_distance_on_both_pieces(units: str) -> None:
    made = plan("towing-pendant", units)
    first, second = (
        drawn(one.svg()) for one in strip.pictures(Showing(made, Options(end="a", width_mm=25)))
    )
    ends = [text for text in first.texts if "begins here" in text.text]
    begins = [text for text in second.texts if "ends here" in text.text]
    assert [text.text for text in ends] == ["restart: 2 of 2 begins here"]
    assert [text.text for text in begins] == ["restart: 1 of 2 ends here"]
    said = {
        min(
            (text for text in page.texts if re.match(r"\d", text.text)),
            key=lambda text: abs(text.left - label.left) + abs(text.box[3] - label.box[1]),
        ).text
        for page, label in ((first, ends[0]), (second, begins[0]))
    }
    assert said == ({"4400 mm"} if units == "metric" else {"14 ft 0 in"})


# --- tiled ----------------------------------------------------------------------------------


def rows_of(pictures: list[Json], width_mm: float) -> Iterator[tuple[float, float, list[Box]]]:
    """Left and right edge of each row on the sheets, and what stands in it."""
    for picture in pictures:
        outlines = [box for box, _ in picture.strokes if abs(box[3] - box[1] - width_mm) < 1e-3]
        for left, top, right, bottom in sorted(outlines, key=lambda box: box[1]):
            inside = [
                (box[0], box[1] - top, box[2], box[3] - top)
                for box in picture.rects
                if box[1] >= top - 1e-6 and box[3] <= bottom + 1e-6
            ]
            yield left, right, inside


def laid_together(rows: list[tuple[float, float, list[Box]]], width_mm: float) -> list[Json]:
    """Lines of each row from the strip's zero, each row laid by its join on the one before.

    A join is the broken line of 0.25 mm that ends one row and begins the next.
    """
    laid = []
    join_mm = None
    for left, right, boxes in rows:
        upright = [box for box in boxes if abs(box[2] - box[0] - 0.25) < 1e-3]
        joins = sorted({(box[0] + box[2]) / 2 for box in upright if box[3] - box[1] > 0.5})
        lines = [
            x for x, _ in across(boxes, 0.0, width_mm) if all(abs(x - j) > 0.02 for j in joins)
        ]
        shift = -lines[0] if join_mm is None else join_mm - joins.pop(0)
        laid.append(
            {
                "lines": [x + shift for x in lines],
                "from": left + shift,
                "to": right + shift,
                "first": join_mm is None,
            }
        )
        join_mm = joins[0] + shift if joins else None
    return laid


@pytest.mark.parametrize("page", ["a4", "letter"])
@pytest.mark.parametrize("width_mm", WIDTHS_MM)
@pytest.mark.parametrize("name", ["towing-pendant", "dock-line-double-braid"])
def test_rows_laid_together_by_their_joins_have_every_mark_at_its_place(
    name: str, width_mm: int, page: str
) -> None:
    made = plan(name)
    pictures = strip.pictures(Showing(made, Options(width_mm=width_mm, page=page)))
    paper = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}[page]  # ISO 216; 11 x 8 1/2 in
    assert {(one.width_mm, one.height_mm) for one in pictures} == {paper}
    laid = laid_together(list(rows_of([drawn(one.svg()) for one in pictures], width_mm)), width_mm)
    strips: list[list[Json]] = []
    for row in laid:
        if row["first"]:
            strips.append([])
        strips[-1].append(row)
    assert len(strips) == len(roots(made))
    for key, rows in zip(roots(made), strips, strict=True):
        wanted = expected(made, *key)
        for before, after in pairwise(rows):
            assert before["to"] - after["from"] == pytest.approx(20, abs=0.01)
        for row in rows:
            here = [place for place in wanted if row["from"] < place < row["to"]]
            assert row["lines"] == pytest.approx(here, abs=TENTH_MM)


def test_a_mark_in_an_overlap_is_on_both_rows() -> None:
    """Marks every 8 mm or so leave no free stretch of 20 mm: here one has to lie in a join."""
    made = dense_plan()
    pictures = strip.pictures(Showing(made, Options(width_mm=110, page="a4")))
    laid = laid_together(list(rows_of([drawn(one.svg()) for one in pictures], 110)), 110)
    wanted = expected(made, "a", "rope", "bitter_end")
    seen = [place for row in laid for place in row["lines"]]
    for row in laid:
        here = [place for place in wanted if row["from"] < place < row["to"]]
        assert row["lines"] == pytest.approx(here, abs=TENTH_MM)
    assert len(seen) > len(wanted)


def dense_plan() -> Json:
    """A plan whose marks are as near as none of ours are."""
    made = {**plan("towing-pendant")}
    model = next(mark for mark in made["marks"] if mark["id"] == "a.taper_1")
    made["marks"] = [
        {
            **model,
            "id": f"a.m{n}",
            "name": f"m{n}",
            "distance": {"mm": 8.0 * n, "text": f"{8 * n} mm"},
        }
        for n in range(1, 40)
    ]
    return made


# --- bars -----------------------------------------------------------------------------------


@pytest.mark.parametrize("page", [None, "a4"])
@pytest.mark.parametrize("width_mm", WIDTHS_MM)
def test_check_bars_are_100_mm_at_both_ends(width_mm: int, page: str | None) -> None:
    showing = Showing(plan("towing-pendant"), Options(width_mm=width_mm, page=page, end="a"))
    pictures = [drawn(one.svg()) for one in strip.pictures(showing)]
    bars = [
        [box for box in one.rects if abs(box[3] - box[1] - 1.2) < 1e-3 and box[2] - box[0] > 10]
        for one in pictures
    ]
    assert all(abs(box[2] - box[0] - 100) < 1e-3 for page_bars in bars for box in page_bars)
    words = [[text for text in one.texts if "This bar is 100 mm" in text.text] for one in pictures]
    assert [len(found) for found in bars] == [len(found) for found in words]
    if page is None:
        assert [len(found) for found in bars] == [2, 2]
    else:
        assert min(len(found) for found in bars) >= 1
    in_pdf = [
        box
        for _, _, boxes in pdf_pages(views.show("strip", "pdf", showing))
        for box in boxes
        if abs(box[3] - box[1] - 1.2) < 0.01 and box[2] - box[0] > 10  # not a dash
    ]
    assert len(in_pdf) == sum(len(found) for found in bars)
    assert all(abs(box[2] - box[0] - 100) < TENTH_MM for box in in_pdf)
