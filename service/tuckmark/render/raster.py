"""A page of a PDF in dots, as a grey PNG: made piece by piece, so that its size takes no memory.

Bytes of a PNG are framed here and pressed by zlib, for libraries that write PNG want all of a
picture at once.
"""

import ctypes
import struct
import threading
import zlib
from collections.abc import Iterator
from typing import Final

_BAND_PIXELS: Final = 1_000_000
#: the library leaves out what lies further from the left edge of its bitmap than 32,767 dots
_PIECE_PIXELS: Final = 16_384
_METRES_PER_INCH: Final = 0.0254
_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_GREY: Final = (8, 0, 0, 0, 0)  # bits, colour type, compression, filters, no interlace
_NO_FILTER: Final = b"\0"
_WHITE: Final = (255, 255, 255, 255)
#: the library may not be called by two threads; it also keeps pictures to one at a time
_PDFIUM: Final = threading.Lock()


def png(pdf: bytes, width: int, height: int, dpi: int) -> bytes:
    """The one page of a PDF as a PNG that says how many dots make an inch.

    Args:
        pdf: a document of one page.
        width: of the picture, in pixels.
        height: of the picture, in pixels.
        dpi: dots an inch.
    """
    per_metre = round(dpi / _METRES_PER_INCH)
    press = zlib.compressobj()
    made = bytearray(_SIGNATURE)
    made += _chunk(b"IHDR", struct.pack(">II5B", width, height, *_GREY))
    made += _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
    with _PDFIUM:
        for rows in _rows(pdf, width, height):
            if pressed := press.compress(rows):
                made += _chunk(b"IDAT", pressed)
    made += _chunk(b"IDAT", press.flush())
    made += _chunk(b"IEND", b"")
    return bytes(made)


def _rows(pdf: bytes, width: int, height: int) -> Iterator[bytes]:
    """The rows from the top, a band at a time, each with its filter byte before it."""
    import pypdfium2  # type: ignore[import-untyped]  # here, for plans need none
    from pypdfium2 import raw

    most = max(1, _BAND_PIXELS // width)
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]

        def piece(left: int, top: int, wide: int, rows: int) -> list[bytes]:
            """The rows of one piece of the page."""
            bitmap = pypdfium2.PdfBitmap.new_native(wide, rows, raw.FPDFBitmap_Gray)
            bitmap.fill_rect(_WHITE, 0, 0, wide, rows)
            place = (-left, -top, width, height)
            raw.FPDF_RenderPageBitmap(bitmap, page, *place, 0, raw.FPDF_GRAYSCALE)
            dots, stride = ctypes.string_at(bitmap.buffer, bitmap.stride * rows), bitmap.stride
            bitmap.close()
            return [dots[start : start + wide] for start in range(0, rows * stride, stride)]

        for top in range(0, height, most):
            rows = min(most, height - top)
            across = [
                piece(left, top, min(_PIECE_PIXELS, width - left), rows)
                for left in range(0, width, _PIECE_PIXELS)
            ]
            yield b"".join(_NO_FILTER + b"".join(parts) for parts in zip(*across, strict=True))


def _chunk(kind: bytes, data: bytes) -> bytes:
    """One chunk of a PNG (W3C PNG, 5.3)."""
    body = kind + data
    return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))
