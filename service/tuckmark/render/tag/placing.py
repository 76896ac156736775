"""Where the words of a tag go: one column from the top, the code beside it, blanks at the foot."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from tuckmark.render.svg import Point
from tuckmark.render.tag.content import Content, Figure
from tuckmark.render.type import fitting, text_width_mm

MARGIN_MM: Final = 2.5
_LEADING: Final = 1.16
_ASCENT: Final = 0.8
_BETWEEN_MM: Final = 0.3
_MOST_BETWEEN_MM: Final = 2.2
_BESIDE_MM: Final = 2.0
#: what is written on the tag by hand
_BLANKS: Final = (("Measured", "State"), ("Date", "Made by"))
_MOST_ORDER: Final = 0.6  # of the width, where a description follows
_LEAST_BLANK_MM: Final = 22.0
_WARNING_ROWS: Final = 4
_REST: Final = "(more in the plan)"
_LOOK_UP: Final = "read it in the plan"
_FLOAT_NOISE: Final = 1e-9


class TooSmallError(Exception):
    """The words do not fit."""


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes in mm, and whether the description gets a row of its own.

    Attributes:
        blank_mm: height of a line to write on.
    """

    figure_mm: float
    text_mm: float
    small_mm: float
    blank_mm: float
    described_below: bool


#: the preferred first
STYLES: Final = (
    Style(5.0, 3.2, 2.6, 6.0, described_below=True),
    Style(5.0, 3.2, 2.6, 6.0, described_below=False),
    Style(4.0, 2.8, 2.5, 5.6, described_below=True),
    Style(4.0, 2.8, 2.5, 5.6, described_below=False),
    Style(4.0, 2.5, 2.5, 5.0, described_below=False),
)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text."""

    at: Point
    text: str
    size_mm: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Blank:
    """A line to write on, from its name to the edge."""

    start: Point
    end: Point


Item = Words | Blank


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines that belong together; x and baseline from its own upper left."""

    items: tuple[Words, ...]
    height_mm: float
    blanks: tuple[Blank, ...] = ()


def column(
    content: Content, extra: str, style: Style, width_mm: float, height_mm: float, code_mm: float
) -> list[Item]:
    """The words set in a column, over lines to write on that may go on under the code.

    Args:
        content: what is said.
        extra: a further line at the end; may be empty.
        style: of the type.
        width_mm: of all that may be printed on.
        height_mm: of the same.
        code_mm: side of the code in the upper right corner of that; 0 without one.

    Raises:
        TooSmallError: something that must not be shortened has no room.
    """
    blanks = _blanks(style, width_mm)
    beside_mm = width_mm - code_mm
    if blanks.height_mm + code_mm > height_mm:
        blanks = _blanks(style, beside_mm)
    width_mm = beside_mm
    fixed = [*_fixed(content, style, width_mm)]
    last = [_text(extra, style.small_mm, width_mm)] if extra else []
    taken = sum(one.height_mm + _BETWEEN_MM for one in (*fixed, *last)) + blanks.height_mm
    warning = _warning(content, style, width_mm, height_mm - taken - _BETWEEN_MM)
    told = [warning, *fixed] if content.leads else [*fixed, warning]
    parts = [*told, *last, blanks]
    room_mm = height_mm - sum(part.height_mm for part in parts)
    between_mm = min(room_mm / (len(parts) - 1), _MOST_BETWEEN_MM)
    placed: list[Item] = []
    y = 0.0
    for part in parts[:-1]:
        placed += _moved(part, y)
        y += part.height_mm + between_mm
    return [*placed, *_moved(blanks, height_mm - blanks.height_mm)]


def _fixed(content: Content, style: Style, width_mm: float) -> Iterator[Paragraph]:
    yield _job(content, style, width_mm)
    yield _text(content.rope, style.text_mm, width_mm)
    yield _figure(content.length, style, width_mm)
    yield _text(content.splices, style.text_mm, width_mm)
    yield _figure(content.limit, style, width_mm)


def _order(content: Content, size_mm: float, most_mm: float) -> str:
    """Order and item, each shortened where both are too long: items must be told apart."""
    item = f" / {' '.join(content.item.split())}" if content.item else ""
    order = " ".join(content.order.split())
    room_mm = max(most_mm / 3, most_mm - text_width_mm(item, size_mm, bold=True))
    shown = fitting(order, size_mm, room_mm, bold=True)
    left_mm = most_mm - text_width_mm(shown, size_mm, bold=True)
    return shown + (fitting(item, size_mm, left_mm, bold=True) if item else "")


def _job(content: Content, style: Style, width_mm: float) -> Paragraph:
    """The order with the description below or beside it, each shortened where it is too long."""
    described = " ".join(content.description.split())
    beside = described and not style.described_below
    most_mm = _MOST_ORDER * width_mm if beside else width_mm
    order = _order(content, style.figure_mm, most_mm)
    y, height_mm = _ASCENT * style.figure_mm, _LEADING * style.figure_mm
    words = [Words((0.0, y), order, style.figure_mm, bold=True)]
    if beside:
        x = text_width_mm(order, style.figure_mm, bold=True) + 0.4 * style.figure_mm
        rest = fitting(described, style.text_mm, width_mm - x)
        words.append(Words((x, y), rest, style.text_mm))
    elif described:
        rest = fitting(described, style.text_mm, width_mm)
        words.append(Words((0.0, height_mm + _ASCENT * style.text_mm), rest, style.text_mm))
        height_mm += _LEADING * style.text_mm
    return Paragraph(tuple(words), height_mm)


