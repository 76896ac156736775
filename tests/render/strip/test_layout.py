"""Nothing on a strip touches, leaves the paper, is too small to read or too thin to print."""

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from pictures import (
    SPLICES,
    UNITS,
    Drawn,
    Json,
    across,
    drawn,
    overlap,
    plan,
    shortest_and_longest,
    within,
)

from tuckmark.render import strip
from tuckmark.render.view import CannotShowError, Options, Showing

WIDTHS_MM = (12, 25, 62, 110)
LEAST_TEXT_MM = 2.5
LEAST_LINE_MM = 0.25
DISTANCE = re.compile(r"\d.* (?:mm|m|in)|0 mm|0 in")


def pictures_of(made: Json, **options: object) -> list[Drawn]:
    """All pieces at the width asked for, or at the least that is named when that is too little."""
    showing = Showing(made, Options(**options))  # type: ignore[arg-type]
    try:
        found = strip.pictures(showing)
    except CannotShowError as refusal:
        found = strip.pictures(wider(showing, refusal))
    return [drawn(one.svg()) for one in found]


def wider(showing: Showing, refusal: CannotShowError) -> Showing:
    """The same at the least width that the refusal names, once that is known to be the least."""
    assert refusal.code == "strip_too_narrow"
    assert refusal.parameter == "width_mm"
    least = int(str(refusal.allowed).split()[0])
    with pytest.raises(CannotShowError):
        strip.pictures(replace(showing, options=replace(showing.options, width_mm=least - 1)))
    return replace(showing, options=replace(showing.options, width_mm=least))


def cases() -> Iterator[tuple[str, float]]:
    for family in SPLICES:
        for diameter in dict.fromkeys((*shortest_and_longest(family), 12.0)):
            yield family, diameter


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(("family", "diameter"), [*cases()])
def test_continuous_strips_are_clean(
    family: str, diameter: float, units: str, width_mm: int
) -> None:
    for picture in pictures_of(plan(family, units, diameter), width_mm=width_mm):
        check(picture)


@pytest.mark.parametrize(
    ("page", "width_mm", "units"), [("a4", 12, "metric"), ("letter", 25, "inch")]
)
@pytest.mark.parametrize("family", SPLICES)
def test_sheets_are_clean(family: str, page: str, width_mm: int, units: str) -> None:
    for diameter in dict.fromkeys((shortest_and_longest(family)[0], 12.0)):
        for picture in pictures_of(plan(family, units, diameter), width_mm=width_mm, page=page):
            check(picture)


def test_rows_that_are_cut_out_say_whose_they_are() -> None:
    """Each join names its end, its number, its part and its plan, on both rows that share it."""
    made = plan("dock-line-double-braid")
    digits = made["digest"].removeprefix("sha256:")[:5]
    for picture in pictures_of(made, width_mm=12, page="a4"):
        said = [text.text for text in picture.texts]
        joins = said.count("join")
        assert joins > 1
        assert said.count(digits) == joins
        assert said.count("cover") + said.count("core") == joins
        numbers = [text for text in said if re.fullmatch("a [0-9]+", text)]
        assert len(numbers) == joins


def check(picture: Drawn) -> None:
    upright = [box for box in picture.rects if box[2] - box[0] < 0.75]
    for n, text in enumerate(picture.texts):
        assert text.size >= LEAST_TEXT_MM, text
        assert within(picture, text.box), text
        for other in picture.texts[n + 1 :]:
            assert not overlap(text.box, other.box), (text, other)
        for box in (*upright, *(b for b in picture.rects if b not in upright and b[3] - b[1] < 2)):
            assert not overlap(text.box, box), (text, box)
        for box in (*picture.circles, *picture.polygons):
            assert not overlap(text.box, box), (text, box)
        for box, _ in picture.strokes:
            if box[3] - box[1] < 10:  # the outline of a row goes round its words
                assert not overlap(text.box, box), (text, box)
    for box in (*picture.rects, *picture.circles, *picture.polygons):
        assert within(picture, box)
        assert min(box[2] - box[0], box[3] - box[1]) >= LEAST_LINE_MM - 1e-3
    for box, width in picture.strokes:
        assert within(picture, box)
        assert width >= LEAST_LINE_MM


