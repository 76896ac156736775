"""The form: filled by keyboard alone, and wrong entries told beside their fields."""

import at_the_page as at
import pytest
from at_the_page import PHONE, Open
from playwright.sync_api import Page, expect

from tuckmark import published
from tuckmark.families import REGISTRY
from tuckmark.pipeline import default_pipeline

#: the golden example, worked by hand: its cut length is 22,604.4 mm
ENTRIES = [
    ("Construction", "12"),
    ("Fibre", "hmpe"),
    ("Diameter", "24 mm"),
    ("Splice at end a", "locked"),
    ("The eye is given by", "the pin"),
    ("Pin diameter", "90 mm"),
    ("Inside length", "450 mm"),
]
#: what is asked for once the splice is known
MEASURED = [
    ("Length of a full fid", "510 mm"),
    ("Pitch", "230 mm"),
    ("Splice at end b", "straight"),
    ("The eye is given by", "its inside"),
    ("Inside length", "600 mm"),
    ("Finished length", "18 m"),
    ("Duty", "towing"),
    ("Working load", "40 kN"),
]
#: what an end may be where it gets no splice, in the words of its choices
PLAIN_ENDS = {
    "Splice at end a": ["Plain end, with rope left for a whipping"],
    "Splice at end b": ["none: a plain end", "Plain end, with rope left for a whipping"],
}
HERE = """() => {
  const here = document.activeElement;
  return (here.labels?.[0] ?? here).textContent.trim();
}"""
MOST_TABS = 80
OPEN_ALL = "(folds) => folds.forEach((fold) => { fold.open = true; })"


def go_to(page: Page, name: str, key: str = "Tab") -> None:
    for _ in range(MOST_TABS):
        page.keyboard.press(key)
        if page.evaluate(HERE) == name:
            return
    pytest.fail(f"no key leads to {name}")


def fill_in(page: Page, entries: list[tuple[str, str]]) -> None:
    for name, keys in entries:
        go_to(page, name)
        page.keyboard.type(keys)


def test_a_splicer_gets_a_sheet_by_keyboard_alone(open_page: Open) -> None:
    page = open_page()
    fill_in(page, ENTRIES)
    go_to(page, "More about the rope", "Shift+Tab")
    page.keyboard.press("Enter")
    fill_in(page, MEASURED)
    go_to(page, "Show the sheet")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="The sheet")).to_be_focused()
    expect(page.get_by_role("status")).to_have_text("The plan is made. Cut length 22.604 m.")
    sheet = page.get_by_role("article", name="Sheet")
    for distance in ("1530 mm", "2527 mm", "2604 mm", "2680 mm", "4691 mm", "1728 mm", "5558 mm"):
        expect(
            sheet.locator(".distance .large", has_text=distance.replace(" ", "\u00a0"))
        ).to_be_visible()
    expect(sheet.locator(".drawing svg").first).to_be_visible()


def test_an_end_without_a_splice_is_offered_in_words_that_differ(open_page: Open) -> None:
    page = open_page()
    at.field(page, "/rope/construction").select_option("single_braid_12")
    for name, plain in PLAIN_ENDS.items():
        choices = page.get_by_label(name, exact=True).locator("option").all_text_contents()
        assert sorted(text for text in choices if "plain" in text.lower()) == sorted(plain)


def test_focus_can_always_be_seen(open_page: Open) -> None:
    plan = default_pipeline().plan(published.examples()["towing-pendant"])
    page = open_page("/#" + plan["links"]["self"].rpartition("/")[2])
    at.expect_plan(page)
    page.locator("details").evaluate_all(OPEN_ALL)
    seen = []
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        found = page.evaluate(
            """() => {
              const here = document.activeElement;
              if (here === document.body) return null;
              const style = getComputedStyle(here);
              const width = parseFloat(style.outlineWidth);
              return [here.id || here.textContent, style.outlineStyle, width];
            }"""
        )
        if found is None:  # round to the browser itself
            break
        seen.append(found)
    assert len(seen) > 40
    assert [one for one in seen if one[1] == "none" or one[2] < 2] == []


