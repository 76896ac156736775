"""The words of a drawing: names of ropes, splices and parts, and what stands beside a mark."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from tuckmark.render.counts import counts_of
from tuckmark.render.drawing.flags import MIDDLE_MM, Run, Words
from tuckmark.render.drawing.reading import Place
from tuckmark.render.spans import span_on_tape
from tuckmark.render.tolerance import tolerance_words
from tuckmark.writing import LengthText

Json = Mapping[str, Any]

CONSTRUCTIONS: Final[Mapping[str, str]] = {
    "single_braid_12": "12-strand single braid",
    "double_braid": "double braid",
    "core_dependent_double_braid": "double braid whose core carries the load",
    "plaited_8": "8-strand plait",
    "laid_3": "3-strand laid rope",
    "laid_4": "4-strand laid rope",
}
#: what a line is, and where its distances begin
LINE_NAMES: Final[Mapping[str, tuple[str, str]]] = {
    "rope": ("rope", "bitter end"),
    "cover": ("cover", "bitter end"),
    "core": ("core", "bitter end"),
    "strand": ("each strand", "its own end"),
}
SEVERITIES: Final[Mapping[str, str]] = {"stop": "STOP", "warn": "CHECK", "info": "NOTE"}
DO_NOT_SPLICE: Final = "do not splice from this plan"
LEGEND: Final = (
    "Ring mark: a line across the rope. Dot: a filled circle. Strand pair: a V, open toward the "
    "bitter end. C: common practice or assumption until measured on this rope. "
    "Along each line of rope true to its own scale, but for breaks; its thickness is not."
)
_BITTER_END: Final = "bitter_end"
_ASSUMED: Final = "C"


def one_line(text: str) -> str:
    """Text of a user on one line."""
    return " ".join(text.split())


def writer(plan: Json) -> LengthText:
    """Writes further lengths in the units that the plan is written in."""
    display = plan["display"]
    return LengthText(display["units"], display["inch_fraction"])


def place_lines(place: Place, plan: Json, names: Mapping[str, str]) -> tuple[Words, ...]:
    """What a flag says of a place: the distance, its range, every name, its count and origin."""
    counts = counts_of(plan["marks"])
    lines: list[Words] = []
    for origin, marks in _by_distance(place.marks).items():
        distance = marks[0]["distance"]
        lines.append(_distance(distance, plan["sources"]))
        lines.extend(_range(distance, plan))
        for mark in marks:
            lines.append((Run(mark["name"]),))
            if mark["id"] in counts:
                lines.append((Run(counts[mark["id"]]),))
            lines.extend(_tolerance(mark))
        if origin[0] != _BITTER_END:
            lines.append((Run(f"from {names[origin[0]]}"),))
    lines.extend(_from_a(place.marks))
    return tuple(lines)


def place_title(place: Place, end: str, names: Mapping[str, str]) -> str:
    """A place, read out."""
    return "; ".join(mark_title(mark, end, names) for mark in place.marks)


def mark_title(mark: Json, end: str, names: Mapping[str, str]) -> str:
    """A mark, read out."""
    origin = f"bitter end {end}" if mark["from"] == _BITTER_END else names[mark["from"]]
    return f"{mark['name']}, {mark['shape']}, {mark['distance']['text']} from {origin}"


def mark_names(marks: Sequence[Json]) -> Mapping[str, str]:
    """Each mark's name by its id."""
    return {mark["id"]: mark["name"] for mark in marks}


def _distance(distance: Json, sources: Json) -> Words:
    figure = Run(distance["text"], MIDDLE_MM, bold=True)
    source = distance.get("source")
    assumed = source is not None and sources[source]["confidence"] == _ASSUMED
    return (figure, Run(_ASSUMED)) if assumed else (figure,)


def _by_distance(marks: Sequence[Json]) -> Mapping[tuple[str, str], list[Json]]:
    """Marks by what they are measured from and how far."""
    found: dict[tuple[str, str], list[Json]] = {}
    for mark in marks:
        found.setdefault((mark["from"], mark["distance"]["text"]), []).append(mark)
    return found


def _range(distance: Json, plan: Json) -> tuple[Words, ...]:
    """The range, where it can be told from the distance on a tape."""
    low_mm, high_mm = (distance.get(key, distance["mm"]) for key in ("low_mm", "high_mm"))
    words = span_on_tape(writer(plan), low_mm, high_mm)
    return ((Run(words),),) if words else ()


def _tolerance(mark: Json) -> tuple[Words, ...]:
    words = tolerance_words(mark["tolerance"])
    return ((Run(words),),) if words else ()


def _from_a(marks: Sequence[Json]) -> tuple[Words, ...]:
    """For marks of end b: the same place from the other end."""
    first = marks[0]
    if first["end"] == "a" or not first["from_a"]:
        return ()
    return ((Run(f"{first['from_a']['text']} from a"),),)
