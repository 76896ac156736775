"""Sheets as HTML: the same content as the PDF, well formed, and deaf to hostile words."""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from html.parser import HTMLParser
from typing import Any

import lxml.html
import printed
import pytest
import sheet_specs

from tuckmark.render.sheet import content
from tuckmark.render.view import Options, Showing
from tuckmark.render.views import PLAN, show

Make = Callable[[str, str, str, str], bytes]
Read = Callable[[str, str, str], list[printed.Page]]
Plans = Callable[[str, str], sheet_specs.Json]

KINDS = tuple(sheet_specs.kinds())
VOID = {"br", "input", "link", "meta", "img", "hr"}
#: in HTML everything is written once; these are for machines, or stand in both as pictures
NOT_WORDS = {"page", "drawings", "qr", "address", "shape", "running", "opens"}

each_kind = pytest.mark.parametrize("kind", KINDS)
each_quiet = pytest.mark.parametrize("kind", [kind for kind in KINDS if "hostile" not in kind])
each_unit = pytest.mark.parametrize("units", sheet_specs.UNITS)


class Balanced(HTMLParser):
    """Fails on a tag that is not closed, closed twice or out of turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: dict[str, list[dict[str, str | None]]] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"{tag} has an attribute twice"
        self.seen.setdefault(tag, []).append(dict(attrs))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.setdefault(tag, []).append(dict(attrs))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"{tag} is closed and was never opened"
        assert self.open.pop() == tag


def words_in(value: Any, name: str = "") -> list[str]:
    """Every text of the content model, in its order."""
    if name in NOT_WORDS:
        return []
    if is_dataclass(value) and not isinstance(value, type):
        return [
            word
            for each in fields(value)
            for word in words_in(getattr(value, each.name), each.name)
        ]
    if isinstance(value, tuple):
        return [word for each in value for word in words_in(each)]
    return [str(value)] if isinstance(value, str) else []


@each_quiet  # which letters a font lacks differs; that they do no harm is shown below
@each_unit
def test_html_and_pdf_say_the_same(
    make: Make, read: Read, plan: Plans, address: str, kind: str, units: str
) -> None:
    made = content.sheet(Showing(plan(kind, units), Options(page="a4"), address))
    root = lxml.html.document_fromstring(make(kind, units, "a4", "html").decode("utf-8"))
    html = printed.squeezed(root.text_content())
    pdf = printed.squeezed("".join(page.text for page in read(kind, units, "a4")))
    for words in words_in(made):
        if words == made.title:
            continue  # the title of the document, not of the page
        assert printed.squeezed(words) in html
        for piece in words.split():  # a text may go over a page, with the page's own words between
            assert printed.squeezed(piece) in pdf


@each_kind
@pytest.mark.parametrize("page", sheet_specs.PAGES)
def test_html_is_well_formed_and_carries_its_own_style(make: Make, kind: str, page: str) -> None:
    text = make(kind, "inch", page, "html").decode("utf-8")
    assert text.startswith('<!doctype html>\n<html lang="en">')
    reader = Balanced()
    reader.feed(text)
    reader.close()
    assert reader.open == []
    assert set(reader.seen) & {"script", "link", "iframe", "img", "object", "form"} == set()
    assert reader.seen["style"] == [{}]
    style = text[text.index("<style>") : text.index("</style>")]
    assert set(re.findall(r"url\(([^)]*)\)", style)) == {
        '"/assets/sans-regular.woff2"', '"/assets/sans-bold.woff2"'
    }  # fmt: skip
    everything = [attributes for tags in reader.seen.values() for attributes in tags]
    assert not [
        a for a in everything if any(name == "style" or name.startswith("on") for name in a)
    ]
    assert reader.seen["body"] == [{"class": f"sheet {page}"}]
    assert all("scope" in attributes for attributes in reader.seen["th"])
    ids = [attributes["id"] for attributes in everything if "id" in attributes]
    assert len(ids) == len(set(ids))


@each_unit
def test_every_mark_and_step_has_a_box_to_tick(make: Make, plan: Plans, units: str) -> None:
    for kind in KINDS:
        made = plan(kind, units)
        root = lxml.html.document_fromstring(make(kind, units, "a4", "html").decode("utf-8"))
        boxes = root.xpath("//input[@type='checkbox']/@aria-label")
        shared = sum(
            by_id[mark]["same_as"] in step["marks"]
            for by_id in [{mark["id"]: mark for mark in made["marks"]}]
            for step in made["steps"]
            if step["action"] == "mark"
            for mark in step["marks"]
        )  # one mark at one place: one box
        assert len(boxes) == len(made["marks"]) - shared + len(made["steps"])
        assert {f"step {step['n']} done" for step in made["steps"]} <= set(boxes)


@pytest.mark.parametrize("name", sheet_specs.HOSTILE)
def test_hostile_words_stay_words(make: Make, name: str) -> None:
    text = make(f"hostile: {name}", "metric", "a4", "html").decode("utf-8")
    quiet = make("locked_bury_eye, longest", "metric", "a4", "html").decode("utf-8")
    tags, quiet_tags = Balanced(), Balanced()
    tags.feed(text)
    quiet_tags.feed(quiet)
    # the same elements, but for the rows and the captive's steps that the spec itself asks for
    assert set(tags.seen) == set(quiet_tags.seen)
    assert "\u202e" not in text
    assert "<script" not in text
    root = lxml.html.document_fromstring(text)
    if name == "markup":
        assert root.xpath("//dd/bdi")[0].text == sheet_specs.HOSTILE[name][:60]
        assert "49" not in root.xpath("//header")[0].text_content()


def test_the_plan_itself_is_shown_as_its_sheet(plan: Plans) -> None:
    showing = Showing(plan("respliced", "metric"))
    assert show(PLAN, "html", showing) == show("sheet", "html", showing)
    assert show(PLAN, "pdf", showing) == show("sheet", "pdf", showing)


def test_what_has_changed_since_the_print_leads(plan: Plans) -> None:
    made: Any = dict(plan("stopped", "metric"))
    changed = {"code": "changed_since_print", "severity": "warn", "message": "It has changed.",
               "pointer": "", "value": None, "limit": None, "source": None}  # fmt: skip
    made["warnings"] = [changed, *made["warnings"]]
    root = lxml.html.document_fromstring(show("sheet", "html", Showing(made)).decode("utf-8"))
    assert root.xpath("//section[starts-with(@class,'notice')]/h2/text()") == [
        "CHECK", "STOP", "CHECK", "NOTE"
    ]  # fmt: skip
    assert root.xpath("//section[starts-with(@class,'notice')]")[0].xpath(".//li")[0].text == (
        "It has changed."
    )
