"""What every drawing has to be beside legible: safe, the same each time, true in a browser."""

import copy
import os
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pypdfium2
import pytest
from drawn_specs import SPLICES, back_splice_in_double_braid, minimal, plan_of, planned
from seen import SVG, see

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.render import drawing
from tuckmark.render.view import CannotShowError, Options, Showing
from tuckmark.render.views import VIEWS, show

Json = dict[str, Any]

GOLDEN = Path(__file__).parent / "golden"
MM_PER_POINT = 25.4 / 72
HOSTILE = (
    "</svg><script>alert(1)</script>",
    "</text></g></svg>",
    "]]>&<!--",
    "\x00\x08\x1b[2J\x7f\ufffe\uffff",
    "line\nbreak\ttab\r",
    "\u202eleft to right\u202c",
    "W" * 300,
    '" onload="alert(1)',
    "\U0001f4a3 \u6f22\u5b57",
)


def drawn_of(plan: Json) -> str:
    return drawing.draw(plan).svg()


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_words_stay_words(text: str) -> None:
    plan = copy.deepcopy(plan_of("straight_bury_eye", "minimal", "metric"))
    plan["job"] |= {"description": text, "order": text, "item": text, "references": {text: text}}
    plan["warnings"][0]["message"] = text
    plan["cautions"][0]["text"] = text
    root = ElementTree.fromstring(drawn_of(plan))  # noqa: S314 - of our own making
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags == {"svg", "title", "desc", "rect", "line", "path", "circle", "g", "text"}
    names = {name for element in root.iter() for name in element.attrib}
    assert not {name for name in names if name.startswith("on") or name in {"style", "href"}}
    written = "".join(root.itertext())
    assert all(letter in "\n\t" or ord(letter) >= 0x20 for letter in written)
    for element in root.iter(f"{SVG}text"):
        assert float(element.get("x")) + float(element.get("textLength")) <= 170.0 or (
            element.get("text-anchor") is not None
        )


@pytest.mark.parametrize("name", [*SPLICES, "back_splice_in_double_braid"])
def test_golden(name: str, request: pytest.FixtureRequest) -> None:
    """Regression: a drawing changes only when somebody means it to."""
    spec = back_splice_in_double_braid() if name not in SPLICES else minimal(name)
    plan = planned(spec, "metric")
    plan |= {"digest": f"sha256:{'0' * 64}", "made_with": {"engine": "0", "tables": "0"}}
    path = GOLDEN / f"{name}.svg"
    if request.config.getoption("--write-golden", default=False):
        path.write_text(drawn_of(plan), encoding="utf-8")
    assert drawn_of(plan) == path.read_text(encoding="utf-8"), "pytest --write-golden rewrites it"


def test_no_golden_drawing_is_left_over() -> None:
    assert {path.stem for path in GOLDEN.glob("*.svg")} == {*SPLICES, "back_splice_in_double_braid"}


