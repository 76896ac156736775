"""The assembly tag: what it is, how long, what it may carry, and where its plan can be had."""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Final

from tuckmark.render import printing, qr
from tuckmark.render.qr import Modules
from tuckmark.render.svg import Picture
from tuckmark.render.tag.content import Content, content
from tuckmark.render.tag.placing import MARGIN_MM, STYLES, Blank, Item, TooSmallError, Words, column
from tuckmark.render.view import RANGES, CannotShowError, Showing

DEFAULT_WIDTH_MM: Final = 100
DEFAULT_HEIGHT_MM: Final = 50
_DOT_MM: Final = 0.125  # of a 203 dpi head: squares of whole dots print crisp
_MOST_MODULE_MM: Final = 0.5
#: more than any code of this level holds (ISO/IEC 18004: version 40, 177 squares, 2,331 bytes)
_BYTES_A_MODULE: Final = 0.08


@dataclass(frozen=True, slots=True)
class _Code:
    """A QR code and how large its squares are."""

    modules: Modules
    module_mm: float

    @property
    def side_mm(self) -> float:
        return qr.printed_side_mm(self.modules, self.module_mm)


def as_pdf(showing: Showing) -> bytes:
    """One page of the tag's size.

    Raises:
        CannotShowError: the tag is too small for what it has to say.
    """
    return printing.pdf([picture(showing)])


def as_svg(showing: Showing) -> bytes:
    """The tag as a picture.

    Raises:
        CannotShowError: the tag is too small for what it has to say.
    """
    return printing.svg(picture(showing))


def as_png(showing: Showing) -> bytes:
    """The tag in dots.

    Raises:
        CannotShowError: it is too small, or an option does not suit.
    """
    return printing.png(picture(showing), showing.options)


def picture(showing: Showing) -> Picture:
    """The tag."""
    said = content(showing.plan)
    width_mm = showing.options.width_mm or DEFAULT_WIDTH_MM
    height_mm = showing.options.height_mm or DEFAULT_HEIGHT_MM
    code = _code(showing.address, min(height_mm, width_mm / 2))
    found = _placed(said, code, showing.address, width_mm, height_mm)
    if found is None:
        raise _too_small(said, code, showing.address, width_mm, height_mm)
    items, printed = found
    made = Picture(width_mm, height_mm, f"Tag of {said.job}", "Assembly tag of a splicing plan.")
    for item in items:
        _draw(made, item)
    if printed is not None:
        left = width_mm - printed.side_mm
        path = qr.qr_path(printed.modules, left, 0.0, printed.module_mm)
        with made.group("Address of the plan", "code"):
            made.path(path, width_mm=0.0, fill="#000")
    return made


def _code(address: str | None, side_mm: float) -> Modules | None:
    """The code, unless it would never fit: a long one takes long to make."""
    if address is None:
        return None
    most = side_mm / qr.MIN_MODULE_MM - 2 * qr.QUIET_MODULES
    if len(address.encode()) > _BYTES_A_MODULE * most**2:
        return None
    return qr.qr_modules(address)


def _placed(
    said: Content, code: Modules | None, address: str | None, width_mm: float, height_mm: float
) -> tuple[list[Item], _Code | None] | None:
    """The words with the largest code that leaves room for them; None where they do not fit."""
    inner_mm = (width_mm - 2 * MARGIN_MM, height_mm - 2 * MARGIN_MM)
    fitting = list(_codes(code, width_mm, height_mm)) if code is not None else []
    for style, printed in (*product(STYLES, fitting), *product(STYLES, (None,))):
        code_mm = printed.side_mm - MARGIN_MM if printed else 0.0
        extra = "" if printed else f"{_why_none(said, address)} Plan {said.plan}."
        try:
            return column(said, extra, style, *inner_mm, code_mm), printed
        except TooSmallError:
            continue
    return None


def _why_none(said: Content, address: str | None) -> str:
    if address is None:
        return said.no_address
    return f"No QR code: its squares would be under {qr.MIN_MODULE_MM:g} mm here."


def _codes(code: Modules, width_mm: float, height_mm: float) -> Iterator[_Code]:
    """The code from its largest size to the smallest that scans."""
    room_mm = qr.module_mm(code, min(height_mm, width_mm / 2))
    dots = math.floor(min(room_mm, _MOST_MODULE_MM) / _DOT_MM + 1e-9)
    for module_mm in (*(n * _DOT_MM for n in range(dots, 0, -1)), qr.MIN_MODULE_MM):
        if qr.MIN_MODULE_MM <= module_mm <= room_mm:
            yield _Code(code, module_mm)


def _draw(made: Picture, item: Item) -> None:
    match item:
        case Words((x, y), text, size_mm, bold):
            made.text((x + MARGIN_MM, y + MARGIN_MM), text, size_mm, bold=bold)
        case Blank((x1, y1), (x2, y2)):
            start, end = (x1 + MARGIN_MM, y1 + MARGIN_MM), (x2 + MARGIN_MM, y2 + MARGIN_MM)
            made.line(start, end, 0.25)


def _too_small(
    said: Content, code: Modules | None, address: str | None, width_mm: int, height_mm: int
) -> CannotShowError:
    """Says what would do: a higher tag of this width, or else a wider one."""
    detail = f"What the tag has to say does not fit {width_mm} x {height_mm} mm."

    def holds(width_mm: int, height_mm: int) -> bool:
        return _placed(said, code, address, width_mm, height_mm) is not None

    least = _first(lambda tried: holds(width_mm, tried), height_mm + 1, "height_mm")
    if least is not None:
        enough = f"{detail} {width_mm} x {least} mm holds it."
        allowed = f"{least} to {RANGES['height_mm'][1]}"
        return CannotShowError("tag_too_small", enough, "height_mm", allowed)
    least = _first(lambda tried: holds(tried, height_mm), width_mm + 1, "width_mm")
    if least is not None:
        enough = f"{detail} {least} x {height_mm} mm holds it."
        allowed = f"{least} to {RANGES['width_mm'][1]}"
        return CannotShowError("tag_too_small", enough, "width_mm", allowed)
    default = f"{DEFAULT_WIDTH_MM} x {DEFAULT_HEIGHT_MM} mm"
    return CannotShowError("tag_too_small", f"{detail} {default} is usual.", "width_mm")


def _first(holds: Callable[[int], bool], least: int, option: str) -> int | None:
    """The least size from this one on that holds everything; None where the largest does not.

    Found by halves, for what a size holds, every larger one does: a code that had room still has
    (``_codes``), words wrap into no more rows where there is more width, and lines to write on need
    no more height; what that leaves goes to the warning, whose room only grows.
    """
    sizes = range(least, RANGES[option][1] + 1)
    found = bisect_left(sizes, True, key=holds)
    return sizes[found] if found < len(sizes) else None