# --- whose label is whose -------------------------------------------------------------------


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
@pytest.mark.parametrize(("family", "diameter"), [*cases()])
def test_each_mark_has_its_own_label_next_to_it_or_led_to_it(
    family: str, diameter: float, width_mm: int
) -> None:
    """No label is ever dropped, and none can be taken for another line's."""
    made = plan(family, "metric", diameter)
    wanted = {(m["end"], m["part"], m["distance"]["text"], m["name"]) for m in made["marks"]}
    found = set()
    for end, part in dict.fromkeys((m["end"], m["part"]) for m in made["marks"]):
        told = set()
        for picture in pictures_of(made, width_mm=width_mm, end=end, part=part):
            found |= {(end, part, *pair) for pair in labels_of(picture, made, end, part)}
            counted = any("\u00a0pick" in t.text for t in picture.texts)
            assert any("the count decides" in t.text for t in picture.texts) is counted
            told.add(counted)
        of_plan = any(m["picks"] for m in made["marks"] if (m["end"], m["part"]) == (end, part))
        assert (True in told) is of_plan
    assert wanted
    assert wanted <= found


def labels_of(picture: Drawn, made: Json, end: str, part: str) -> Iterator[tuple[str, str]]:
    """Distance and name of each label, once its line is found and is at that distance."""
    lines = [x for x, _ in across(picture.rects, 0.0, picture.height)]
    leaders = [b for b in picture.rects if abs(b[3] - b[1] - 0.25) < 1e-3]
    marks = [m for m in made["marks"] if (m["end"], m["part"]) == (end, part)]
    origin = origin_mm(picture, lines)
    for text in picture.texts:
        if not DISTANCE.fullmatch(text.text):
            continue
        middle = (text.box[1] + text.box[3]) / 2
        led = [b for b in leaders if b[1] - 1 < middle < b[3] + 1 and 0 < text.left - b[2] < 1.2]
        at = led[0][0] if led else max(x for x in lines if x < text.left)
        assert led or text.left - at < 3.6, text
        assert min(abs(at - x) for x in lines) < 0.01
        below = [t for t in picture.texts if t is not text and beside(t, text, led=bool(led))]
        said = " ".join(t.text for t in sorted(below, key=lambda t: t.box[1]))
        for mark in marks:
            here = abs(mark["distance"]["mm"] - (at - origin)) <= 0.1
            named = mark["name"] in said and _count(mark) in said
            if mark["distance"]["text"] in text.text and here and named:
                yield mark["distance"]["text"], mark["name"]


def _count(mark: Json) -> str:
    """Where a mark is found by counting, the count decides and its place is but a check."""
    return "" if mark["picks"] is None else f"{mark['picks']}\u00a0pick"


def beside(one: object, distance: object, *, led: bool) -> bool:
    """Whether a text is the name that belongs to a distance."""
    (left, top, _, bottom), box = one.box, distance.box  # type: ignore[attr-defined]
    if led:
        return top < box[3] and bottom > box[1] and 0 < left - box[2] < 4
    return abs(left - box[0]) < 1e-6 and 0 <= top - box[1] < 18


def origin_mm(picture: Drawn, lines: list[float]) -> float:
    """Where the strip's zero would be: the first line, or as far back as a restart line says."""
    starts = [text for text in picture.texts if "ends here" in text.text]
    if not starts:
        return lines[0]
    said = next(
        text.text
        for text in picture.texts
        if DISTANCE.fullmatch(text.text) and abs(text.left - starts[0].left) < 1e-6
    )
    number, unit = said.split()
    return lines[0] - float(number) * (1000 if unit == "m" else 1)


def test_fractions_are_set_as_fractions_where_they_can_be_read() -> None:
    """At 62 mm the words are large; on a narrow strip raised figures would be too small."""
    made = plan("boom-pendant-inches")
    wide, narrow = (
        " ".join(text.text for text in pictures_of(made, width_mm=width_mm, end="a")[0].texts)
        for width_mm in (62, 12)
    )
    assert "3 \u00b9\u2044\u2081\u2086 in" in wide
    assert "3 1/16 in" in narrow