def test_the_same_bytes_whatever_the_order_of_sets() -> None:
    code = (
        "import sys, hashlib; from tuckmark import published;"
        "from tuckmark.pipeline import default_pipeline; from tuckmark.render import drawing;"
        "plan = default_pipeline().plan(published.examples()['towing-pendant']);"
        "sys.stdout.write(hashlib.sha256(drawing.draw(plan).svg().encode()).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1


def test_the_view_offers_svg_pdf_and_png() -> None:
    assert tuple(VIEWS["drawing"].formats) == ("svg", "pdf", "png")
    assert VIEWS["drawing"].reads == {"dpi"}
    plan = plan_of("locked_bury_eye", "minimal", "metric")
    assert show("plan", "svg", Showing(plan)) == show("drawing", "svg", Showing(plan))


def test_pdf_is_one_page_of_true_size_with_the_words_in_it() -> None:
    plan = default_pipeline().plan(published.examples()["towing-pendant"])
    made = drawing.draw(plan)
    pdf = drawing.as_pdf(Showing(plan))
    assert pdf == drawing.as_pdf(Showing(plan))
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    width, height = document[0].get_size()
    assert width * MM_PER_POINT == pytest.approx(made.width_mm, abs=0.01)
    assert height * MM_PER_POINT == pytest.approx(made.height_mm, abs=0.01)
    text = document[0].get_textpage().get_text_bounded()
    for mark in plan["marks"]:
        assert mark["name"] in text
        assert mark["distance"]["text"] in text


@pytest.mark.parametrize("dpi", [None, 203])
def test_png_is_as_large_as_its_dots_say(dpi: int | None) -> None:
    plan = plan_of("tucked_eye", "minimal", "metric")
    png = drawing.as_png(Showing(plan, Options(dpi=dpi)))
    assert png.startswith(b"\x89PNG")
    width, height = (int.from_bytes(png[at : at + 4], "big") for at in (16, 20))
    made = drawing.draw(plan)
    assert width == pytest.approx(made.width_mm / 25.4 * (dpi or 150), abs=1.5)
    assert height == pytest.approx(made.height_mm / 25.4 * (dpi or 150), abs=1.5)


def test_a_png_of_too_many_dots_is_refused_with_those_that_fit() -> None:
    """40,000,000 dots: the limit that the readme gives for every PNG."""
    plan = dict(plan_of("core_bury_eye", "longest", "metric"))
    plan["cautions"] = plan["cautions"] * 6
    made = drawing.draw(plan)
    side_px = [side_mm / 25.4 * 600 for side_mm in (made.width_mm, made.height_mm)]
    assert side_px[0] * side_px[1] > 40_000_000 > side_px[0] * side_px[1] / 4
    with pytest.raises(CannotShowError) as caught:
        drawing.as_png(Showing(plan, Options(dpi=600)))
    refused = caught.value
    assert (refused.code, refused.parameter) == ("picture_too_large", "dpi")
    assert refused.allowed == ("72", "100", "150", "203", "300")
    assert "300 dpi fits." in refused.detail


def test_every_count_of_a_taper_stands_at_its_mark_from_the_bitter_end_on() -> None:
    """The customary taper is counted 3, 2, 3, 2, 3 picks: the first from the bitter end."""
    plan = plan_of("locked_bury_eye", "minimal", "metric")
    texts = see(drawn_of(plan)).texts
    counts = ["3 picks", "+2 = 5 picks", "+3 = 8 picks", "+2 = 10 picks", "+3 = 13 picks"]
    assert [texts[texts.index(f"taper pair {n}") + 1] for n in range(1, 6)] == counts


@pytest.mark.parametrize("width_mm", [150.0, 170.0, 190.0, 277.0])
def test_other_widths_are_laid_out_anew(width_mm: float) -> None:
    plan = plan_of("locked_bury_eye", "longest", "metric")
    seen = see(drawing.draw(plan, alone=False, width_mm=width_mm).svg())
    assert seen.width == width_mm
    assert max(word.ink.right for word in seen.words) <= width_mm
    assert min(word.size for word in seen.words) >= 2.5


def test_a_width_that_is_too_small_is_refused() -> None:
    with pytest.raises(ValueError, match="width"):
        drawing.draw(plan_of("locked_bury_eye", "longest", "inch"), width_mm=40.0)


def test_a_plan_that_says_stop_is_overprinted_in_every_format() -> None:
    spec = minimal("straight_bury_eye")
    spec["ends"]["a"]["stitching"] = "none"
    plan = planned(spec, "metric")
    assert plan["usable"] is False
    assert see(drawn_of(plan)).overprints
    text = pypdfium2.PdfDocument(drawing.as_pdf(Showing(plan)))[0].get_textpage()
    assert text.get_text_bounded().count("do not splice from this plan") >= 2


@pytest.mark.parametrize(
    ("example", "mark", "said"),
    [
        ("towing-pendant", "a.tail_throat", ["tail throat", "not shorter"]),
        ("stay-after-setting", "a.tail_throat", ["tail throat", "\u00b1 2 mm"]),
        (
            "interlocked-strop",
            "a.tail_throat",
            ["tail throat", "+2 mm, \u20130 mm"],
        ),
        ("sling-polyester-locked", "a.tail_throat", ["tail throat", "at most 14 mm shorter"]),
        ("sling-polyester-locked", "a.body_throat", ["body throat"]),
    ],
)
def test_what_a_mark_may_be_off_stands_under_its_name(
    example: str, mark: str, said: list[str]
) -> None:
    """By the plan: what a rule for bury or tail, or the tolerance of the length, leaves."""
    plan = default_pipeline().plan(published.examples()[example])
    seen = see(drawn_of(plan))
    distance = next(item["distance"]["text"] for item in plan["marks"] if item["id"] == mark)
    at = seen.texts.index(said[0], seen.texts.index(distance))
    assert seen.texts[at : at + len(said)] == said
    assert not seen.texts[at + len(said)].startswith(("not ", "at most", "+"))