def _text(text: str, size_mm: float, width_mm: float) -> Paragraph:
    return _lines(_wrapped(text, size_mm, width_mm, 0.0), size_mm)


def _figure(figure: Figure, style: Style, width_mm: float) -> Paragraph:
    """A large number with small words that begin beside it."""
    if not figure.number:
        return _text(figure.said, style.small_mm, width_mm)
    return _led(figure.number, style.figure_mm, figure.said, style.small_mm, width_mm)


def _warning(content: Content, style: Style, width_mm: float, height_mm: float) -> Paragraph:
    """The worst warning where there is room for it; else its title, or where to read it."""
    small = style.small_mm
    most_mm = min(height_mm, _WARNING_ROWS * _LEADING * small) + _FLOAT_NOISE
    titled = (f"{content.titled} {_REST}", content.titled) if content.titled else ()
    for text in (content.warning, *titled, _LOOK_UP if content.warning else ""):
        said = _led(content.severity, small, text, small, width_mm)
        if said.height_mm <= most_mm:
            return said
    raise TooSmallError


def _led(lead: str, lead_mm: float, text: str, size_mm: float, width_mm: float) -> Paragraph:
    """Bold words, then others on the same baseline and in further rows."""
    lead_width_mm = text_width_mm(lead, lead_mm, bold=True)
    if lead_width_mm > width_mm:
        raise TooSmallError
    indent_mm = lead_width_mm + 0.4 * lead_mm
    rows = _wrapped(text, size_mm, width_mm, indent_mm) if text else []
    first = _ASCENT * lead_mm
    below = first + (_LEADING - _ASCENT) * lead_mm + _ASCENT * size_mm
    items = [Words((0.0, first), lead, lead_mm, bold=True)]
    for n, row in enumerate(rows):
        at = (indent_mm, first) if n == 0 else (0.0, below + (n - 1) * _LEADING * size_mm)
        if row:
            items.append(Words(at, row, size_mm))
    height_mm = _LEADING * lead_mm + max(0, len(rows) - 1) * _LEADING * size_mm
    return Paragraph(tuple(items), height_mm)


def _blanks(style: Style, width_mm: float) -> Paragraph:
    """Lines to write on, two in a row where there is room."""
    size = style.small_mm
    label_mm = {name: text_width_mm(name, size) + 1.0 for pair in _BLANKS for name in pair}
    pairs_mm = [sum(label_mm[name] for name in pair) for pair in _BLANKS]
    beside = max(pairs_mm) + 2 * _LEAST_BLANK_MM + _BESIDE_MM <= width_mm
    if max(label_mm.values()) + _LEAST_BLANK_MM > width_mm:
        raise TooSmallError
    called: list[Words] = []
    blanks: list[Blank] = []
    x, y = 0.0, style.blank_mm
    for pair, pair_mm in zip(_BLANKS, pairs_mm, strict=True):
        each_mm = (width_mm - pair_mm - _BESIDE_MM) / 2
        for name in pair:
            end = x + label_mm[name] + each_mm if beside else width_mm
            called.append(Words((x, y - 0.6), name, size))
            blanks.append(Blank((x + label_mm[name], y - 0.2), (end, y - 0.2)))
            x, y = (end + _BESIDE_MM, y) if beside else (0.0, y + style.blank_mm)
        if beside:
            x, y = 0.0, y + style.blank_mm
    return Paragraph(tuple(called), y - style.blank_mm, tuple(blanks))


def _lines(rows: list[str], size_mm: float, *, bold: bool = False) -> Paragraph:
    items = tuple(
        Words((0.0, _ASCENT * size_mm + n * _LEADING * size_mm), row, size_mm, bold)
        for n, row in enumerate(rows)
    )
    return Paragraph(items, len(rows) * _LEADING * size_mm)


def _wrapped(text: str, size_mm: float, width_mm: float, indent_mm: float) -> list[str]:
    """Rows of whole words; the first begins further in, and is empty where none fits there."""
    rows = [""]
    for word in text.split():
        room_mm = width_mm - (indent_mm if len(rows) == 1 else 0.0)
        longer = f"{rows[-1]} {word}".strip()
        if text_width_mm(longer, size_mm) <= room_mm:
            rows[-1] = longer
        elif text_width_mm(word, size_mm) <= width_mm:
            rows.append(word)
        else:
            raise TooSmallError
    return rows


def _moved(paragraph: Paragraph, down_mm: float) -> Iterator[Item]:
    for words in paragraph.items:
        yield replace(words, at=_lower(words.at, down_mm))
    for blank in paragraph.blanks:
        yield Blank(_lower(blank.start, down_mm), _lower(blank.end, down_mm))


def _lower(point: Point, down_mm: float) -> Point:
    return (point[0], point[1] + down_mm)
