"""What a person does at the page, for the tests of this folder."""

import json
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

Json = dict[str, Any]
#: opens an address of the service in a window of some size
Open = Callable[..., Page]

DESK = (1280, 900)
PHONE = (360, 740)


def use_example(page: Page, name: str) -> None:
    page.get_by_role("link", name="Or start from an example or a file.").click()
    page.get_by_label("Example", exact=True).select_option(name)
    page.get_by_role("button", name="Use this example").click()


def expect_plan(page: Page) -> None:
    expect(page.get_by_role("status")).to_contain_text("The plan is made.")
    expect(page.locator("body:not([data-stale])")).to_have_count(1)


def write(page: Page, document: Json | str) -> None:
    """Paste a whole document over the one that is there."""
    text = document if isinstance(document, str) else json.dumps(document)
    page.locator("#as-document").evaluate("(fold) => { fold.open = true; }")
    page.get_by_label("Document", exact=True).fill(text)


def document(page: Page) -> Any:
    return json.loads(page.get_by_label("Document", exact=True).input_value())


def field(page: Page, pointer: str) -> Any:
    return page.locator(f'[data-pointer="{pointer}"]')


def said_beside(page: Page, pointer: str) -> Any:
    """What is said of a field, tied to it for those who do not see it."""
    tied = field(page, pointer).get_attribute("aria-describedby") or ""
    (error,) = [name for name in tied.split() if name.endswith("-error")]
    return page.locator(f'[id="{error}"]')
