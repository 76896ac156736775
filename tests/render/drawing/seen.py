"""A drawing as it is seen: where its words and strokes lie, from the SVG and the fonts alone.

Outlines and advances are read from the font files by fontTools, so that neither the widths
that the service reckons with nor the ones it writes into the SVG are taken on trust.
"""

import math
import re
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Final
from xml.etree import ElementTree

from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

SVG: Final = "{http://www.w3.org/2000/svg}"
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")
_EPSILON: Final = 0.011


@dataclass(frozen=True)
class Box:
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box", slack: float = _EPSILON) -> bool:
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


@dataclass(frozen=True)
class Word:
    text: str
    size: float
    bold: bool
    said_length: float
    true_length: float
    ink: Box


@dataclass(frozen=True)
class Stroke:
    start: tuple[float, float]
    end: tuple[float, float]
    width: float

    def crosses(self, box: Box) -> bool:
        """Whether it goes through a box: stepped along finely, which no short cut can fool."""
        (x, y), (to_x, to_y) = self.start, self.end
        if max(x, to_x) < box.left or min(x, to_x) > box.right:
            return False
        if max(y, to_y) < box.top or min(y, to_y) > box.bottom:
            return False
        length = math.dist(self.start, self.end)
        steps = max(1, math.ceil(length / 0.1))
        for i in range(steps + 1):
            x = self.start[0] + (self.end[0] - self.start[0]) * i / steps
            y = self.start[1] + (self.end[1] - self.start[1]) * i / steps
            if box.left < x < box.right and box.top < y < box.bottom:
                return True
        return False


@dataclass
class Shown:
    """One mark as drawn: its ids, what is read out, where it lies."""

    ids: tuple[str, ...]
    title: str
    x: float
    y: float
    kinds: tuple[str, ...]


@dataclass
class Seen:
    width: float
    height: float
    title: str
    description: str
    words: list[Word] = field(default_factory=list)
    overprints: list[str] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    dots: list[tuple[float, float, float]] = field(default_factory=list)
    marks: list[Shown] = field(default_factory=list)
    stroke_widths: list[float] = field(default_factory=list)
    greys: set[str] = field(default_factory=set)
    points: list[tuple[float, float]] = field(default_factory=list)
    tags: set[str] = field(default_factory=set)

    @property
    def texts(self) -> list[str]:
        return [word.text for word in self.words]


@cache
def _font(bold: bool) -> TTFont:
    name = "sans-bold.ttf" if bold else "sans-regular.ttf"
    with resources.as_file(resources.files("tuckmark.render") / "fonts" / name) as path:
        return TTFont(path)


@cache
def _letter(letter: str, bold: bool) -> tuple[float, float, float]:
    """Advance, lowest and highest ink, in em."""
    font = _font(bold)
    name = font.getBestCmap()[ord(letter)]
    glyphs, units = font.getGlyphSet(), font["head"].unitsPerEm
    pen = BoundsPen(glyphs)
    glyphs[name].draw(pen)
    _, low, _, high = pen.bounds or (0, 0, 0, 0)
    return glyphs[name].width / units, low / units, high / units


@cache
def true_width(text: str, size: float, bold: bool) -> float:
    return sum(_letter(letter, bold)[0] for letter in text) * size


def see(svg: str) -> Seen:
    root = ElementTree.fromstring(svg)  # noqa: S314 - of our own making
    width, height = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
    assert root.get("viewBox").split() == ["0", "0", *_NUMBER.findall(root.get("viewBox"))[2:]]
    seen = Seen(width, height, root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc"))
    for element in root.iter():
        tag = element.tag.removeprefix(SVG)
        seen.tags.add(tag)
        _take(seen, tag, element)
        if element.get("stroke") not in (None, "none"):
            seen.stroke_widths.append(float(element.get("stroke-width")))
        seen.greys.update(filter(None, (element.get("fill"), element.get("stroke"))))
    return seen


def _take(seen: Seen, tag: str, element: ElementTree.Element) -> None:
    at = {key: float(element.get(key)) for key in ("x1", "y1", "x2", "y2") if element.get(key)}
    if tag == "text":
        _take_text(seen, element)
    elif tag == "line":
        start, end = (at["x1"], at["y1"]), (at["x2"], at["y2"])
        seen.strokes.append(Stroke(start, end, float(element.get("stroke-width"))))
        seen.points += [start, end]
    elif tag == "circle":
        x, y, r = (float(element.get(key)) for key in ("cx", "cy", "r"))
        seen.dots.append((x, y, r))
        seen.points += [(x - r, y - r), (x + r, y + r)]
    elif tag == "path":
        numbers = [float(number) for number in _NUMBER.findall(element.get("d"))]
        seen.points += list(zip(numbers[::2], numbers[1::2], strict=True))
    elif tag == "g" and (element.get("class") or "").startswith("mark "):
        seen.marks.append(_mark(element))


def _take_text(seen: Seen, element: ElementTree.Element) -> None:
    if element.get("class") == "overprint":
        seen.overprints.append(element.text)
        return
    assert element.get("transform") is None, "words are turned: measure them so"
    x, y, size = (float(element.get(key)) for key in ("x", "y", "font-size"))
    bold = element.get("font-weight") == "700"
    said = float(element.get("textLength"))
    shift = {"start": 0.0, "middle": said / 2, "end": said}[element.get("text-anchor", "start")]
    ink = [_letter(letter, bold) for letter in element.text]
    low, high = min(i[1] for i in ink), max(i[2] for i in ink)
    box = Box(x - shift, y - high * size, x - shift + said, y - low * size)
    length = true_width(element.text, size, bold)
    seen.words.append(Word(element.text, size, bold, said, length, box))


def _mark(group: ElementTree.Element) -> Shown:
    kinds, xs, ys = [], [], []
    for shape in group:
        tag = shape.tag.removeprefix(SVG)
        if tag == "circle":
            kinds.append("dot")
            xs.append(float(shape.get("cx")))
            ys.append(round(float(shape.get("cy")), 2))
        elif tag == "line":
            upright = shape.get("x1") == shape.get("x2")
            kinds.append("ring" if upright else "pair")
            xs.append(float(shape.get("x2")))
            if not upright:
                ys.append(round(float(shape.get("y2")), 2))
            else:
                ys.append(round((float(shape.get("y1")) + float(shape.get("y2"))) / 2, 2))
    ids = tuple(group.get("class").split()[1:])
    assert max(xs) - min(xs) < _EPSILON, "shapes of one place lie apart"
    return Shown(ids, group.findtext(f"{SVG}title"), xs[0], ys[0], tuple(dict.fromkeys(kinds)))
