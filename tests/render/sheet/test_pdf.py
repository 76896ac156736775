"""Sheets as PDF, read back with PDFium: what they hold, where it lies, how large it is.

The limits are the brief's: nothing overlaps, nothing leaves the margins, text at least 2.5 mm,
distances at least 4 mm, every mark, warning, caution and step of the plan.
"""

import copy
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

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.render import qr
from tuckmark.render.sheet import content
from tuckmark.render.view import Options, Showing
from tuckmark.render.views import show

Make = Callable[[str, str, str, str], bytes]
Read = Callable[[str, str, str], list[printed.Page]]
Plans = Callable[[str, str], sheet_specs.Json]

KINDS = tuple(sheet_specs.kinds())
PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
MARGIN_MM = {"side": 16.0, "top": 8.5, "bottom": 7.0}
LEAST_TEXT_MM = 2.5
LEAST_DISTANCE_MM = 4.0
#: beyond Latin, Greek, Cyrillic and punctuation
OTHER = re.compile("[^ -\u052f\u1e00-\u1eff\u2010-\u2027\u2030-\u205e]|[\u0300-\u036f]{3}")
OVERPRINT = "Do not splice from this plan"
HALF_INK_MM = 0.15
IN_WORDS = {
    "rope.size.diameter": "the rope's diameter",
    "rope.pitch": "the rope's pitch",
    "rope.lay_length": "the rope's lay length",
    "rope.bury_shortening": "the rope's bury shortening",
}
#: so many pages are quickly read: for a splice at one end or one join, and at both
MOST_PAGES = {("a4", 1): 4, ("a4", 2): 4, ("letter", 1): 4, ("letter", 2): 5}
THERMAL_DPI = 203

each_kind = pytest.mark.parametrize("kind", KINDS)
#: without a job whose words fill a page
each_usual = pytest.mark.parametrize(
    "kind", [kind for kind in KINDS if "longest" not in kind and "hostile" not in kind]
)
each_sheet = pytest.mark.parametrize(
    ("kind", "units", "page"), [(kind, *how) for kind in KINDS for how in sheet_specs.sheets(kind)]
)
each_page = pytest.mark.parametrize("page", sheet_specs.PAGES)


def foot_of(plan: sheet_specs.Json, n: int, count: int) -> str:
    """What stands under every page: which plan it is, what made it, which page this is."""
    made = plan["made_with"]
    return (
        f"plan {plan['digest']} plan version {plan['plan_version']}, engine {made['engine']}, "
        f"tables {made['tables']} page {n} of {count}"
    )


def text_of(pages: list[printed.Page], plan: sheet_specs.Json) -> str:
    """All text in order, without what every page repeats."""
    bare = []
    for n, page in enumerate(pages, 1):
        head, _, below = page.text.partition("\n")
        whole = page.text if n == 1 else below
        order = plan["job"]["order"] or "Job not named"
        assert n == 1 or OTHER.search(order) or order[:4] in head
        text = printed.squeezed(whole).replace(printed.squeezed(OVERPRINT), "")
        repeated = printed.squeezed(foot_of(plan, n, len(pages)))
        assert text.endswith(repeated), f"page {n} does not say what it is of"
        bare.append(text.removesuffix(repeated))
    return "".join(bare)


def told_once(sentence: str, own: str | None) -> str:
    """A sentence about one end as it is told of both."""
    other = {"a": "b", "b": "a"}.get(own or "")
    if other is None:
        return sentence
    said = {f"End {own}": "Each end", f"end {own}": "each end", f"end {other}": "the other end"}
    for end, words in said.items():
        sentence = re.sub(rf"\b{end}\b", words, sentence)
    return sentence


def at_the_bench(sentence: str) -> str:
    """A sentence with places of a spec in a splicer's words."""
    for place, words in IN_WORDS.items():
        sentence = sentence.replace(place, words)
    assert not re.search(r"\brope\.[a-z]", sentence)
    return sentence


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
    text = text_of(read(kind, units, page), made)
    for severity, word in (("stop", "STOP"), ("warn", "CHECK"), ("info", "NOTE")):
        assert any(w["severity"] == severity for w in made["warnings"]) is (word in text)
    for words in legible(
        at_the_bench(sentence)
        for sentence in (
            *(warning["message"] for warning in made["warnings"]),
            *(caution["text"] for caution in made["cautions"]),
            *(advice["text"] for advice in made["advice"]),
            *(source["title"] for source in made["sources"].values()),
            *(tool["detail"] for tool in made["tools"]),
        )
    ):
        assert words in text
    for step in made["steps"]:
        for said in (step["text"], step.get("caution", "")):
            shared = told_once(said, step["end"])
            one, both = legible([at_the_bench(said)]), legible([at_the_bench(shared)])
            assert all(words in text for words in one) or all(words in text for words in both)


