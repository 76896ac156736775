"""The bench sheet as a page of HTML, for the screen and to print from."""

from functools import cache
from importlib import resources
from typing import Any

from tuckmark.render.sheet import content
from tuckmark.render.view import Showing


def as_html(showing: Showing) -> bytes:
    """The sheet as one document; also whole without its style sheet."""
    from markupsafe import Markup  # here, for plans need none

    made = content.sheet(showing)
    drawings = [Markup(drawing) for drawing in made.drawings]  # noqa: S704 - ours, and clean
    text: str = _template().render(it=made, drawings=drawings, qr=Markup(made.qr))  # noqa: S704
    return text.encode("utf-8")


@cache
def _template() -> Any:
    import jinja2

    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    source = resources.files("tuckmark.render.sheet").joinpath("sheet.html").read_text("utf-8")
    return environment.from_string(source)
