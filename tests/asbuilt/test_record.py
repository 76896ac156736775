"""The record as page and on paper: it says all that the JSON says, and texts stay texts."""

import re
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pypdfium2
import pytest

from tuckmark.asbuilt.record.content import Record, record_of
from tuckmark.asbuilt.record.html import as_html
from tuckmark.asbuilt.record.pdf import as_pdf

Json = dict[str, Any]
Inspect = Callable[[Json, Json], Json]

HOSTILE = (
    "</dd></title><script>document.title=1</script><img src=x onerror=alert(1)>",
    '#panic("out") #set page(fill: red) ]#v(90cm)[ $x^2$ @ref <label> `raw` \\ // *b* _i_',
    '{{ 7 * 7 }}{% for x in y %} #read("record.json") "quoted" \' & &amp; \u202e',
)


class Page(HTMLParser):
    """Elements, and the text as it is read."""

    def __init__(self, html: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[str] = []
        self.text = ""
        self.feed(html.decode("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(tag)
        assert not [name for name, _ in attrs if name.startswith("on") or name in ("src", "href")]

    def handle_data(self, data: str) -> None:
        self.text += data


def paper(pdf: bytes) -> tuple[str, int, float]:
    """Text without blanks and breaks, pages, width of a page in mm."""
    document = pypdfium2.PdfDocument(pdf)
    text = "".join(page.get_textpage().get_text_bounded() for page in document)
    width_mm = document[0].get_width() / 72 * 25.4
    return re.sub(r"[\s\u200b\ufffe\x00-\x1f]", "", text), len(document), width_mm


@pytest.fixture
def measured(as_planned: Json) -> Json:
    as_planned |= {"finished": "18.06 m", "piece": "2 of 4"}
    del as_planned["ends"]["a"]["inside_length"]
    return as_planned


@pytest.fixture
def record(inspect: Inspect, pendant: Json, measured: Json) -> Record:
    return record_of(inspect(pendant, measured), "a4")


def said(record: Record) -> list[str]:
    """Everything that must stand on it, whatever its form."""
    lines = [
        text
        for line in record.lines
        for text in (line.name, line.measured, line.planned, line.limit, line.verdict, line.do)
    ]
    return [
        record.verdict, *record.reasons, *record.stops, *(value for _, value in record.facts),
        *lines, *record.not_checked, record.statement, *record.boxes, *record.sources,
        *(value for _, value in record.marks),
    ]  # fmt: skip


def test_it_says_what_it_is_of_and_who_signs(record: Record) -> None:
    facts = dict(record.facts)
    assert facts["Order"] == "LW-2207"
    assert facts["Piece"] == "2 of 4"
    assert facts["Rope"] == "12-strand single braid, HMPE, 24 mm"  # the words of the bench sheet
    assert facts["End a"] == "straight bury eye"
    assert record.boxes == ("Measured by", "Date", "Signature")
    assert "certifies nothing" in record.statement
    assert dict(record.marks)["Plan"].startswith("sha256:")
    assert set(dict(record.marks)) == {"Plan", "Engine", "Tables"}
    assert record.not_checked == ("inside length of the eye, end a",)
    assert record.verdict == "FAIL"


def test_the_page_says_it_all(record: Record) -> None:
    text = Page(as_html(record)).text
    assert [words for words in said(record) if words not in text] == []


def test_the_paper_says_it_all(record: Record) -> None:
    text, _, width_mm = paper(as_pdf(record))
    assert [words for words in said(record) if re.sub(r"\s", "", words) not in text] == []
    assert round(width_mm) == 210


def test_the_paper_is_the_same_each_time_and_of_the_size_asked_for(
    inspect: Inspect, pendant: Json, measured: Json
) -> None:
    found = inspect(pendant, measured)
    letter = as_pdf(record_of(found, "letter"))
    assert letter == as_pdf(record_of(found, "letter"))
    assert round(paper(letter)[2]) == 216


def test_a_stop_and_the_example_stand_on_it(
    inspect: Inspect, pendant: Json, measured: Json
) -> None:
    pendant["ends"]["a"]["stitching"] = "none"
    del pendant["length"]["tolerance"], measured["ends"]["a"]["stitches"]
    record = record_of(inspect(pendant, measured), "a4")
    assert len(record.stops) == 1
    text = Page(as_html(record)).text
    assert f"STOP: {record.stops[0]}" in text
    for line in ("20 ft, from 19.75 to 20.25", "43 in, from 41.5 to 44.5", "at least 2.78 ft/lb"):
        assert any(line in words for words in record.example)
    assert "not applied" in record.example[0]
    assert [words for words in record.example if words not in text] == []
    on_paper, _, _ = paper(as_pdf(record))
    assert re.sub(r"\s", "", record.example[1]) in on_paper
    assert re.sub(r"\s", "", f"STOP: {record.stops[0]}") in on_paper


def test_nothing_measured_is_said_so(inspect: Inspect, pendant: Json) -> None:
    record = record_of(inspect(pendant, {}), "a4")
    assert "Nothing." in Page(as_html(record)).text
    assert paper(as_pdf(record))[1] >= 1
    assert dict(record.facts)["Piece"] == "not said, of 1"


def test_all_measured_is_said_so(inspect: Inspect, pendant: Json, as_planned: Json) -> None:
    record = record_of(inspect(pendant, as_planned), "a4")
    assert "All that the plan lets be measured was." in Page(as_html(record)).text
    assert "looked for, none found" in {line.measured for line in record.lines}


@pytest.mark.parametrize("hostile", HOSTILE)
def test_a_text_cannot_break_out(
    inspect: Inspect, pendant: Json, measured: Json, record: Record, hostile: str
) -> None:
    """The elements of the page and the pages of paper stay what they are; the text is read."""
    pendant["job"] |= {"description": hostile, "references": {hostile[:60]: hostile[:60]}}
    measured |= {"damage": [hostile], "piece": hostile[:60]}
    spoiled = record_of(inspect(pendant, measured), "a4")
    page, honest = Page(as_html(spoiled)), Page(as_html(record))
    assert set(page.elements) == set(honest.elements)
    assert page.elements.count("script") == 0
    assert hostile in page.text
    text, pages, _ = paper(as_pdf(spoiled))
    assert pages <= 2
    # the letters that only order the others have no place on paper
    assert re.sub(r"[\s\u202e]", "", hostile) in text.replace("\u202e", "")


def test_long_words_stay_on_the_paper(inspect: Inspect, pendant: Json, measured: Json) -> None:
    """No glyph may lie past the edge of the text, 16 mm from the edge of the page."""
    pendant["job"] |= {"order": "W" * 60, "description": "W" * 200}
    measured["damage"] = ["W" * 200]
    document = pypdfium2.PdfDocument(as_pdf(record_of(inspect(pendant, measured), "a4")))
    for page in document:
        letters = page.get_textpage()
        edges = [letters.get_charbox(n)[2] for n in range(letters.count_chars())]
        assert max(edges) <= page.get_width() - 15 / 25.4 * 72