@each_sheet
def test_every_mark_has_its_row_under_its_end(
    read: Read, plan: Plans, kind: str, units: str, page: str
) -> None:
    made = plan(kind, units)
    text = text_of(read(kind, units, page), made)
    parts = re.split("(Eachend|End[ab]),on(?=the|each)", text)
    under = list(zip(parts[1::2], parts[2::2], strict=True))
    for mark in made["marks"]:
        name, distance = (
            re.escape(printed.squeezed(words)) for words in (mark["name"], mark["distance"]["text"])
        )
        alone = f"{name}(?:[a-z]+,from[a-z]+)?(?:;?also[a-z0-9,]+)?{distance}"
        shared = f"also[a-z0-9,]*{name}[a-z0-9,]*{distance}"
        assert any(
            end in ("Eachend", f"End{mark['end']}") and re.search(f"{alone}|{shared}", rows)
            for end, rows in under
        ), mark["id"]
        for clause in mark["purpose"].split("; "):
            assert printed.squeezed(clause) in text


@each_usual
@pytest.mark.parametrize("units", sheet_specs.UNITS)
@each_page
def test_the_first_page_tells_what_must_be_known_and_few_follow(
    read: Read, plan: Plans, kind: str, units: str, page: str
) -> None:
    made, pages = plan(kind, units), read(kind, units, page)
    first = printed.squeezed(pages[0].text)
    told = [*made["warnings"], *({"message": each["text"]} for each in made["cautions"])]
    for words in legible(at_the_bench(each["message"]) for each in told):
        assert words in first
    cut = made["lengths"]["cut"]
    assert cut is None or printed.squeezed(cut["text"]) in first
    ends = sum(end["splice"] != "plain" for end in made.get("ends", {}).values()) or 1
    assert len(pages) <= MOST_PAGES[page, ends]


@each_kind
def test_distances_are_the_largest_text_of_their_row(read: Read, plan: Plans, kind: str) -> None:
    pages = read(kind, "metric", "a4")
    large = {
        word.text for page in pages for word in ordinary(page) if word.size_mm >= LEAST_DISTANCE_MM
    }
    for mark in plan(kind, "metric")["marks"]:
        assert mark["distance"]["text"].split(" ")[0] in large


def test_marks_stand_with_the_step_that_makes_them(read: Read, plan: Plans) -> None:
    made = plan("cover_core_eye, shortest", "metric")
    text = text_of(read("cover_core_eye, shortest", "metric", "a4"), made)
    names = {mark["id"]: mark["name"] for mark in made["marks"]}
    at = text.index("Stepsandmarks,intheorder")
    for step in made["steps"]:
        at = text.index(printed.squeezed(f"{step['n']}{step['text']}"), at)
        if step["action"] == "mark":
            end = text.index(printed.squeezed(f"{step['n'] + 1}{step_after(made, step)}"))
            rows = text[at:end]
            assert all(printed.squeezed(names[mark]) in rows for mark in step["marks"])


def step_after(plan: sheet_specs.Json, step: sheet_specs.Json) -> str:
    return str(next(each["text"] for each in plan["steps"] if each["n"] == step["n"] + 1))


@pytest.mark.parametrize("kind", ["respliced", "tucked_eye, longest", "plaited_eye, shortest"])
def test_what_must_be_measured_comes_before_the_first_mark(
    read: Read, plan: Plans, kind: str
) -> None:
    made = plan(kind, "metric")
    text = text_of(read(kind, "metric", "a4"), made)
    first = next(step for step in made["steps"] if step["action"] == "measure")
    bold = printed.squeezed(f"Do step {first['n']} first.")
    mark = re.search("(Eachend|End[ab]),on(the|each)", text)
    assert mark is not None
    assert text.index(bold) < text.index(printed.squeezed(first["text"][:60])) < mark.start()


def test_ends_that_are_alike_are_told_once_in_the_plans_order(read: Read, plan: Plans) -> None:
    """By hand from the plan: steps 3 to 6 mark end a, 7 to 10 end b with the same distances."""
    made = plan("locked_bury_eye, longest", "metric")
    text = text_of(read("locked_bury_eye, longest", "metric", "a4"), made)
    assert [step["end"] for step in made["steps"]][2:10] == ["a"] * 4 + ["b"] * 4
    places = [text.index(f"{n},{n + 4}") for n in (3, 4, 5, 6)]
    assert places == sorted(places)
    assert text.count("+2=5picks") == 2  # in the drawing and beside its mark, in the same words
    assert "Twonumbers:" in text
    assert "Enda,on" not in text


@each_kind
def test_top_to_bottom_is_the_order_of_work_at_either_end(plan: Plans, kind: str) -> None:
    """Nothing that the plan does later at an end, or on the whole rope, stands further up."""
    made = plan(kind, "metric")
    end_of = {step["n"]: step["end"] for step in made["steps"]}
    rows = [step.numbers for step in content.sheet(Showing(made)).steps]
    told = [n for numbers in rows for n in numbers]
    assert sorted(told) == sorted(end_of)
    for end in ("a", "b", None):
        own = [n for n in told if end_of[n] == end]
        assert own == sorted(own)
    for n in (n for n in told if end_of[n] is None):
        at = told.index(n)
        assert max(told[:at], default=0) < n < min(told[at + 1 :], default=n + 1)


