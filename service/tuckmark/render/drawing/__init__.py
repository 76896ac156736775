"""The drawing of a plan: the rope with its marks, and what it becomes."""

from typing import Final

from tuckmark.render import printing
from tuckmark.render.drawing.picture import draw, draw_parts
from tuckmark.render.view import Showing

__all__ = ["as_pdf", "as_png", "as_svg", "draw", "draw_parts"]

_DPI: Final = 150
_OFFERED_DPI: Final = (72, 100, 150, 203, 300, 600)


def as_svg(showing: Showing) -> bytes:
    """The drawing that stands alone, as SVG."""
    return printing.svg(draw(showing.plan))


def as_pdf(showing: Showing) -> bytes:
    """The same on one page of its own size."""
    return printing.pdf([draw(showing.plan)])


def as_png(showing: Showing) -> bytes:
    """The same in dots: 150 to the inch unless ``dpi`` says otherwise.

    Raises:
        CannotShowError: they are too many.
    """
    dpi = showing.options.dpi or _DPI
    return printing.dots(draw(showing.plan), dpi, _OFFERED_DPI)
