"""The modules of this folder can be imported by name; each sheet is made once."""

import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import printed
import sheet_specs

from tuckmark.render.view import Options, Showing
from tuckmark.render.views import show

ADDRESS = (
    "https://plans.lowwater.example/v1/plans/1" + "aB3-_" * 70 + "/sheet?made=0123456789abcdef"
)
KINDS = sheet_specs.kinds()

Make = Callable[[str, str, str, Any], bytes]


@cache
def plan_of(kind: str, units: str) -> sheet_specs.Json:
    return sheet_specs.plan_of(KINDS[kind], units)


@cache
def _made(kind: str, units: str, page: str, form: Any) -> bytes:
    return show("sheet", form, Showing(plan_of(kind, units), Options(page=page), ADDRESS))


@cache
def _read(kind: str, units: str, page: str) -> list[printed.Page]:
    return printed.pages(_made(kind, units, page, "pdf"))


@pytest.fixture(scope="session")
def read() -> Callable[[str, str, str], list[printed.Page]]:
    """The pages of a sheet's PDF, as another program reads them."""
    return _read


@pytest.fixture(scope="session")
def address() -> str:
    return ADDRESS


@pytest.fixture(scope="session")
def make() -> Make:
    """A sheet of a kind, in units, on a paper, as HTML or PDF."""
    return _made


@pytest.fixture(scope="session")
def plan() -> Callable[[str, str], sheet_specs.Json]:
    """The plan that the sheet of a kind is made of."""
    return plan_of
