"""Pictures as files: one SVG, one PNG that says its dots per inch, or a PDF with a page each."""

from collections.abc import Sequence
from typing import Final

from tuckmark.render import raster, typesetting
from tuckmark.render.svg import Picture
from tuckmark.render.view import DOTS, CannotShowError, Options

MOST_PIXELS: Final = 40_000_000
_MM_PER_INCH: Final = 25.4


def svg(picture: Picture) -> bytes:
    """The picture itself."""
    return picture.svg().encode("utf-8")


def pdf(pictures: Sequence[Picture]) -> bytes:
    """One page a picture, each of its own size."""
    names = [f"picture-{number}.svg" for number in range(len(pictures))]
    source = "".join(
        typesetting.picture_page(picture.width_mm, picture.height_mm, name)
        for name, picture in zip(names, pictures, strict=True)
    )
    return typesetting.pdf(source, dict(zip(names, map(svg, pictures), strict=True)))


def png(picture: Picture, options: Options) -> bytes:
    """The picture in dots, ``options.dpi`` an inch.

    Raises:
        CannotShowError: no printer has these dots, or they are too many.
    """
    dpi = DOTS[0] if options.dpi is None else options.dpi
    if dpi not in DOTS:
        offered = tuple(str(one) for one in DOTS)
        raise CannotShowError("not_one_of", "A PNG is made for these dots.", "dpi", offered)
    return dots(picture, dpi, DOTS)


def dots(picture: Picture, dpi: int, others: Sequence[int]) -> bytes:
    """The picture in dots.

    Args:
        picture: what is shown.
        dpi: dots an inch.
        others: what else may be asked for, from the coarsest.

    Raises:
        CannotShowError: they are too many.
    """
    if pixels(picture, dpi) > MOST_PIXELS:
        raise _too_large(picture, dpi, others)
    return raster.png(pdf([picture]), *_size(picture, dpi), dpi)


def pixels(picture: Picture, dpi: int) -> int:
    """How many dots the whole picture has."""
    across, down = _size(picture, dpi)
    return across * down


def _size(picture: Picture, dpi: int) -> tuple[int, int]:
    """How many dots it is wide and high."""
    across, down = (
        round(side_mm * dpi / _MM_PER_INCH) for side_mm in (picture.width_mm, picture.height_mm)
    )
    return across, down


def _too_large(picture: Picture, dpi: int, others: Sequence[int]) -> CannotShowError:
    fitting = tuple(str(one) for one in others if pixels(picture, one) <= MOST_PIXELS)
    detail = (
        f"At {dpi} dpi this picture has {pixels(picture, dpi):,} pixels; "
        f"at most {MOST_PIXELS:,} are made. "
    )
    otherwise = f"{fitting[-1]} dpi fits." if fitting else "Ask for a PDF or an SVG."
    return CannotShowError("picture_too_large", detail + otherwise, "dpi", fitting or None)
