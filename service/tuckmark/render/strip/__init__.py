"""The true-scale strip: a tape to lay along the rope, every mark at its place.

Continuous, one piece a page; or, with a paper named, in rows on sheets of it.
"""

from collections.abc import Callable
from typing import Final, TypeVar

from tuckmark.render import printing
from tuckmark.render.strip.axes import axes
from tuckmark.render.strip.labels import Frame, TooNarrowError, sizes_for
from tuckmark.render.strip.pieces import Strip, pieces
from tuckmark.render.strip.tiles import rows, sheets
from tuckmark.render.svg import Picture
from tuckmark.render.view import WIDTHS_MM, CannotShowError, Showing

DEFAULT_WIDTH_MM: Final = 25

_T = TypeVar("_T")


def as_pdf(showing: Showing) -> bytes:
    """Every piece or sheet, a page each.

    Raises:
        CannotShowError: an option does not suit the plan.
    """
    return printing.pdf(pictures(showing))


def as_svg(showing: Showing) -> bytes:
    """One piece or sheet.

    Raises:
        CannotShowError: an option does not suit the plan, or there are several.
    """
    return printing.svg(_one(showing))


def as_png(showing: Showing) -> bytes:
    """One piece or sheet in dots.

    Raises:
        CannotShowError: as for SVG, or it has too many dots.
    """
    return printing.png(_one(showing), showing.options)


def pictures(showing: Showing) -> list[Picture]:
    """The pages of the PDF, in order; ``piece`` takes one of them."""
    made = _pages(showing)
    number = showing.options.piece
    if number is None:
        return made
    if not 1 <= number <= len(made):
        detail = f"This strip has {len(made)} pieces."
        raise CannotShowError("no_such_piece", detail, "piece", f"1 to {len(made)}")
    return [made[number - 1]]


def _one(showing: Showing) -> Picture:
    found = pictures(showing)
    if len(found) > 1:
        detail = (
            f"This strip has {len(found)} pieces, and a picture shows one. "
            "Name it by its number, or ask for a PDF of all."
        )
        raise CannotShowError("piece_needed", detail, "piece", f"1 to {len(found)}")
    return found[0]


def _pages(showing: Showing) -> list[Picture]:
    width_mm = showing.options.width_mm or DEFAULT_WIDTH_MM
    least, most = WIDTHS_MM["strip"]
    if not least <= width_mm <= most:
        code = "too_small" if width_mm < least else "too_large"
        detail = f"A strip is from {least} to {most} mm wide."
        raise CannotShowError(code, detail, "width_mm", f"{least} to {most}")
    along = axes(showing)
    paper = showing.options.page
    if paper is None:
        found = _fitted(
            lambda frame: [piece for axis in along for piece in pieces(axis, showing, frame)],
            width_mm,
        )
        return [_picture(piece, width_mm) for piece in found]
    cut = _fitted(
        lambda frame: [row for axis in along for row in rows(axis, showing, frame, paper)],
        width_mm,
    )
    return sheets(cut, showing, width_mm, paper)


def _fitted(lay_out: Callable[[Frame], _T], width_mm: int) -> _T:
    """What is laid out at this width; where it is too little, the least that does is named."""
    most_mm = WIDTHS_MM["strip"][1]
    for tried_mm in range(width_mm, most_mm + 1):
        try:
            laid_out = lay_out(Frame(tried_mm, sizes_for(tried_mm)))
        except TooNarrowError:
            continue
        if tried_mm == width_mm:
            return laid_out
        detail = f"The labels do not fit {width_mm} mm without touching; {tried_mm} mm holds them."
        raise CannotShowError("strip_too_narrow", detail, "width_mm", f"{tried_mm} to {most_mm}")
    detail = "The labels do not fit a strip of any width. Ask for one end or part."
    raise CannotShowError("strip_too_narrow", detail, "width_mm")


def _picture(piece: Strip, width_mm: float) -> Picture:
    described = "Marks at their true places; the check bar is 100 mm long."
    picture = Picture(piece.high_mm - piece.low_mm, width_mm, piece.called, described)
    for item in piece.items:
        item.draw(picture, -piece.low_mm, 0.0)
    return picture
