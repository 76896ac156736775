"""What a look-up answers: a value that carries its unit, source and confidence."""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

Cell = str | float | None
Row = Mapping[str, Cell]

FidBasis = Literal["row", "interpolated", "above_table", "below_table"]


class DataError(ValueError):
    """The tables are unfit for use, or were asked for something they do not hold."""


class Source(Struct, frozen=True):
    """One citation: a document and a place in it.

    Attributes:
        key: the name by which rows and plans refer to it.
        title: the document, or what the figure was derived from.
        section: the place in the document.
        kind: regulation, standard, manual, handbook, paper, derived, common_practice
            or assumption.
        confidence: A read in a published source, B derived, C common practice or memory.
    """

    key: str
    title: str
    section: str
    kind: str
    confidence: str


class Figure(Struct, frozen=True):
    """A number with everything needed to trust or doubt it.

    Attributes:
        value: the number, in `unit`.
        unit: one of `UNITS`; "1" for a ratio, "d" for rope diameters.
        source: key of a `Source`.
        confidence: A, B or C.
        low: least of the published or assumed range, if there is one.
        high: most of that range.
        place: where in the source.
        note: what a reader should know beside the number.
    """

    value: float
    unit: str
    source: str
    confidence: str
    low: float | None = None
    high: float | None = None
    place: str = ""
    note: str = ""

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most of the range; the value itself where none is stated."""
        return (
            self.value if self.low is None else self.low,
            self.value if self.high is None else self.high,
        )


class Label(Struct, frozen=True):
    """A word or sentence with its source, where a `Figure` would be a number."""

    value: str
    source: str
    confidence: str


class Fid(Struct, frozen=True):
    """The three lengths of a tubular fid for one rope diameter, in mm.

    Attributes:
        full: full section.
        short: short section.
        long: long section; full = short + long except at and next to the 1/4 in row.
        basis: how the lengths were found.
        note: the same in words, for a reader; empty on a row.
    """

    full: Figure
    short: Figure
    long: Figure
    basis: FidBasis
    note: str


class TaperPattern(Struct, frozen=True):
    """Where the strands of a buried tail are cut to taper it.

    Attributes:
        name: its name in the spec.
        measured_from: "tip" or "throat", from which the picks are counted, or "length"
            where the steps come from the length to be tapered.
        picks: picks from the start to the first cut, then from cut to cut; may be empty.
        then_every: picks between further cuts, None where the pattern ends.
        strands_per_cut: strands cut at one mark; None where the source does not say.
        source: key of a `Source`.
        confidence: A, B or C.
    """

    name: str
    measured_from: str
    picks: tuple[int, ...]
    then_every: int | None
    strands_per_cut: int | None
    source: str
    confidence: str
