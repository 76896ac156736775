"""What holds for all tests, and the one browser of those that need one."""

import shutil
from collections.abc import Iterator

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, sync_playwright

# No test asks for a time: on a busy machine it would find fault with the machine.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")

_QUIET = [
    "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium from Debian; Playwright drives one to a process."""
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=_QUIET)
        yield found
        found.close()
