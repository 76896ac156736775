"""Sheets as PDF, read back with PDFium: what they hold, where it lies, how large it is.

The limits are the brief's: nothing overlaps, nothing leaves the margins, text at least 2.5 mm,
distances at least 4 mm, every mark, warning, caution and step of the plan.
"""

import re
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import orjson
import printed
import pytest
import sheet_specs
import zxingcpp

from tuckmark.render import qr
from tuckmark.render.view import Options, Showing
from tuckmark.render.views import show

Make = Callable[[str, str, str, str], bytes]
Read = Callable[[str, str, str], list[printed.Page]]
Plans = Callable[[str, str], sheet_specs.Json]

KINDS = tuple(sheet_specs.kinds())
PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
MARGIN_MM = {"side": 16.0, "top": 10.0, "bottom": 15.0}
LEAST_TEXT_MM = 2.5
LEAST_DISTANCE_MM = 4.0
#: beyond Latin, Greek, Cyrillic and punctuation
OTHER = re.compile("[^ -\u052f\u1e00-\u1eff\u2010-\u2027\u2030-\u205e]|[\u0300-\u036f]{3}")
OVERPRINT = "Do not splice from this plan"
HALF_INK_MM = 0.15
THERMAL_DPI = 203

each_kind = pytest.mark.parametrize("kind", KINDS)
each_sheet = pytest.mark.parametrize(
    ("kind", "units", "page"), [(kind, *how) for kind in KINDS for how in sheet_specs.sheets(kind)]
)
each_page = pytest.mark.parametrize("page", sheet_specs.PAGES)


def text_of(pages: list[printed.Page], running: str) -> str:
    """All text in order, without what every page repeats."""
    bare = []
    for n, page in enumerate(pages, 1):
        text = printed.squeezed(page.text).replace(printed.squeezed(OVERPRINT), "")
        if n > 1:
            repeated = printed.squeezed(f"{running}page {n} of {len(pages)}")
            assert repeated in text, f"page {n} does not say what it is of"
            text = text.replace(repeated, "")
        bare.append(text)
    return "".join(bare)


def running_of(plan: sheet_specs.Json) -> str:
    """The end of the line that every further page repeats; its beginning is the job."""
    return f"plan {plan['digest'].removeprefix('sha256:')[:16]}"


def legible(sentences: Iterable[str]) -> list[str]:
    """The sentences that the sheet's own type can set; what else a user wrote is not looked for."""
    whole = [each for each in sentences if not OTHER.search(each)]
    return [printed.squeezed(each) for each in whole]


def ordinary(page: printed.Page) -> list[printed.Word]:
    """The words of a page, but for what is printed across it, the only ones that are turned."""
    return [word for word in page.words if word.upright]


@each_sheet
def test_nothing_overlaps_is_too_small_or_leaves_the_page(
    read: Read, kind: str, units: str, page: str
) -> None:
    pages = read(kind, units, page)
    width_mm, height_mm = PAPER_MM[page]
    for found in pages:
        assert (found.width_mm, found.height_mm) == pytest.approx((width_mm, height_mm), abs=0.1)
        assert printed.collisions(ordinary(found), HALF_INK_MM) == []
        assert min(word.size_mm for word in found.words) >= LEAST_TEXT_MM
        assert min(word.left for word in found.words) > MARGIN_MM["side"] - 0.5
        assert max(word.right for word in found.words) < width_mm - MARGIN_MM["side"] + 0.5
        assert min(word.top for word in found.words) > MARGIN_MM["top"] - 1
        assert max(word.bottom for word in found.words) < height_mm - MARGIN_MM["bottom"]


@each_sheet
def test_the_sheet_carries_all_of_the_plan(
    read: Read, plan: Plans, kind: str, units: str, page: str
) -> None:
    made = plan(kind, units)
    text = text_of(read(kind, units, page), running_of(made))
    for severity, word in (("stop", "STOP"), ("warn", "CHECK"), ("info", "NOTE")):
        assert any(w["severity"] == severity for w in made["warnings"]) is (word in text)
    steps = made["steps"]
    for words in legible(
        [
            *(warning["message"] for warning in made["warnings"]),
            *(caution["text"] for caution in made["cautions"]),
            *(f"{step['n']}{step['text']}" for step in steps),
            *(step["caution"] for step in steps if "caution" in step),
            *(advice["text"] for advice in made["advice"]),
            *(source["title"] for source in made["sources"].values()),
            *(tool["detail"] for tool in made["tools"]),
        ]
    ):
        assert words in text
    assert printed.squeezed(made["digest"]) in text
    assert f"engine{made['made_with']['engine']}" in text


@each_sheet
def test_every_mark_has_its_row(read: Read, plan: Plans, kind: str, units: str, page: str) -> None:
    made = plan(kind, units)
    text = text_of(read(kind, units, page), running_of(made))
    names = {mark["id"]: mark["name"] for mark in made["marks"]} | {"bitter_end": "bitter end"}
    for mark in made["marks"]:
        start = f"{mark['name']}{mark['shape']}, from {names[mark['from']]}"
        row = printed.squeezed(f"{start}{mark['distance']['text']}")
        assert text.count(row) >= sum(
            (other["name"], other["from"], other["distance"]["text"])
            == (mark["name"], mark["from"], mark["distance"]["text"])
            for other in made["marks"]
        )
        assert printed.squeezed(mark["purpose"]) in text