def test_steps_that_differ_further_up_are_told_for_each_end(plan: Plans) -> None:
    """By hand: a locked eye and a straight one are buried alike, but end b's tail comes first."""
    made = plan("respliced", "metric")
    rows = content.sheet(Showing(made)).steps
    assert [row.numbers for row in rows if len(row.numbers) == 2] == [(3, 7), (4, 8)]
    first_of_b = next(step for step in made["steps"] if step["text"].startswith("Bring the tail"))
    row = next(row for row in rows if row.numbers == (first_of_b["n"],))
    assert (first_of_b["end"], row.boxes) == ("b", ("b",))


def test_a_step_told_of_each_end_keeps_the_other_end_apart() -> None:
    """A short splice: the strands of either end go into the body of the other, never its own."""
    made = default_pipeline().plan(published.examples()["gangway-manrope-short-splice"])
    end_of = {step["n"]: step["end"] for step in made["steps"]}
    names_both = [
        step["n"]
        for step in made["steps"]
        if step["end"] == "a"
        and {"end a", "end b"} <= set(re.findall("end [ab]", step["text"].lower()))
    ]
    rows = {row.numbers[0]: row for row in content.sheet(Showing(made)).steps}
    told = [rows[n] for n in names_both if len(rows[n].numbers) == 2]
    assert told
    for row in told:
        assert [end_of[n] for n in row.numbers] == ["a", "b"]
    tucking = next(row for row in told if "tuck its strands" in row.text)
    assert tucking.text.startswith("Each end: tuck its strands in turn into the body of the other")


def test_a_strand_pair_is_open_toward_its_own_bitter_end(plan: Plans) -> None:
    made = content.sheet(Showing(plan("respliced", "metric")))
    by_title = {group.title: group.opens for step in made.steps for group in step.marks}
    assert by_title["End a, on the rope"] == "left"
    assert by_title["End b, on the rope"] == "right"


def test_a_length_says_what_to_expect_and_what_to_measure(read: Read, plan: Plans) -> None:
    made = plan("respliced", "metric")
    text = text_of(read("respliced", "metric", "a4"), made)
    # the range as the plan states it in millimetres, to be printed in the words of the brief
    low, high = made["lengths"]["as_spliced"]["low_mm"], made["lengths"]["as_spliced"]["high_mm"]
    said = f"18.000 m as spliced, between the bearing points; expect {low / 1000:.3f} to"
    assert printed.squeezed(f"{said} {high / 1000:.3f} m.") in text
    assert printed.squeezed(at_the_bench(made["advice"][0]["text"])) in text
    # a pitch given to the millimetre may be half of one off: whole millimetres would not say so
    assert made["rope"]["pitch"] | {"low_mm": 229.5, "high_mm": 230.5} == made["rope"]["pitch"]
    assert printed.squeezed("230 mm (229.5 to 230.5 mm)") in text


@each_page
@pytest.mark.parametrize("units", sheet_specs.UNITS)
def test_a_stopped_plan_is_overprinted_on_every_page(read: Read, units: str, page: str) -> None:
    for found in read("stopped", units, page):
        assert printed.squeezed(OVERPRINT) in printed.squeezed(found.text)
    for found in read("respliced", units, page):
        assert printed.squeezed(OVERPRINT) not in printed.squeezed(found.text)


def test_what_stops_is_told_with_its_end_and_its_remedy() -> None:
    spec = copy.deepcopy(dict(published.examples()["towing-pendant"]))
    spec["ends"]["b"]["stitching"] = "none"
    text = printed.squeezed(
        printed.pages(show("sheet", "pdf", Showing(default_pipeline().plan(spec))))[0].text
    )
    assert printed.squeezed("End b: A straight bury without stitching") in text
    assert printed.squeezed("To mend it: ") in text


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
    assert printed.squeezed(qr.why_no_qr(None, packable=True)) in text


def test_a_size_is_not_printed_outside_its_own_range(plan: Plans) -> None:
    """12 mm is 0.472 in, known to 0.45 to 0.49: to a sixteenth it would read 1/2 in."""
    made = dict(plan("respliced", "inch"))
    size = {
        "mm": 12.0,
        "text": "1/2 in",
        "low_mm": 11.5,
        "high_mm": 12.4,
        "source": "given_in_spec",
    }
    made["rope"] = {**made["rope"], "diameter": size}
    text = printed.squeezed(printed.pages(show("sheet", "pdf", Showing(made)))[0].text)
    assert printed.squeezed("0.472 in (0.45 to 0.49 in)") in text


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
