"""What may be asked of a strip, what is refused, and the files that come of it."""

import struct
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from pictures import MM_PER_INCH, SPLICES, across, chunks, drawn, grey, pdf_pages, plan

from tuckmark.pipeline import default_pipeline
from tuckmark.published import examples
from tuckmark.render import printing, strip, views
from tuckmark.render.svg import Picture
from tuckmark.render.view import CannotShowError, Format, Options, Showing


def refusal(form: Format, made: dict[str, Any], **options: Any) -> CannotShowError:
    with pytest.raises(CannotShowError) as caught:
        views.show("strip", form, Showing(made, Options(**options)))
    return caught.value


@pytest.mark.parametrize(
    ("width_mm", "code"), [(11, "too_small"), (12, None), (110, None), (111, "too_large")]
)
def test_width_has_limits(width_mm: int, code: str | None) -> None:
    made = plan("tucked-fender-lanyard")
    if code is None:
        assert views.show("strip", "svg", Showing(made, Options(width_mm=width_mm)))
        return
    refused = refusal("svg", made, width_mm=width_mm)
    assert (refused.code, refused.parameter, refused.allowed) == (code, "width_mm", "12 to 110")


def test_each_end_and_part_gets_its_own_strip_in_the_order_of_the_plan() -> None:
    made = plan("core-carried-halyard")
    titles = [drawn(one.svg()).texts for one in strip.pictures(Showing(made))]
    assert [found[1].text.split(" \u00b7 ")[0] for found in titles] == [
        "End a, cover",
        "End a, core",
        "End a, core, from core out",
    ]
    only = strip.pictures(Showing(made, Options(part="cover")))
    assert len(only) == 1


def test_unknown_end_and_part_are_refused() -> None:
    refused = refusal("pdf", plan("core-carried-halyard"), end="b")
    assert (refused.code, refused.allowed) == ("no_such_end", ("a",))
    refused = refusal("pdf", plan("towing-pendant"), part="core")
    assert (refused.code, refused.allowed) == ("no_such_part", ("rope",))


@pytest.mark.parametrize("form", ["svg", "png"])
def test_a_picture_holds_one_piece_and_says_so(form: Format) -> None:
    made = plan("towing-pendant")  # two ends of two pieces each
    refused = refusal(form, made)
    assert (refused.code, refused.parameter, refused.allowed) == ("piece_needed", "piece", "1 to 4")
    for piece in (1, 4):
        assert views.show("strip", form, Showing(made, Options(piece=piece, width_mm=12)))
    refused = refusal(form, made, piece=5)
    assert (refused.code, refused.allowed) == ("no_such_piece", "1 to 4")


def test_pieces_are_counted_as_the_pages_of_the_pdf() -> None:
    made = plan("towing-pendant")
    pages = list(pdf_pages(views.show("strip", "pdf", Showing(made))))
    for number, (width, height, _) in enumerate(pages, 1):
        one = strip.pictures(Showing(made, Options(piece=number)))[0]
        assert (one.width_mm, one.height_mm) == pytest.approx((width, height), abs=0.01)
    only = list(pdf_pages(views.show("strip", "pdf", Showing(made, Options(piece=2)))))
    assert [page[0] for page in only] == [pages[1][0]]


def test_a_stopped_plan_has_no_strip() -> None:
    spec = {**examples()["towing-pendant"]}
    spec["ends"] = {**spec["ends"], "b": {**spec["ends"]["b"], "stitching": "none"}}
    made = default_pipeline().plan(spec)
    assert made["usable"] is False
    assert refusal("pdf", made).code == "plan_stopped"


def test_a_strip_longer_than_anyone_prints_is_refused() -> None:
    made = {**plan("tucked-fender-lanyard")}
    far = made["marks"][-1]
    for last_mm, refused in ((174_000.0, False), (174_000.1, True)):
        made["marks"] = [{**far, "distance": {"mm": last_mm, "text": "far"}}]
        if refused:
            assert refusal("pdf", made).code == "strip_too_long"
        else:
            assert max(one.width_mm for one in strip.pictures(Showing(made))) <= 5000


def test_sheets_are_limited_too() -> None:
    made = plan("core_bury_eye", None, 200.0)
    refused = refusal("pdf", made, page="a4", width_mm=110)
    assert (refused.code, refused.parameter) == ("too_many_sheets", "page")
    assert "Without page" in refused.detail


@pytest.mark.parametrize("family", SPLICES)
def test_every_family_marks_something(family: str) -> None:
    assert plan(family)["marks"]


