"""The typesetter behind PDF and PNG: our fonts only, the same bytes for the same input."""

import struct
import threading
import zlib
from collections.abc import Mapping
from importlib import resources
from typing import Any, Final

from tuckmark.render.type import FAMILY

_MAIN: Final = "main.typ"
_METRES_PER_INCH: Final = 0.0254
_AFTER_HEADER: Final = 8 + 12 + 13  # signature, frame and content of the chunk IHDR
_EPOCH: Final = 0  # no date is printed, and none may shape the bytes
_OWN: Final = threading.local()


def pdf(source: str, files: Mapping[str, bytes] | None = None) -> bytes:
    """A PDF of a source and the files that it reads."""
    return _compile(source, files, format="pdf", timestamp=_EPOCH)


def png(source: str, files: Mapping[str, bytes] | None = None, *, dpi: int) -> bytes:
    """A PNG of the one page that a source makes; it says how many dots make an inch."""
    return _with_density(_compile(source, files, format="png", ppi=dpi), dpi)


def picture_page(width_mm: float, height_mm: float, name: str = "picture.svg") -> str:
    """Source of a page that is just the picture in a file, at its true size."""
    return (
        f"#set page(width: {width_mm:.4f}mm, height: {height_mm:.4f}mm, margin: 0mm)\n"
        f'#set text(font: "{FAMILY}")\n'
        f'#image("{name}", width: {width_mm:.4f}mm, height: {height_mm:.4f}mm)\n'
    )


def _with_density(png_file: bytes, dpi: int) -> bytes:
    """The file with its pixels per metre (chunk ``pHYs``), so that printers keep the scale."""
    per_metre = round(dpi / _METRES_PER_INCH)
    chunk = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, 1)
    framed = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    return png_file[:_AFTER_HEADER] + framed + png_file[_AFTER_HEADER:]


def _compile(source: str, files: Mapping[str, bytes] | None, **how: Any) -> bytes:
    made = _compiler().compile(input={_MAIN: source.encode("utf-8"), **(files or {})}, **how)
    if not isinstance(made, bytes):
        raise TypeError("the source makes more than one picture")
    return made


def _compiler() -> Any:  # the library's stubs know nothing of files given as bytes
    """This thread's own: it keeps fonts and what it has laid out, and is not to be shared."""
    if not hasattr(_OWN, "compiler"):
        import typst  # here, for plans need none

        fonts = resources.files("tuckmark.render").joinpath("fonts")
        with resources.as_file(fonts) as folder:
            own = typst.Fonts(include_system_fonts=False, font_paths=[str(folder)])
        _OWN.compiler = typst.Compiler(b"", font_paths=own)
    return _OWN.compiler
