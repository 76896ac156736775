"""A picture in millimetres, written as SVG.

One unit of the picture is one millimetre. Everything is presentation attributes: no style
sheet, no script, nothing fetched. Each text says how long it is, so that it keeps its place
in whatever font it is shown.
"""

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final, Literal
from xml.sax.saxutils import escape, quoteattr

from tuckmark.render.type import FAMILY, text_width_mm

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

#: letters that XML 1.0 has no place for, and those that turn the order in which others are read
_FORBIDDEN: Final = re.compile(
    "[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|[\u202a-\u202e\u2066-\u2069]"
)


class Picture:
    """Draws lines and words; the finished picture is ``svg()``.

    Args:
        width_mm: of the whole picture.
        height_mm: of the whole picture.
        title: what it shows, for screen readers.
        description: the same in more words.
        name: tells it from other pictures of the same document.
    """

    def __init__(
        self, width_mm: float, height_mm: float, title: str, description: str, name: str = ""
    ) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        width, height = number(width_mm), number(height_mm)
        self._lines = [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}" role="img" '
            f'aria-labelledby="{name}title {name}description" '
            f'font-family="{FAMILY}, sans-serif" fill="#000">',
            f'<title id="{name}title">{clean(title)}</title>',
            f'<desc id="{name}description">{clean(description)}</desc>',
            f'<rect width="{width}" height="{height}" fill="#fff"/>',
        ]

    def line(
        self, start: Point, end: Point, width_mm: float = 0.35, dash: str | None = None
    ) -> None:
        """A straight line."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._lines.append(
            f'<line x1="{number(start[0])}" y1="{number(start[1])}" x2="{number(end[0])}" '
            f'y2="{number(end[1])}" stroke="#000" stroke-width="{number(width_mm)}"{dashes}/>'
        )

    def path(
        self, commands: str, width_mm: float = 0.35, fill: str = "none", stroke: str = "#000"
    ) -> None:
        """A path in SVG's own commands; no outline where ``width_mm`` is 0."""
        stroke = (
            f'stroke="{stroke}" stroke-width="{number(width_mm)}"' if width_mm else 'stroke="none"'
        )
        self._lines.append(f'<path d="{commands}" fill="{fill}" {stroke}/>')

    def polygon(self, points: Sequence[Point], width_mm: float = 0.0, fill: str = "#000") -> None:
        """A closed shape."""
        corners = " L ".join(f"{number(x)} {number(y)}" for x, y in points)
        self.path(f"M {corners} Z", width_mm, fill)

    def circle(
        self, centre: Point, radius_mm: float, width_mm: float = 0.0, fill: str = "#000"
    ) -> None:
        """A circle, filled unless said otherwise."""
        stroke = f' stroke="#000" stroke-width="{number(width_mm)}"' if width_mm else ""
        self._lines.append(
            f'<circle cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius_mm)}" '
            f'fill="{fill}"{stroke}/>'
        )

    def text(
        self,
        at: Point,
        text: str,
        size_mm: float,
        *,
        bold: bool = False,
        anchor: Anchor = "start",
        turned: bool = False,
    ) -> None:
        """One line of text on its baseline; ``turned`` reads upwards."""
        if not text:
            return
        x, y = number(at[0]), number(at[1])
        weight = ' font-weight="700"' if bold else ""
        placed = f' text-anchor="{anchor}"' if anchor != "start" else ""
        turn = f' transform="rotate(-90 {x} {y})"' if turned else ""
        length = number(text_width_mm(text, size_mm, bold=bold))
        self._lines.append(
            f'<text x="{x}" y="{y}" font-size="{number(size_mm)}"{weight}{placed}{turn} '
            f'textLength="{length}">{clean(text)}</text>'
        )

    def overprint(self, centre: Point, text: str, size_mm: float, turned_deg: float) -> None:
        """Large open letters over what is drawn, so that it stays legible under them."""
        x, y = number(centre[0]), number(centre[1])
        length = number(text_width_mm(text, size_mm, bold=True))
        self._lines.append(
            f'<text class="overprint" x="{x}" y="{y}" font-size="{number(size_mm)}" '
            f'font-weight="700" text-anchor="middle" fill="none" stroke="#000" '
            f'stroke-width="0.4" transform="rotate({number(turned_deg)} {x} {y})" '
            f'textLength="{length}">{clean(text)}</text>'
        )

    @contextmanager
    def group(self, title: str, kind: str) -> Iterator[None]:
        """What is drawn inside belongs together: ``kind`` is its class, ``title`` is read out."""
        self._lines.append(f"<g class={quoteattr(kind)}><title>{clean(title)}</title>")
        yield
        self._lines.append("</g>")

    def svg(self) -> str:
        """The picture."""
        return "\n".join([*self._lines, "</svg>", ""])


def number(value: float) -> str:
    """A length for SVG: to the thousandth of a millimetre, without needless zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text that cannot leave its element; letters that have no place there become U+FFFD."""
    return escape(_FORBIDDEN.sub("\ufffd", text))
