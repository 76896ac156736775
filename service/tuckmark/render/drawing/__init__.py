"""The drawing of a plan: the rope with its marks, and what it becomes."""

from typing import Final

from tuckmark.render import typesetting
from tuckmark.render.drawing.picture import draw, draw_parts
from tuckmark.render.view import Showing

__all__ = ["as_pdf", "as_png", "as_svg", "draw", "draw_parts"]

_DPI: Final = 150


def as_svg(showing: Showing) -> bytes:
    """The drawing that stands alone, as SVG."""
    return draw(showing.plan).svg().encode("utf-8")


def as_pdf(showing: Showing) -> bytes:
    """The same on one page of its own size."""
    source, files = _page(showing)
    return typesetting.pdf(source, files)


def as_png(showing: Showing) -> bytes:
    """The same in dots: 150 to the inch unless ``dpi`` says otherwise."""
    source, files = _page(showing)
    return typesetting.png(source, files, dpi=showing.options.dpi or _DPI)


def _page(showing: Showing) -> tuple[str, dict[str, bytes]]:
    picture = draw(showing.plan)
    source = typesetting.picture_page(picture.width_mm, picture.height_mm)
    return source, {"picture.svg": picture.svg().encode("utf-8")}
