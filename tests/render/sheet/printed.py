"""What a PDF really holds, read by a renderer that is not ours (PDFium)."""

import ctypes
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium

MM = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Word:
    """A run of letters without a space, as it lies on the page; millimetres from top left.

    The box is the tight one round the ink.
    """

    text: str
    left: float
    top: float
    right: float
    bottom: float
    size_mm: float
    upright: bool

    def overlaps(self, other: "Word", by_mm: float) -> bool:
        """Whether the ink of both lies over each other by more than that much."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > by_mm
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by_mm
        )


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    width_mm: float
    height_mm: float
    words: tuple[Word, ...]
    text: str


def pages(pdf: bytes) -> list[Page]:
    """Every page of a PDF."""
    with pypdfium2.PdfDocument(io.BytesIO(pdf)) as document:
        return [_page(page) for page in document]


def raster(pdf: bytes, dpi: int, page: int = 0) -> Any:
    """A page as an array of pixels."""
    with pypdfium2.PdfDocument(io.BytesIO(pdf)) as document:
        return document[page].render(scale=dpi / 72).to_numpy()


def squeezed(text: str) -> str:
    """Text without what lines and columns put between its letters.

    Hyphens go too: PDFium takes one at the end of a line for a sign of hyphenation.
    """
    return re.sub("[\\s\u200b\ufffe\u00ad-]+", "", text)


def _page(page: pypdfium2.PdfPage) -> Page:
    width, height = page.get_size()
    text_page = page.get_textpage()
    return Page(
        width * MM,
        height * MM,
        tuple(_words(text_page, height)),
        text_page.get_text_range(),
    )


@dataclass(slots=True)
class _Letter:
    text: str
    box: tuple[float, float, float, float]
    size_mm: float
    angle: float
    baseline: tuple[float, float]


def _letters(text_page: pypdfium2.PdfTextPage) -> Iterator[_Letter | None]:
    """Letters in the order of the page; None where a word ends."""
    matrix = pdfium.FS_MATRIX()
    x, y = ctypes.c_double(), ctypes.c_double()
    for n in range(text_page.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text_page, n))
        if letter.isspace() or pdfium.FPDFText_IsGenerated(text_page, n):
            yield None
            continue
        pdfium.FPDFText_GetMatrix(text_page, n, matrix)
        pdfium.FPDFText_GetCharOrigin(text_page, n, x, y)
        scale = (matrix.c**2 + matrix.d**2) ** 0.5
        yield _Letter(
            letter,
            text_page.get_charbox(n),
            pdfium.FPDFText_GetFontSize(text_page, n) * scale * MM,
            pdfium.FPDFText_GetCharAngle(text_page, n),
            (x.value, y.value),
        )


def _words(text_page: pypdfium2.PdfTextPage, height: float) -> Iterator[Word]:
    together: list[_Letter] = []
    for letter in (*_letters(text_page), None):
        if letter is not None and (not together or _joined(together[-1], letter)):
            together.append(letter)
            continue
        if together:
            yield _word(together, height)
        together = [letter] if letter is not None else []


def _joined(before: _Letter, after: _Letter) -> bool:
    """Whether two letters stand on one baseline, next to each other."""
    across = abs(after.baseline[1] - before.baseline[1])
    along = after.baseline[0] - before.baseline[0]
    reach = 1.5 * before.size_mm / MM
    if before.angle:
        across, along = abs(along), abs(after.baseline[1] - before.baseline[1])
    return across < 0.01 and abs(along) < reach and before.size_mm == after.size_mm


def _word(letters: list[_Letter], height: float) -> Word:
    lefts, bottoms, rights, tops = zip(*(letter.box for letter in letters), strict=True)
    return Word(
        "".join(letter.text for letter in letters),
        min(lefts) * MM,
        (height - max(tops)) * MM,
        max(rights) * MM,
        (height - min(bottoms)) * MM,
        letters[0].size_mm,
        letters[0].angle == 0,
    )


def collisions(words: Iterable[Word], by_mm: float) -> list[tuple[str, str]]:
    """Pairs of words whose ink lies over each other."""
    found = []
    by_top = sorted(words, key=lambda word: word.top)
    for n, word in enumerate(by_top):
        for other in by_top[n + 1 :]:
            if other.top > word.bottom:
                break
            if word.overlaps(other, by_mm):
                found.append((word.text, other.text))
    return found
