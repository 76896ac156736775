"""No page shuts anyone out, lets anything in, or looks elsewhere than here."""

from typing import Any

import at_the_page as at
import pytest
from at_the_page import DESK, PHONE, Open
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tuckmark import published

PAGES = (
    "/",
    "/docs",
    "/problems",
    "/problems/not_plannable",
    "/v1/families",
    "/v1/families/locked_bury_eye",
    "/v1/reference",
    "/v1/reference/rules",
    "/v1/sources",
)
LISTINGS = tuple(path for path in PAGES if path not in ("/", "/docs"))
NARROWEST = (320, 640)
#: what a browser sends when an address is opened
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
LEAST_TOUCH_PX = 44

each_page = pytest.mark.parametrize("path", PAGES)
each_size = pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])


def faults(page: Page) -> list[str]:
    found: Any = Axe().run(page)
    return [
        f"{one['impact']}: {one['id']}: {one['nodes'][0]['html']}"
        for one in found.response["violations"]
    ]


@each_size
@each_page
def test_nobody_is_shut_out(open_page: Open, path: str, size: tuple[int, int]) -> None:
    assert faults(open_page(path, size)) == []


@each_size
@pytest.mark.parametrize("name", ["towing-pendant", "dock-line-double-braid"])
def test_nobody_is_shut_out_of_a_sheet(open_page: Open, name: str, size: tuple[int, int]) -> None:
    page = open_page(size=size)
    at.use_example(page, name)
    at.expect_plan(page)
    assert faults(page) == []
    page.get_by_label("Diameter", exact=True).fill("far too thick")
    expect(at.said_beside(page, "/rope/size/diameter")).not_to_have_text("")
    assert faults(page) == []


@pytest.mark.parametrize("size", [PHONE, NARROWEST])
@each_page
def test_no_page_scrolls_sideways(open_page: Open, path: str, size: tuple[int, int]) -> None:
    page = open_page(path, size)
    if path == "/":
        at.use_example(page, "towing-pendant")
        at.expect_plan(page)
        page.locator("form details").evaluate_all(
            "(all) => all.forEach((one) => { one.open = true; })"
        )
    assert page.evaluate("document.documentElement.scrollWidth") == size[0]


def test_fingers_find_what_they_touch(open_page: Open) -> None:
    page = open_page(size=PHONE)
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.locator("form details").evaluate_all("(all) => all.forEach((one) => { one.open = true; })")
    small = page.locator(
        ".top a, .ask :is(input, select, textarea, button, summary), "
        ".answer > :not(article) :is(a, button, input)"
    ).evaluate_all(
        """(all, least) => all
          .filter((one) => one.getClientRects().length)
          .map((one) => [one.id || one.textContent, one.getBoundingClientRect()])
          .filter(([, box]) => box.height < least || box.width < least)
          .map(([name]) => name)""",
        LEAST_TOUCH_PX,
    )
    assert small == []


@each_page
def test_a_key_skips_to_the_content(open_page: Open, path: str) -> None:
    page = open_page(path)
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
    expect(page.get_by_role("link", name="Skip to the content")).to_be_in_viewport()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.tagName") == "MAIN"


HOSTILE = (
    "</script><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    '"\' onfocus=alert(1) autofocus x="',
    "</textarea><iframe src=javascript:alert(1)></iframe>",
    "javascript:alert(1)",
)


@pytest.mark.parametrize("words", HOSTILE)
def test_a_hostile_description_stays_text(open_page: Open, words: str) -> None:
    page = open_page()
    page.on("dialog", lambda dialog: pytest.fail(dialog.message))
    spec = dict(published.examples()["towing-pendant"])
    at.write(page, {**spec, "job": {"description": words}, "<b onclick=alert(1)>": 1})
    expect(page.locator("#problems")).to_contain_text("onclick")
    at.write(page, {**spec, "job": {"description": words}})
    at.expect_plan(page)
    expect(page.get_by_role("article", name="Sheet")).to_contain_text(words)
    inside = page.locator(
        "#sheet :is(script, iframe, img, object, embed), #problems :is(b, script)"
    )
    expect(inside).to_have_count(0)
    page.reload()
    at.expect_plan(page)


def test_a_sheet_that_was_tampered_with_runs_nothing(open_page: Open) -> None:
    page = open_page(expected=("Executing inline event handler violates", "Applying inline style"))
    tampered = (
        "<body class=sheet><main class=sheet-body><script>document.title='run'</script>"
        "<p onclick=\"document.title='run'\" style='color:red'>words</p>"
        "<iframe srcdoc='<script>top.document.title=1</script>'></iframe></main></body>"
    )
    page.route(
        "**/v1/plans?view=sheet**",
        lambda route: route.fulfill(body=tampered, content_type="text/html"),
    )
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.get_by_text("words", exact=True).click()
    assert page.title() == "Plan - Tuckmark"
    assert page.locator("#sheet").inner_html() == '<div class="sheet-body"><p>words</p></div>'


@each_page
def test_the_policy_is_strict(open_page: Open, origin: str, path: str) -> None:
    page = open_page(path)
    headers = page.request.get(origin + path, headers={"Accept": BROWSER}).headers
    policy = headers["content-security-policy"]
    assert policy.startswith(
        "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    assert "unsafe" not in policy
    assert ("script-src 'self'" in policy) == (path == "/")
    assert (
        page.locator("style, [style], script:not([src]):not([type='application/json'])").count()
        == 0
    )


@pytest.mark.parametrize("path", LISTINGS)
def test_programs_get_json_and_browsers_a_page(open_page: Open, origin: str, path: str) -> None:
    ask = open_page(path).request.get
    for accept, expected in (
        (BROWSER, "text/html"),
        ("*/*", "application/json"),
        ("application/json", "application/json"),
    ):
        answer = ask(origin + path, headers={"Accept": accept})
        assert answer.headers["content-type"].split(";")[0] == expected
        assert "Accept" in answer.headers["vary"]
    assert (
        ask(origin + path, headers={"Accept": "text/html"}).headers["etag"]
        != answer.headers["etag"]
    )


def test_a_program_that_asks_for_the_page_finds_the_links(open_page: Open, origin: str) -> None:
    ask = open_page().request.get
    found = ask(f"{origin}/", headers={"Accept": "application/json"}).json()
    assert (
        found
        == ask(f"{origin}/.well-known/api-catalog", headers={"Accept": "application/json"}).json()
    )
    assert (
        ask(f"{origin}/", headers={"Accept": "*/*"}).headers["content-type"].startswith("text/html")
    )


def test_every_link_leads_somewhere(open_page: Open, origin: str) -> None:
    page = open_page()
    for path in PAGES:
        page.goto(origin + path)
        links = page.locator("a[href]").evaluate_all(
            "(all) => all.map((one) => one.getAttribute('href'))"
        )
        for link in dict.fromkeys(links):
            target, _, place = link.partition("#")
            if target in ("", "/v1/sources") and place:
                there = page.request.get(
                    origin + (target or path), headers={"Accept": BROWSER}
                ).text()
                assert f'id="{place}"' in there or link == "#main", link
            elif target != "/" and path in ("/", "/v1/reference", "/v1/families"):
                assert page.request.get(origin + target, headers={"Accept": BROWSER}).ok, link


def test_without_scripts_the_page_says_so(open_page: Open, origin: str) -> None:
    text = open_page().request.get(origin, headers={"Accept": BROWSER}).text()
    said = text.partition("<noscript>")[2].partition("</noscript>")[0]
    assert "This form needs JavaScript" in said
    assert '<a href="/docs#make_plan">' in said
