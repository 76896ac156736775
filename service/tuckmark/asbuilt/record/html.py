"""The record as a page that stands by itself: every text from a request is escaped."""

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from tuckmark.asbuilt.record.content import Record

if TYPE_CHECKING:
    from jinja2 import Template


def as_html(record: Record) -> bytes:
    """The record in HTML."""
    return _template().render(record=record).encode("utf-8")


@cache
def _template() -> "Template":
    import jinja2  # here, for plans need none

    source = resources.files("tuckmark.asbuilt.record").joinpath("record.html").read_text("utf-8")
    return jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined).from_string(source)
