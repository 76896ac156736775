"""What of a plan is drawn: its ends, and the places marked along each part of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

Json = Mapping[str, Any]

#: lines of a drawing, from the outside of the rope to the inside
_PARTS: Final = ("rope", "cover", "core", "strand")
_SAME_MM: Final = 0.05
_LINE_OF_THE_ROPE: Final = ("rope", "cover")


@dataclass(frozen=True, slots=True)
class Place:
    """One place along a part, with every mark that is made there.

    Attributes:
        at_mm: from the bitter end, or from the strand's own end.
        marks: as published.
    """

    at_mm: float
    marks: tuple[Json, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One part of an end: rope, cover, core or strand."""

    part: str
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class End:
    """One end of the rope, or one of two ropes that are joined.

    Attributes:
        name: ``a`` or ``b``.
        splice: the family's name.
        figures: what the plan says of the splice.
        lines: its parts, outermost first.
    """

    name: str
    splice: str
    figures: Json
    lines: tuple[Line, ...]

    def at(self, mark: str) -> float | None:
        """Where a mark of this end lies, by the name in its id; None where there is none."""
        wanted = f"{self.name}.{mark}"
        for line in self.lines:
            for place in line.places:
                if any(found["id"] == wanted for found in place.marks):
                    return place.at_mm
        return None

    def place(self, *marks: str) -> float:
        """Where the first of these marks that is there lies.

        Raises:
            LookupError: there is none of them.
        """
        for mark in marks:
            found = self.at(mark)
            if found is not None:
                return found
        raise LookupError(f"end {self.name} has none of {', '.join(marks)}")

    def figure_mm(self, name: str) -> float | None:
        """A length among the figures, in mm; None where there is none."""
        found = self.figures.get(name)
        return found["mm"] if isinstance(found, Mapping) and "mm" in found else None

    @property
    def places_mm(self) -> list[float]:
        """Every place of every line, in order, each once."""
        return sorted({place.at_mm for line in self.lines for place in line.places})

    @property
    def worked_mm(self) -> list[float]:
        """Every place that the worked end needs: the marks, and where the last tuck comes out."""
        run_mm = self.figure_mm("run")
        if run_mm is None:
            return self.places_mm
        return sorted({*self.places_mm, self.place("body_throat", "tail_throat") + run_mm})

    @property
    def last_mm(self) -> float:
        """The last place along the rope or its cover; 0 without marks."""
        rope = [line for line in self.lines if line.part in _LINE_OF_THE_ROPE]
        return max((place.at_mm for line in rope for place in line.places), default=0.0)


@dataclass(frozen=True, slots=True)
class Sketch:
    """A plan as it is drawn.

    Attributes:
        plan: as published.
        ends: by name; without marks where an end stays plain.
        joined: whether the two ends are spliced into each other.
        one_rope: whether both ends are of one rope.
    """

    plan: Json
    ends: Mapping[str, End]
    joined: bool
    one_rope: bool

    @property
    def cut_mm(self) -> float | None:
        """Length of the unworked rope, bitter end to bitter end."""
        cut = self.plan["lengths"]["cut"]
        return cut["mm"] if cut and self.one_rope else None


def sketch_of(plan: Json) -> Sketch:
    """What is drawn of a plan as published."""
    marks: Sequence[Json] = plan["marks"]
    joined = "join" in plan
    by_end: Json = {"a": plan["join"], "b": plan["join"]} if joined else plan["ends"]
    ends = {
        name: End(name, figures["splice"], figures, _lines(marks, name))
        for name, figures in by_end.items()
    }
    one_rope = not joined or any(mark["from_a"] for mark in marks)
    return Sketch(plan, ends, joined, one_rope)


def _lines(marks: Sequence[Json], end: str) -> tuple[Line, ...]:
    places_mm = _places_mm(marks)
    by_part: dict[str, list[Json]] = {part: [] for part in _PARTS}
    for mark in marks:
        if mark["end"] == end:
            by_part[mark["part"]].append(mark)
    return tuple(Line(part, _shared(own, places_mm)) for part, own in by_part.items() if own)


def _places_mm(marks: Sequence[Json]) -> Mapping[str, float]:
    """Each mark's place from its bitter end, through the marks that it is measured from."""
    by_id = {mark["id"]: mark for mark in marks}

    def place(mark: Json) -> float:
        distance: float = mark["distance"]["mm"]
        origin = by_id.get(mark["from"])
        return distance if origin is None else place(origin) + distance

    return {mark["id"]: place(mark) for mark in marks}


def _shared(marks: Sequence[Json], places_mm: Mapping[str, float]) -> tuple[Place, ...]:
    """Marks of one part in order; those at one place together."""
    places: list[Place] = []
    for mark in sorted(marks, key=lambda mark: places_mm[mark["id"]]):
        at_mm = places_mm[mark["id"]]
        if places and at_mm - places[-1].at_mm < _SAME_MM:
            places[-1] = Place(places[-1].at_mm, (*places[-1].marks, mark))
        else:
            places.append(Place(at_mm, (mark,)))
    return tuple(places)
