"""Sheets in a browser (Chromium from Debian): on a telephone, at a desk, and printed.

Nothing is fetched: every request of the page is answered here.
"""

from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import printed
import pytest
import sheet_specs
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route

from tuckmark.web.headers import content_security

Make = Callable[[str, str, str, str], bytes]
Plans = Callable[[str, str], sheet_specs.Json]

PLACE = "http://127.0.0.1:9"  # the port of discard: nobody listens there
KINDS = [
    "locked_bury_eye, longest",
    "cover_core_end_to_end, shortest",
    "plaited_eye, shortest",
    "tucked_eye, longest",
    "stopped",
    *(f"hostile: {name}" for name in sheet_specs.HOSTILE),
]
PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
PHONE_PX = {"width": 360, "height": 740}
LEAST_TEXT_MM = 2.5
LEAST_DISTANCE_MM = 4.0
OVERPRINT = "Do not splice from this plan"

#: printed, too: the rest differs in letters only
PRINTED = [kind for kind in KINDS if kind.rpartition(" ")[2] in {"shortest", "longest", "stopped"}]
PRINTED += ["hostile: markup", "hostile: one long far word"]

each_kind = pytest.mark.parametrize("kind", KINDS)


@pytest.fixture
def open_sheet(browser: Browser, make: Make) -> Iterator[Callable[..., Page]]:
    """Opens a sheet as our own service would serve it, on a screen of a telephone."""
    page = browser.new_page(viewport=PHONE_PX)
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))

    def opened(kind: str, paper: str = "a4", units: str = "inch") -> Page:
        page.route("**/*", lambda route: answer(route, make(kind, units, paper, "html")))
        page.goto(f"{PLACE}/sheet", wait_until="networkidle")
        return page

    yield opened
    page.close()
    assert complaints == []


def answer(route: Route, sheet: bytes) -> None:
    """What the service serves for an address, with the policy that it sets."""
    package = Path(str(resources.files("tuckmark")))
    name = route.request.url.removeprefix(f"{PLACE}/assets/")
    if route.request.url == f"{PLACE}/sheet":
        policy = content_security("text/html")
        headers = {"content-type": "text/html", "content-security-policy": policy}
        route.fulfill(body=sheet, headers=headers)
    else:
        font = package / "render" / "fonts" / name
        route.fulfill(body=font.read_bytes(), content_type="font/woff2")


@each_kind
def test_a_telephone_shows_it_without_scrolling_sideways(
    open_sheet: Callable[..., Page], kind: str
) -> None:
    page = open_sheet(kind)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE_PX["width"]
    beyond = page.evaluate(
        """(width) => [...document.querySelectorAll("body *")]
          .filter((one) => !one.closest(".drawing"))
          .filter((one) => one.getBoundingClientRect().right > width + 0.5)
          .map((one) => `${one.tagName} ${one.textContent.slice(0, 40)}`)""",
        PHONE_PX["width"],
    )
    assert beyond == []
    assert page.evaluate("[...document.fonts].every((font) => font.status === 'loaded')")


@pytest.mark.parametrize("paper", sheet_specs.PAGES)
@pytest.mark.parametrize("kind", PRINTED)
def test_it_prints_well(
    open_sheet: Callable[..., Page], plan: Plans, address: str, kind: str, paper: str
) -> None:
    pdf = open_sheet(kind, paper).pdf(prefer_css_page_size=True)
    pages = printed.pages(pdf)
    made = plan(kind, "inch")
    for n, page in enumerate(pages, 1):
        words = [word for word in page.words if word.upright]
        assert (page.width_mm, page.height_mm) == pytest.approx(PAPER_MM[paper], abs=0.3)
        assert printed.collisions(words, 0.3) == []
        assert min(word.size_mm for word in words) >= LEAST_TEXT_MM
        assert max(word.right for word in words) < page.width_mm - 15
        assert f"page{n}of{len(pages)}" in printed.squeezed(page.text)
        assert made["digest"].removeprefix("sha256:")[:16] in page.text
        overprinted = printed.squeezed(OVERPRINT) in printed.squeezed(page.text)
        assert overprinted is not made["usable"]
    large = {w.text for page in pages for w in page.words if w.size_mm >= LEAST_DISTANCE_MM}
    assert {mark["distance"]["text"].split(" ")[0] for mark in made["marks"]} <= large
    (code,) = zxingcpp.read_barcodes(
        printed.raster(pdf, 203), formats=zxingcpp.BarcodeFormat.QRCode
    )
    assert code.text == address


def test_a_sheet_kept_as_a_file_has_its_style(browser: Browser, make: Make, tmp_path: Path) -> None:
    kept = tmp_path / "sheet.html"
    kept.write_bytes(make("respliced", "metric", "a4", "html"))
    page = browser.new_page(viewport=PHONE_PX)
    page.goto(kept.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE_PX["width"]
    row = page.locator(".marks tbody tr").first
    assert row.evaluate("(one) => getComputedStyle(one).display") == "flex"
    assert page.locator(".hint").first.is_visible()
    page.set_viewport_size({"width": 1100, "height": 800})
    assert not page.locator(".hint").first.is_visible()
    page.close()


@pytest.mark.parametrize("kind", KINDS)
def test_no_figure_is_parted_from_its_unit_on_a_telephone(
    open_sheet: Callable[..., Page], kind: str
) -> None:
    page = open_sheet(kind, units="metric")
    parted = page.evaluate(
        """() => [...document.querySelectorAll(".figure, .large")]
          .filter((one) => one.getClientRects().length > 1
            && one.getBoundingClientRect().height > 2 * parseFloat(getComputedStyle(one).fontSize))
          .map((one) => one.textContent)"""
    )
    assert parted == []


@pytest.mark.parametrize("kind", ["locked_bury_eye, longest", "stopped", "plaited_eye, shortest"])
def test_nobody_is_shut_out(open_sheet: Callable[..., Page], kind: str) -> None:
    page = open_sheet(kind)
    page.unroute_all()
    found: Any = Axe().run(page)
    assert [f"{one['id']}: {one['nodes'][0]['html']}" for one in found.response["violations"]] == []