@each_kind
def test_distances_are_the_largest_text_of_their_row(read: Read, plan: Plans, kind: str) -> None:
    pages = read(kind, "metric", "a4")
    large = {
        word.text for page in pages for word in ordinary(page) if word.size_mm >= LEAST_DISTANCE_MM
    }
    for mark in plan(kind, "metric")["marks"]:
        assert mark["distance"]["text"].split(" ")[0] in large


def test_marks_stand_in_the_order_in_which_they_are_made(read: Read, plan: Plans) -> None:
    made = plan("cover_core_eye, shortest", "metric")
    text = text_of(read("cover_core_eye, shortest", "metric", "a4"), running_of(made))
    names = {mark["id"]: mark["name"] for mark in made["marks"]}
    rows = text[text.index("Marks,intheorder") :]
    places = [
        rows.index(printed.squeezed(f"{names[mark]}{shape}, from"))
        for step in made["steps"]
        if step["action"] == "mark"
        for mark in step["marks"]
        for shape in [next(each["shape"] for each in made["marks"] if each["id"] == mark)]
    ]
    assert len(places) == len(made["marks"])
    assert places == sorted(places)


def test_a_length_says_what_to_expect_and_what_to_measure(read: Read, plan: Plans) -> None:
    made = plan("respliced", "metric")
    text = text_of(read("respliced", "metric", "a4"), running_of(made))
    # the range as the plan states it in millimetres, to be printed in the words of the brief
    low, high = made["lengths"]["as_spliced"]["low_mm"], made["lengths"]["as_spliced"]["high_mm"]
    said = f"18.000 m as spliced, between the bearing points; expect {low / 1000:.3f} m to"
    assert printed.squeezed(f"{said} {high / 1000:.3f} m.") in text
    assert printed.squeezed(made["advice"][0]["text"]) in text


@each_page
@pytest.mark.parametrize("units", sheet_specs.UNITS)
def test_a_stopped_plan_is_overprinted_on_every_page(read: Read, units: str, page: str) -> None:
    for found in read("stopped", units, page):
        assert printed.squeezed(OVERPRINT) in printed.squeezed(found.text)
    for found in read("respliced", units, page):
        assert printed.squeezed(OVERPRINT) not in printed.squeezed(found.text)


@pytest.mark.parametrize("kind", ["straight_bury_eye, shortest", "stopped", "plaited_eye, longest"])
@each_page
def test_a_decoder_reads_the_address_from_a_thermal_raster(
    make: Make, address: str, kind: str, page: str
) -> None:
    raster = printed.raster(make(kind, "metric", page, "pdf"), THERMAL_DPI)
    (found,) = zxingcpp.read_barcodes(raster, formats=zxingcpp.BarcodeFormat.QRCode)
    assert found.text == address


def test_without_an_address_a_line_says_so(plan: Plans) -> None:
    pdf = show("sheet", "pdf", Showing(plan("respliced", "metric")))
    assert zxingcpp.read_barcodes(printed.raster(pdf, THERMAL_DPI)) == []
    text = printed.squeezed(printed.pages(pdf)[0].text)
    assert printed.squeezed(qr.why_no_qr(None)) in text


def test_the_paper_is_the_readers_or_else_the_specs(plan: Plans) -> None:
    made = plan("respliced", "inch")
    assert made["display"]["page"] == "a4"
    for asked, in_spec, used in ((None, "a4", "a4"), (None, "letter", "letter"),
                                 ("letter", "a4", "letter"), ("a4", "letter", "a4")):  # fmt: skip
        wanted: Any = {**made, "display": {**made["display"], "page": in_spec}}
        pdf = show("sheet", "pdf", Showing(wanted, Options(page=asked)))  # type: ignore[arg-type]
        found = printed.pages(pdf)[0]
        assert (found.width_mm, found.height_mm) == pytest.approx(PAPER_MM[used], abs=0.1)


def test_equal_plans_give_equal_bytes_in_every_process(
    make: Make, plan: Plans, address: str, tmp_path: Path
) -> None:
    kind = "hostile: far scripts"
    script = tmp_path / "once.py"
    script.write_text(
        "import sys, orjson\n"
        "from tuckmark.render.view import Options, Showing\n"
        "from tuckmark.render.views import show\n"
        "plan, address = orjson.loads(sys.stdin.buffer.read())\n"
        "for form in ('html', 'pdf'):\n"
        "    made = show('sheet', form, Showing(plan, Options(page='a4'), address))\n"
        "    sys.stdout.buffer.write(made)\n",
        encoding="utf-8",
    )
    given = orjson.dumps([plan(kind, "inch"), address])
    twice = [
        subprocess.run(
            [sys.executable, str(script)], input=given, capture_output=True, check=True, timeout=60
        ).stdout
        for _ in range(2)
    ]
    here = make(kind, "inch", "a4", "html") + make(kind, "inch", "a4", "pdf")
    assert twice == [here, here]
