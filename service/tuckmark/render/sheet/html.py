"""The bench sheet as a page of HTML, for the screen and to print from."""

from functools import cache
from importlib import resources
from typing import Any

from tuckmark.render.sheet import content
from tuckmark.render.view import Showing


def as_html(showing: Showing) -> bytes:
    """The sheet as one document with its own style, whole when it is kept as a file."""
    from markupsafe import Markup  # here, for plans need none

    made = content.sheet(showing)
    text: str = _template().render(
        it=made,
        drawings=[Markup(drawing) for drawing in made.drawings],  # noqa: S704 - ours, and clean
        qr=Markup(made.qr),  # noqa: S704 - as the drawings
        style=Markup(_own("sheet.css")),  # noqa: S704 - a file of our own
    )
    return text.encode("utf-8")


@cache
def _template() -> Any:
    import jinja2

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(_own("sheet.html"))


@cache
def _own(name: str) -> str:
    return resources.files("tuckmark.render.sheet").joinpath(name).read_text("utf-8")