def test_what_is_wrong_stands_beside_its_field(open_page: Open) -> None:
    page = open_page()
    page.get_by_label("Construction").select_option("single_braid_12")
    page.get_by_label("Splice at end a").select_option("locked_bury_eye")
    page.get_by_label("The eye is given by").first.select_option("pin")
    page.get_by_label("Diameter", exact=True).fill("24")
    beside = at.said_beside(page, "/rope/size/diameter")
    expect(beside).to_have_text('Write the unit, such as "24 mm".')
    expect(at.field(page, "/rope/size/diameter")).to_have_attribute("aria-invalid", "true")
    page.get_by_label("Diameter", exact=True).fill("24 mm")
    expect(beside).to_have_text("")
    expect(page.get_by_role("list", name="Still to fill in:")).to_contain_text("Pin diameter")
    page.get_by_role("list", name="Still to fill in:").get_by_text("Pin diameter").click()
    expect(at.field(page, "/ends/a/eye/pin_diameter")).to_be_focused()


def test_what_is_missing_is_told_when_the_sheet_is_asked_for(open_page: Open) -> None:
    page = open_page()
    page.get_by_role("button", name="Show the sheet").click()
    for pointer in ("/rope/construction", "/rope/fibre", "/rope/size/diameter", "/ends/a/splice"):
        expect(at.said_beside(page, pointer)).to_have_text("Needed for a plan.")
    expect(at.field(page, "/rope/construction")).to_be_focused()
    expect(page.locator("#problems")).to_be_hidden()


def test_every_entry_that_is_no_quantity_is_told_where_it_stands(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.locator("form details").evaluate_all("(all) => all.forEach((one) => { one.open = true; })")
    inputs = page.locator("input[data-pointer]:visible:not([id*=job])").all()
    assert len(inputs) > 12
    for each in inputs:
        each.fill("seven")
    for each in inputs:
        beside = at.said_beside(page, each.get_attribute("data-pointer") or "")
        expect(beside).not_to_have_text("")


def test_only_splices_that_fit_the_rope_are_offered(open_page: Open) -> None:
    page = open_page()
    end, join = at.field(page, "/ends/a/splice"), at.field(page, "/join/splice")
    for construction in ("single_braid_12", "double_braid", "laid_3", "plaited_8"):
        page.get_by_label("Construction").select_option(construction)
        for select, place in ((end, "end"), (join, "join")):
            offered = select.locator("option").evaluate_all("(all) => all.map((one) => one.value)")
            fitting = [
                name for name, family in REGISTRY.items()
                if family.listing()["place"] == place and construction in family.listing()["ropes"]
            ]  # fmt: skip
            assert offered == ["", *fitting]


def test_a_rope_without_a_splice_is_said_to_have_none(open_page: Open) -> None:
    page = open_page()
    page.get_by_label("Construction").select_option("parallel_core")
    expect(at.field(page, "/ends/a/splice").locator("option")).to_have_count(1)
    expect(page.get_by_text("No splice is planned here for this rope").first).to_be_visible()


def test_a_splice_that_fits_no_longer_leaves_the_document(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    page.get_by_label("Construction").select_option("laid_3")
    assert at.document(page)["ends"] == {"a": {}}
    expect(page.get_by_label("Splice at end a")).to_have_value("")


def test_a_choice_taken_back_brings_its_entries_back(open_page: Open) -> None:
    page = open_page(size=PHONE)
    at.use_example(page, "towing-pendant")
    before = at.document(page)
    page.get_by_label("What is made").select_option("/ends/both")
    assert at.document(page)["ends"] == {"both": {}}
    page.get_by_label("What is made").select_option("/ends/a")
    assert at.document(page) == before


@pytest.mark.parametrize("name", REGISTRY)
def test_every_splice_can_be_seen_in_the_form(open_page: Open, name: str) -> None:
    page = open_page()
    spec = dict(REGISTRY[name].minimal_spec)
    at.write(page, spec)
    at.expect_plan(page)
    assert at.document(page) == spec
    for pointer, value in leaves(spec):
        expect(at.field(page, pointer)).to_have_value(str(value))
        expect(at.field(page, pointer)).to_be_attached()
        hidden = at.field(page, pointer).evaluate("(one) => one.closest('[hidden]') !== null")
        assert not hidden, pointer
    page.get_by_label("Order").evaluate("(one) => { one.closest('details').open = true; }")
    page.get_by_label("Order").fill("LW-1")
    at.expect_plan(page)
    assert at.document(page) == {**spec, "job": {"order": "LW-1"}}


def leaves(spec: at.Json, at_pointer: str = "") -> list[tuple[str, object]]:
    items = enumerate(spec) if isinstance(spec, list) else spec.items()
    found = []
    for key, value in items:
        here = f"{at_pointer}/{key}"
        found += leaves(value, here) if isinstance(value, dict | list) else [(here, value)]
    return [leaf for leaf in found if leaf[0] != "/schema_version"]
