"""The typesetter behind PDF: our fonts only, the same bytes for the same input."""

import threading
from collections.abc import Mapping
from importlib import resources
from typing import Any, Final

from tuckmark.render.type import FAMILY

_MAIN: Final = "main.typ"
_EPOCH: Final = 0  # no date is printed, and none may shape the bytes
_OWN: Final = threading.local()


def pdf(source: str, files: Mapping[str, bytes] | None = None) -> bytes:
    """A PDF of a source and the files that it reads."""
    return _compile(source, files, format="pdf", timestamp=_EPOCH)


def picture_page(width_mm: float, height_mm: float, name: str = "picture.svg") -> str:
    """Source of a page that is just the picture in a file, at its true size."""
    return (
        f"#set page(width: {width_mm:.4f}mm, height: {height_mm:.4f}mm, margin: 0mm)\n"
        f'#set text(font: "{FAMILY}")\n'
        f'#image("{name}", width: {width_mm:.4f}mm, height: {height_mm:.4f}mm)\n'
    )


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
