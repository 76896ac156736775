"""Look-ups by rope diameter: fid sections and the tolerance of a nominal size."""

import itertools
import math
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Self

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.compare import above, below, equal
from tuckmark.reference.figures import DataError, Fid, FidBasis, Figure, Row

_MM_PER_INCH = Fraction(127, 5)


class _FidRow(Struct, frozen=True):
    inches: float
    diameter_mm: float
    full: Figure
    short: Figure
    long: Figure

    @classmethod
    def of(cls, row: Row) -> Self:
        inches = _number(row, "diameter")
        full, short, long = (
            _figure(row, _mm(_number(row, section)), "mm") for section in ("full", "short", "long")
        )
        return cls(inches, _mm(inches), full, short, long)

    def as_fid(self) -> Fid:
        return Fid(self.full, self.short, self.long, "row", "")


class FidTable(Struct, frozen=True):
    """Fid sections by rope diameter: on the rows, between them and beyond them."""

    _rows: tuple[_FidRow, ...]
    _between: Row
    _beyond: Mapping[FidBasis, tuple[float, float, float, Row]]

    @classmethod
    def of(cls, sections: tuple[Row, ...], off_rows: tuple[Row, ...]) -> Self:
        """Build from the tables ``fid_sections`` and ``fid_off_rows``.

        Raises:
            DataError: diameters do not ascend, or a beyond-the-table number is missing.
        """
        rows = tuple(_FidRow.of(row) for row in sections)
        _check_ascending("fid_sections", (row.diameter_mm for row in rows))
        rules = {row["basis"]: row for row in off_rows}
        beyond: dict[FidBasis, tuple[float, float, float, Row]] = {}
        for basis in ("above_table", "below_table"):
            rule = rules[basis]
            full, short, long = (
                _number(rule, column) for column in ("full", "short_share", "long_share")
            )
            beyond[basis] = (full, short, long, rule)
        return cls(rows, rules["interpolated"], beyond)

    def at(self, diameter_mm: float) -> Fid:
        """The sections for one diameter; see `Reference.fid`."""
        _check_diameter(diameter_mm)
        for row in self._rows:
            if equal(diameter_mm, row.diameter_mm):
                return row.as_fid()
        for lower, upper in itertools.pairwise(self._rows):
            if lower.diameter_mm < diameter_mm < upper.diameter_mm:
                return self._interpolated(diameter_mm, lower, upper)
        *_, largest = self._rows
        if diameter_mm > largest.diameter_mm:
            return self._outside(diameter_mm, "above_table")
        return self._outside(diameter_mm, "below_table")

    def _interpolated(self, diameter_mm: float, lower: _FidRow, upper: _FidRow) -> Fid:
        share = (diameter_mm - lower.diameter_mm) / (upper.diameter_mm - lower.diameter_mm)
        full, short, long = (
            _figure(self._between, low.value + share * (high.value - low.value), "mm")
            for low, high in (
                (lower.full, upper.full),
                (lower.short, upper.short),
                (lower.long, upper.long),
            )
        )
        note = (
            f"interpolated between the rows {Fraction(lower.inches)} in "
            f"and {Fraction(upper.inches)} in"
        )
        return Fid(full, short, long, "interpolated", note)

    def _outside(self, diameter_mm: float, basis: FidBasis) -> Fid:
        full_d, short_share, long_share, rule = self._beyond[basis]
        full_mm = full_d * diameter_mm
        full, short, long = (
            _figure(rule, full_mm * share, "mm") for share in (1.0, short_share, long_share)
        )
        return Fid(full, short, long, basis, f"{rule['place']}: {rule['note']}")


class SizeTolerances(Struct, frozen=True):
    """Tolerance of linear density by nominal diameter: (from, to, figure), ascending."""

    _classes: tuple[tuple[float, float, Figure], ...]

    @classmethod
    def of(cls, rows: tuple[Row, ...]) -> Self:
        """Build from the table ``linear_density_tolerances``; an empty end is without end.

        Raises:
            DataError: the classes do not ascend or overlap by more than their ends.
        """
        classes = tuple(
            (
                _mm(_number(row, "from_in")),
                math.inf if row["to_in"] is None else _mm(_number(row, "to_in")),
                _figure(row, _number(row, "value"), str(row["unit"])),
            )
            for row in rows
        )
        _check_ascending("linear_density_tolerances", (start for start, _, _ in classes))
        for (_, end, _), (start, _, _) in itertools.pairwise(classes):
            if end > start:
                raise DataError("linear_density_tolerances: two classes overlap")
        return cls(classes)

    def at(self, diameter_mm: float) -> Figure | None:
        """The tolerance for one diameter; see `Reference.size_tolerance`."""
        _check_diameter(diameter_mm)
        smaller: Figure | None = None
        for start_mm, end_mm, figure in self._classes:
            if below(diameter_mm, start_mm):
                break
            if not above(diameter_mm, end_mm):
                return figure
            smaller = figure
        if smaller is None:
            return None
        # The source lists inch sizes only: 8 mm and 9 mm lie between its classes.
        return replace(
            smaller, confidence="C", note="between two published classes: the smaller size's"
        )


def _mm(inches: float) -> float:
    return float(Fraction(inches) * _MM_PER_INCH)


def _number(row: Row, column: str) -> float:
    cell = row[column]
    if not isinstance(cell, float):
        raise DataError(f"{column} is needed where it is empty")
    return cell


def _figure(row: Row, value: float, unit: str) -> Figure:
    return Figure(
        value,
        unit,
        str(row["source"]),
        str(row["confidence"]),
        place=str(row["place"]),
        note=str(row["note"]),
    )


def _check_ascending(table: str, diameters_mm: Iterable[float]) -> None:
    for smaller, larger in itertools.pairwise(diameters_mm):
        if larger <= smaller:
            raise DataError(f"{table}: diameters do not ascend")


def _check_diameter(diameter_mm: float) -> None:
    if not (math.isfinite(diameter_mm) and diameter_mm > 0):
        raise ValueError(f"no rope has a diameter of {diameter_mm} mm")
