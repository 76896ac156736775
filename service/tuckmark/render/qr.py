"""QR codes of a plan's address: as squares for a picture, or left out where none would scan."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Final

from tuckmark.render.svg import number

#: rows of a code from the top, True where dark, without the quiet zone
Modules = tuple[tuple[bool, ...], ...]

#: the smallest printed square that a telephone reads reliably
MIN_MODULE_MM: Final = 0.35
#: light squares that must surround a code (ISO/IEC 18004)
QUIET_MODULES: Final = 4
_ERROR_LEVEL: Final = "m"


@lru_cache(maxsize=64)  # the choice among the eight masks takes longer than a whole plan
def qr_modules(text: str) -> Modules:
    """The QR code of a text, error level M, in the smallest version that holds it.

    Args:
        text: at most 2,331 bytes in UTF-8.
    """
    import segno  # here, for plans need none

    code = segno.make_qr(text, error=_ERROR_LEVEL, boost_error=False)
    return tuple(tuple(bool(square) for square in row) for row in code.matrix)


def fitting_qr(address: str | None, side_mm: float) -> Modules | None:
    """The code of an address where it can be printed well; else ``why_no_qr`` says why.

    Args:
        address: of the plan; None where there is none.
        side_mm: room for the code with its quiet zone.
    """
    if address is None:
        return None
    modules = qr_modules(address)
    return modules if module_mm(modules, side_mm) >= MIN_MODULE_MM else None


def why_no_qr(address: str | None, *, packable: bool) -> str:
    """A line to print where the code would be.

    Args:
        address: of the plan; None where there is none.
        packable: whether the spec is short enough for an address that holds it.
    """
    if not packable:
        return "No QR code: the spec is too long for an address that holds it."
    if address is None:
        return "No QR code: the service was not told the address at which others reach it."
    return "No QR code: the address of this plan is too long to print one that scans."


def module_mm(modules: Sequence[Sequence[bool]], side_mm: float) -> float:
    """How large one square is when the code fills its room, quiet zone included."""
    return side_mm / (len(modules) + 2 * QUIET_MODULES)


def printed_side_mm(modules: Sequence[Sequence[bool]], one_mm: float) -> float:
    """Room that a code takes with its quiet zone, when one square measures ``one_mm``."""
    return one_mm * (len(modules) + 2 * QUIET_MODULES)


def qr_path(modules: Modules, left_mm: float, top_mm: float, one_mm: float) -> str:
    """The dark squares as commands of an SVG path, to be filled without an outline.

    Args:
        modules: the code.
        left_mm: where the quiet zone begins.
        top_mm: where the quiet zone begins.
        one_mm: how large one square is.
    """
    quiet_mm = QUIET_MODULES * one_mm
    return "".join(
        f"M{number(left_mm + quiet_mm + first * one_mm)} "
        f"{number(top_mm + quiet_mm + row * one_mm)}"
        f"h{number(count * one_mm)}v{number(one_mm)}h{number(-count * one_mm)}z"
        for row, first, count in _dark_runs(modules)
    )


def _dark_runs(modules: Modules) -> Iterator[tuple[int, int, int]]:
    """Row, first column and length of each run of dark squares."""
    for row, squares in enumerate(modules):
        column = 0
        for dark, run in groupby(squares):
            count = len(list(run))
            if dark:
                yield row, column, count
            column += count