# --- files ----------------------------------------------------------------------------------


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("width_mm", [12, 25])
def test_png_has_the_dots_of_its_size_and_says_how_many_make_an_inch(
    width_mm: int, dpi: int
) -> None:
    """W3C PNG, 11.3.5.3: pHYs holds dots per metre and the unit 1 for the metre."""
    options = Options(width_mm=width_mm, dpi=dpi, part="strand", end="b")
    showing = Showing(plan("bell-rope-back-splice"), options)
    picture = strip.pictures(showing)[0]
    parts = chunks(views.show("strip", "png", showing))
    across_px, down_px = struct.unpack_from(">II", parts[b"IHDR"])
    assert across_px == round(picture.width_mm * dpi / MM_PER_INCH)
    assert down_px == round(width_mm * dpi / MM_PER_INCH)
    per_metre = round(dpi / 0.0254)
    assert parts[b"pHYs"] == struct.pack(">IIB", per_metre, per_metre, 1)


def test_lines_survive_a_printer_that_knows_only_black_and_white() -> None:
    """At half grey, as a thermal head prints, each line is there at its place, edge to edge."""
    showing = Showing(
        plan("bell-rope-back-splice"), Options(width_mm=12, dpi=203, part="strand", end="b")
    )
    picture = strip.pictures(showing)[0]
    dark = grey(views.show("strip", "png", showing)) < 128
    found = drawn(picture.svg())
    lines = [x for x, _ in across(found.rects, 0.0, found.height)]
    assert len(lines) == 2
    for x in lines:
        at = x * 203 / MM_PER_INCH
        columns = dark[:, round(at) - 2 : round(at) + 3]
        assert np.all(columns.any(axis=1))
    bar = next(box for box in found.rects if box[2] - box[0] > 99)
    row = dark[round((bar[1] + bar[3]) / 2 * 203 / MM_PER_INCH)]
    run = np.flatnonzero(row[: round((bar[2] + 2) * 203 / MM_PER_INCH)])
    assert abs((run[-1] - run[0] + 1) * MM_PER_INCH / 203 - 100) <= MM_PER_INCH / 203


def test_only_dots_that_printers_have() -> None:
    refused = refusal("png", plan("tucked-fender-lanyard"), dpi=204)
    assert (refused.code, refused.parameter) == ("not_one_of", "dpi")
    assert refused.allowed == ("203", "300")


def test_the_largest_picture_is_40_million_dots_exactly() -> None:
    wide = 8000 * MM_PER_INCH / 203
    fits = Picture(wide, 5000 * MM_PER_INCH / 203, "t", "d")
    more = Picture(wide, 5001 * MM_PER_INCH / 203, "t", "d")
    assert printing.pixels(fits, 203) == 40_000_000
    parts = chunks(printing.png(fits, Options(dpi=203)))
    assert struct.unpack_from(">II", parts[b"IHDR"]) == (8000, 5000)
    with pytest.raises(CannotShowError) as caught:
        printing.png(more, Options(dpi=203))
    assert caught.value.code == "picture_too_large"
    assert caught.value.allowed is None


def test_a_picture_too_large_names_the_dots_that_fit() -> None:
    refused = refusal("png", plan("towing-pendant"), dpi=300, width_mm=110, piece=1)
    assert (refused.code, refused.parameter) == ("picture_too_large", "dpi")
    assert refused.allowed == ("203",)
    assert "203 dpi fits" in refused.detail


@pytest.mark.parametrize("form", ["pdf", "svg", "png"])
def test_same_plan_same_bytes(form: Format) -> None:
    showing = Showing(plan("tucked-fender-lanyard"), Options(width_mm=25))
    assert views.show("strip", form, showing) == views.show("strip", form, showing)


@pytest.mark.parametrize("page", [None, "letter"])
def test_hostile_words_stay_words(page: Any) -> None:
    showing = Showing(plan("towing-pendant"), Options(page=page, end="a"))
    hostile = '</text><script>alert("x")</script>#panic("x") \u202egnirts &amp; ]]>'
    job = {**showing.plan["job"], "order": hostile, "description": "W" * 200}
    made = {**showing.plan, "job": job}
    for one in strip.pictures(replace(showing, plan=made)):
        found = drawn(one.svg())
        assert "<script" not in one.svg()
        for n, text in enumerate(found.texts):
            assert text.box[0] >= 0
            assert text.box[2] <= found.width
            assert "\u202e" not in text.text
            for other in found.texts[n + 1 :]:
                assert (
                    text.box[2] <= other.left
                    or other.box[2] <= text.left
                    or not (text.box[1] < other.box[3] and other.box[1] < text.box[3])
                )
    assert views.show("strip", "pdf", replace(showing, plan=made)).startswith(b"%PDF")
