"""What stands in a picture, read from the SVG or the PDF itself, and the plans to try it with.

Ink of letters comes from the outlines in the font file (fontTools), not from our table of widths.
"""

import copy
import io
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from fontTools.ttLib import TTFont

from tuckmark import published
from tuckmark.families import REGISTRY
from tuckmark.pipeline import Rejected, default_pipeline

Json = dict[str, Any]
Box = tuple[float, float, float, float]

SVG = "{http://www.w3.org/2000/svg}"
FONTS = Path(__file__).parents[2] / "service/tuckmark/render/fonts"
MM_PER_POINT = 25.4 / 72  # PDF, ISO 32000-1, 8.3.2.3: 1/72 inch
MM_PER_INCH = 25.4
UNITS = ("metric", "inch")
SPLICES = tuple(name for name in REGISTRY if name != "plain")


# --- plans ----------------------------------------------------------------------------------


@cache
def plan(name: str, units: str | None = None, diameter_mm: float | None = None) -> Json:
    """An example's plan or a family's, in given units, in rope of another size."""
    spec = copy.deepcopy(published.examples().get(name) or REGISTRY[name].minimal_spec)
    if units:
        spec["display"] = {**spec.get("display", {}), "units": units}
    if diameter_mm:
        _resize(spec, diameter_mm)
    return default_pipeline().plan(spec)


def _resize(spec: Json, d: float) -> None:
    rope = spec["rope"]
    rope["size"] = {"diameter": f"{d:g} mm"}
    if "pitch" in rope:
        rope["pitch"] = f"{7 * d:g} mm"
    if "lay_length" in rope:
        rope["lay_length"] = f"{3.3 * d:.1f} mm"
    for end in spec.get("ends", {}).values():
        if "eye" in end:
            end["eye"] = {"form": "flat", "inside_length": f"{20 * d:g} mm"}
    join = spec.get("join", {})
    if "ropes" in join:
        join["ropes"] = [{"length": f"{2000 * d:g} mm"}] * 2
    if "circumference" in join:
        join["circumference"] = f"{400 * d:g} mm"
    if "length" in spec:
        spec["length"] = {"finished": f"{500 * d:g} mm"}


def shortest_and_longest(family: str) -> tuple[float, float]:
    """The thinnest and the thickest rope, in mm, that the family makes a usable plan of."""
    sizes = [d for d in (2.0, 3.0, 4.0, 6.0, 24.0, 64.0, 120.0, 200.0) if _usable(family, d)]
    return sizes[0], sizes[-1]


def _usable(family: str, d: float) -> bool:
    try:
        return bool(plan(family, None, d)["usable"])
    except Rejected:
        return False


# --- SVG ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Text:
    text: str
    size: float
    box: Box  # of the ink

    @property
    def left(self) -> float:
        return self.box[0]


@dataclass(frozen=True)
class Drawn:
    """All that is drawn, in mm from the upper left corner."""

    width: float
    height: float
    texts: list[Text]
    rects: list[Box]
    strokes: list[tuple[Box, float]]
    circles: list[Box]
    polygons: list[Box]


def drawn(svg: str) -> Drawn:
    root = ET.fromstring(svg)  # noqa: S314 -- our own picture
    shapes = [one for one in root.iter() if one.tag != f"{SVG}title"]
    paths = [one for one in shapes if one.tag == f"{SVG}path"]
    corners = [_corners(one.get("d", "")) for one in paths]
    filled = [c for c, one in zip(corners, paths, strict=True) if one.get("fill") != "none"]
    found = Drawn(
        width=float(root.get("width", "").removesuffix("mm")),
        height=float(root.get("height", "").removesuffix("mm")),
        texts=[_text(one) for one in shapes if one.tag == f"{SVG}text"],
        rects=[_around(c) for c in filled if len(c) == 4],
        strokes=[_stroke(one) for one in shapes if one.tag == f"{SVG}line"],
        circles=[_circle(one) for one in shapes if one.tag == f"{SVG}circle"],
        polygons=[_around(c) for c in filled if len(c) != 4],
    )
    strokes = [
        (_around(c), float(one.get("stroke-width", "0")))
        for c, one in zip(corners, paths, strict=True)
        if one.get("fill") == "none"
    ]
    found.strokes.extend(strokes)
    return found


def _corners(commands: str) -> list[tuple[float, float]]:
    """Where a path of absolute M and L and relative h and v goes."""
    found: list[tuple[float, float]] = []
    for letter, numbers in re.findall(r"([MLhvZz])([-\d. ]*)", commands):
        values = [float(value) for value in numbers.split()]
        if letter in "ML":
            found.append((values[0], values[1]))
        elif letter == "h":
            found.append((found[-1][0] + values[0], found[-1][1]))
        elif letter == "v":
            found.append((found[-1][0], found[-1][1] + values[0]))
    return found


