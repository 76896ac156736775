"""What leaves the page: files, the address, and paper."""

import base64
import csv
import hashlib
import io

import at_the_page as at
import pypdfium2
import pytest
from at_the_page import DESK, PHONE, Open
from playwright.sync_api import Page, expect

from tuckmark import published
from tuckmark.pipeline import default_pipeline

STARTS = {
    "Sheet (PDF)": b"%PDF-",
    "Strip, continuous (PDF)": b"%PDF-",
    "Strip on sheets (PDF)": b"%PDF-",
    "Tag (PDF)": b"%PDF-",
    "Marks (CSV)": b"",
    "Drawing (SVG)": b"<svg",
    "Plan (JSON)": b'{"plan_version"',
}
OF_STOPPED = [name for name in STARTS if not name.startswith(("Strip", "Tag"))]


def kept(page: Page, name: str) -> tuple[str, bytes]:
    with page.expect_download() as waiting:
        page.get_by_role("list", name="Files").get_by_text(name, exact=True).click()
    path = waiting.value.path()
    return waiting.value.suggested_filename, path.read_bytes()


def listed(page: Page) -> list[str]:
    return page.get_by_role("list", name="Files").get_by_role("listitem").all_inner_texts()


def too_long_for_an_address() -> at.Json:
    """With letters that have no pattern, so that it cannot be packed small."""
    spec = dict(published.examples()["towing-pendant"])
    noise = [
        base64.b64encode(hashlib.sha512(f"{n}".encode()).digest()).decode()[:60] for n in range(40)
    ]
    spec["job"] = {"order": "LW-2207", "references": dict(zip(noise[:20], noise[20:], strict=True))}
    assert "self" not in default_pipeline().plan(spec)["links"]
    return spec


@pytest.mark.parametrize("long", [False, True], ids=["by address", "on demand"])
def test_every_file_can_be_kept(open_page: Open, long: bool) -> None:
    page = open_page()
    at.write(page, too_long_for_an_address() if long else published.examples()["towing-pendant"])
    at.expect_plan(page)
    assert listed(page) == list(STARTS)
    for name, start in STARTS.items():
        file_name, content = kept(page, name)
        assert content.startswith(start), name
        ending = name.rpartition("(")[2].rstrip(")").lower()
        assert file_name.endswith(f".{ending}"), name
        assert len(file_name) < 60, "no packed address for a name"
        if ending == "csv":
            rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
            assert "a.tail_throat" in {row["id"] for row in rows}
    expect(page.get_by_role("button", name="Copy its address")).to_be_visible(visible=not long)


def test_a_stopped_plan_has_no_strip_and_no_tag(open_page: Open) -> None:
    page = open_page()
    spec = dict(published.examples()["towing-pendant"])
    at.write(page, {**spec, "use": {"duty": "towing", "design_factor": 2}})
    expect(page.get_by_role("status")).to_contain_text("STOP: do not splice from this plan.")
    expect(at.said_beside(page, "/use/design_factor")).to_contain_text("STOP:")
    assert listed(page) == OF_STOPPED
    expect(page.get_by_text("Strip and tag are not made")).to_be_visible()
    expect(page.locator("#sheet .overprint")).to_be_visible()


@pytest.mark.parametrize("has_clipboard", [True, False])
def test_the_address_is_copied(open_page: Open, origin: str, has_clipboard: bool) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    if not has_clipboard:  # as without https on another host
        page.evaluate("Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    page.get_by_role("button", name="Copy its address").click()
    expect(page.get_by_role("status")).to_have_text("The address is copied.")
    address = page.get_by_label("Address of this plan").input_value()
    if has_clipboard:
        assert page.evaluate("navigator.clipboard.readText()") == address
    assert address.startswith(f"{origin}/v1/plans/1")
    answer = page.request.get(address, headers={"Accept": "application/json"})
    plan = default_pipeline().plan(published.examples()["towing-pendant"])
    assert answer.json()["digest"] == plan["digest"]


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_print_gives_the_sheet(open_page: Open, size: tuple[int, int]) -> None:
    page = open_page(size=size)
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    document = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    width, height = document[0].get_size()
    assert (round(width / 72 * 25.4), round(height / 72 * 25.4)) == (210, 297)
    text = "".join(leaf.get_textpage().get_text_bounded() for leaf in document)
    squeezed = "".join(text.split())
    plan = default_pipeline().plan(published.examples()["towing-pendant"])
    for mark in plan["marks"]:
        assert "".join(mark["distance"]["text"].split()) in squeezed, mark["id"]
    for caution in plan["cautions"]:
        assert "".join(caution["text"].split()) in squeezed
    assert squeezed.count(plan["digest"]) == len(document), "on every page"
    for words in ("Plan a splice", "Copy its address", "Construction", "For programs"):
        assert "".join(words.split()) not in squeezed


def test_an_outdated_sheet_is_not_printed(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.evaluate("document.body.dataset.stale = ''")
    text = pypdfium2.PdfDocument(page.pdf())[0].get_textpage().get_text_bounded()
    assert "Print it again" in text
    assert "1530" not in text


def test_the_print_button_prints(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.evaluate("globalThis.print = () => { document.body.dataset.printed = 'yes'; }")
    page.get_by_role("button", name="Print the sheet").click()
    expect(page.locator("body[data-printed=yes]")).to_have_count(1)