def _around(points: list[tuple[float, float]]) -> Box:
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def _stroke(line: ET.Element) -> tuple[Box, float]:
    x1, y1, x2, y2 = (float(line.get(name, "")) for name in ("x1", "y1", "x2", "y2"))
    return _around([(x1, y1), (x2, y2)]), float(line.get("stroke-width", ""))


def _circle(circle: ET.Element) -> Box:
    x, y, r = (float(circle.get(name, "")) for name in ("cx", "cy", "r"))
    return (x - r, y - r, x + r, y + r)


def _text(element: ET.Element) -> Text:
    x, y, size, length = (
        float(element.get(name, "")) for name in ("x", "y", "font-size", "textLength")
    )
    left = x - {"end": length, "middle": length / 2}.get(element.get("text-anchor", ""), 0.0)
    text = element.text or ""
    low, high = ink(text, bold=element.get("font-weight") == "700")
    return Text(text, size, (left, y - high * size, left + length, y - low * size))


@cache
def _font(bold: bool) -> Any:
    return TTFont(FONTS / ("sans-bold.ttf" if bold else "sans-regular.ttf"))


@cache
def ink(text: str, *, bold: bool) -> tuple[float, float]:
    """How far its letters reach below and above the baseline, in ems."""
    font = _font(bold)
    names, glyphs, em = font.getBestCmap(), font["glyf"], font["head"].unitsPerEm
    outlines = [glyphs[names[ord(letter)]] for letter in text if ord(letter) in names]
    bounds = [(one.yMin, one.yMax) for one in outlines if one.numberOfContours]
    return (min(b[0] for b in bounds) / em, max(b[1] for b in bounds) / em) if bounds else (0, 0)


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def within(picture: Drawn, box: Box) -> bool:
    return (
        box[0] >= -1e-6
        and box[1] >= -1e-6
        and box[2] <= picture.width + 1e-6
        and box[3] <= picture.height + 1e-6
    )


def across(rects: list[Box], top: float, bottom: float) -> list[tuple[float, float]]:
    """Middle and thickness of each upright line from one edge of a strip to the other.

    A broken line counts when its pieces reach both edges.
    """
    by_place: dict[tuple[float, float], list[Box]] = {}
    for box in rects:
        if top - 1e-3 <= box[1] and box[3] <= bottom + 1e-3:
            by_place.setdefault((round(box[0], 2), round(box[2], 2)), []).append(box)
    return sorted(
        ((left + right) / 2, right - left)
        for (left, right), pieces in by_place.items()
        if min(piece[1] for piece in pieces) <= top + 1e-3
        and max(piece[3] for piece in pieces) >= bottom - 1e-3
    )


# --- PDF and PNG ----------------------------------------------------------------------------


def pdf_pages(file: bytes) -> Iterator[tuple[float, float, list[Box]]]:
    """Size of each page and the bounds of every path on it, in mm from the upper left."""
    with pypdfium2.PdfDocument(io.BytesIO(file)) as document:
        for page in document:
            width, height = (side * MM_PER_POINT for side in page.get_size())
            paths = page.get_objects(filter=(pdfium.FPDF_PAGEOBJ_PATH,), max_depth=8)
            boxes = []
            for left, bottom, right, top in (one.get_bounds() for one in paths):
                x1, x2 = left * MM_PER_POINT, right * MM_PER_POINT
                boxes.append((x1, height - top * MM_PER_POINT, x2, height - bottom * MM_PER_POINT))
            yield width, height, boxes


def raster(pdf: bytes, dpi: int, page: int = 0) -> Any:
    with pypdfium2.PdfDocument(io.BytesIO(pdf)) as document:
        return document[page].render(scale=dpi / 72).to_numpy()


def chunks(png: bytes) -> dict[bytes, bytes]:
    """The chunks of a PNG by type (W3C PNG, 5.3), each checked against its CRC."""
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    found: dict[bytes, bytes] = {}
    at = 8
    while at < len(png):
        (length,) = struct.unpack_from(">I", png, at)
        kind, data = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        (crc,) = struct.unpack_from(">I", png, at + 8 + length)
        assert crc == zlib.crc32(kind + data)
        found[kind] = found.get(kind, b"") + data
        at += 12 + length
    return found


def grey(png: bytes) -> Any:
    """Rows of a grey PNG, one byte a pixel after the row's filter byte (W3C PNG, 7.2 and 9.2)."""
    parts = chunks(png)
    width, height, depth, kind, *_ = struct.unpack(">IIBBBBB", parts[b"IHDR"])
    assert (depth, kind) == (8, 0)
    rows = np.frombuffer(zlib.decompress(parts[b"IDAT"]), np.uint8).reshape(height, width + 1)
    assert not rows[:, 0].any(), "no row is filtered"
    return rows[:, 1:]
