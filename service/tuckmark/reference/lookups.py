"""The checked tables and the look-ups over them; nothing is parsed after loading."""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Self, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.reference.figures import (
    DataError,
    Fid,
    Figure,
    Label,
    Row,
    Source,
    TaperPattern,
)
from tuckmark.reference.layouts import FIBRES, LAYOUTS
from tuckmark.reference.sizes import FidTable, SizeTolerances

_Found = TypeVar("_Found")


class Reference(Struct, frozen=True):
    """All the figures, frozen. Build it with `load` or take `default`.

    A look-up by fibre answers None where no source gives a figure for a known fibre.

    Attributes:
        version: first 16 hex digits of a SHA-256 over the names and bytes of all data files.
        sources: every source by its key.
    """

    version: str
    sources: Mapping[str, Source]
    _tables: Mapping[str, tuple[Row, ...]]
    _figures: Mapping[str, Mapping[str, Figure]]
    _load_classes: Mapping[str, Label]
    _statements: Mapping[str, Label]
    _temperatures: Mapping[str, tuple[Figure, Figure]]
    _fids: FidTable
    _size_tolerances: SizeTolerances
    _taper_patterns: Mapping[str, TaperPattern]

    @classmethod
    def of(
        cls, version: str, sources: Mapping[str, Source], tables: Mapping[str, tuple[Row, ...]]
    ) -> Self:
        """Build the look-ups from tables that the loader has checked.

        Raises:
            DataError: the look-ups need a row or an order of rows that is not there.
        """
        figures = {
            name: {str(row[layout.key]): _figure(row) for row in tables[name]}
            for name, layout in LAYOUTS.items()
            if layout.key in layout.texts and "value" in layout.numbers
        }
        return cls(
            version,
            sources,
            MappingProxyType(dict(tables)),
            figures,
            _labels(tables["load_classes"], "fibre", "load_class"),
            _labels(tables["statements"], "name", "statement"),
            _temperatures(figures["rules"], figures["temperature_limits"]),
            FidTable.of(tables["fid_sections"], tables["fid_off_rows"]),
            SizeTolerances.of(tables["linear_density_tolerances"]),
            {str(row["name"]): _taper_pattern(row) for row in tables["taper_patterns"]},
        )

    def tables(self) -> Mapping[str, tuple[Row, ...]]:
        """Every table by name, its rows in file order, numbers as numbers, empty ones None."""
        return self._tables

    def rule(self, name: str) -> Figure:
        """One scalar rule, such as ``bury.high_modulus.default``, in its own unit.

        Raises:
            DataError: no such rule.
        """
        try:  # asked for some fifty times a plan
            return self._figures["rules"][name]
        except KeyError:
            raise DataError(f"no rule {name!r} is known") from None

    def statement(self, name: str) -> Label:
        """One fact or formula that is a sentence, such as ``eye.perimeter.pin``.

        Raises:
            DataError: no such statement.
        """
        return _known("statement", self._statements, name)

    def laid_strength(self, joint: str) -> Figure:
        """Share of its strength that laid rope keeps over a splice or knot.

        Args:
            joint: ``eye_splice``, ``short_splice`` or ``bowline``.

        Raises:
            DataError: no such joint.
        """
        return _known("joint", self._figures["laid_strength"], joint)

    def full_tucks(self, fibre: str) -> tuple[Figure, Figure] | None:
        """Full tucks in laid rope, least and advised: of an eye, and of each side of a join.

        None for a fibre for which no rule is published.

        Raises:
            DataError: no such fibre.
        """
        least = self._by_fibre("tuck_floors", fibre)
        advised = self._by_fibre("tuck_advice", fibre)
        return (least, advised) if least and advised else None

    def back_splice_rounds(self, fibre: str) -> Figure | None:
        """Rounds of tucks after the crown of a back splice in laid rope, at least.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("back_splice_rounds", fibre)

    def trial_quantiles(self, degrees_of_freedom: int) -> tuple[float, float]:
        """Two-sided 95 % point of Student's t, and upper 5 % point of chi-square.

        Raises:
            DataError: the table does not reach so far.
        """
        for row in self._tables["trial_quantiles"]:
            student_t, chi_square = row["student_t"], row["chi_square"]
            if row["degrees_of_freedom"] == degrees_of_freedom:
                if isinstance(student_t, float) and isinstance(chi_square, float):
                    return student_t, chi_square
                break
        raise DataError(f"no quantiles for {degrees_of_freedom} degrees of freedom are known")

    def load_class(self, fibre: str) -> Label:
        """``standard`` or ``high_modulus``, for every fibre.

        Raises:
            DataError: no such fibre.
        """
        return _known("fibre", self._load_classes, fibre)

    def fid(self, diameter_mm: float) -> Fid:
        """Full, short and long section of a tubular fid, in mm.

        On a row of the table that row; between two rows linear in the diameter; beyond the
        ends by multiples of the diameter. `Fid.basis` and `Fid.note` say which. At and next
        to the 1/4 in row the published full section is not short + long.

        Args:
            diameter_mm: rope diameter, any positive length.

        Raises:
            ValueError: the diameter is not positive and finite.
        """
        return self._fids.at(diameter_mm)

    def size_tolerance(self, diameter_mm: float) -> Figure | None:
        """Tolerance of linear density as a share, plus or minus; None below 3/16 in.

        The published classes leave gaps between inch sizes; a diameter in a gap takes the
        smaller size's wider tolerance, with confidence C and a note.

        Raises:
            ValueError: the diameter is not positive and finite.
        """
        return self._size_tolerances.at(diameter_mm)

    def pitch_diameters(self, fibre: str) -> Figure | None:
        """One turn of a strand of a 12-strand braid, in rope diameters; None: measure it.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("braid_pitches", fibre)

    def friction(self, fibre: str) -> Figure | None:
        """Coefficient of friction of the fibre on itself, an assumption with its range.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("frictions", fibre)

    def linear_density_coefficient(self, fibre: str) -> Figure | None:
        """Linear density in g/m for each mm² of squared diameter.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("linear_densities", fibre)

    def specific_gravity(self, fibre: str) -> Figure | None:
        """Density of the fibre relative to water.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("specific_gravities", fibre)

    def bedding_in(self, fibre: str) -> Figure | None:
        """Lengthening after the first load as a share: the middle, with its range.

        Raises:
            DataError: no such fibre.
        """
        return self._by_fibre("bedding_in", fibre)

    def temperature_limit(self, fibre: str) -> tuple[Figure, Figure]:
        """Lowest and highest temperature without a load reduction, in degC.

        The regulation's range; where the fibre's own upper limit is lower, that one.

        Raises:
            DataError: no such fibre.
        """
        return _known("fibre", self._temperatures, fibre)

    def design_factor(self, duty: str) -> Figure:
        """Least design factor for a duty as value and low; high is None where none is given.

        Raises:
            DataError: no such duty.
        """
        return _known("duty", self._figures["design_factors"], duty)

    def taper_pattern(self, name: str) -> TaperPattern:
        """A published or customary taper by pick count; ``default`` is 3, 2, 3, 2, 3.

        Raises:
            DataError: no such pattern.
        """
        return _known("taper pattern", self._taper_patterns, name)

    def _by_fibre(self, table: str, fibre: str) -> Figure | None:
        if fibre not in FIBRES:
            raise DataError(f"no fibre {fibre!r} is known")
        return self._figures[table].get(fibre)


def _known(kind: str, held: Mapping[str, _Found], name: str) -> _Found:
    found = held.get(name)
    if found is None:
        raise DataError(f"no {kind} {name!r} is known")
    return found


def _figure(row: Row) -> Figure:
    value, low, high = (row.get(column) for column in ("value", "low", "high"))
    if not isinstance(value, float) or isinstance(low, str) or isinstance(high, str):
        raise DataError("a figure is made of numbers")
    unit, source, confidence, place, note = (
        str(row[column]) for column in ("unit", "source", "confidence", "place", "note")
    )
    return Figure(value, unit, source, confidence, low, high, place, note)


def _labels(rows: tuple[Row, ...], key: str, column: str) -> Mapping[str, Label]:
    return {
        str(row[key]): Label(str(row[column]), str(row["source"]), str(row["confidence"]))
        for row in rows
    }


def _temperatures(
    rules: Mapping[str, Figure], limits: Mapping[str, Figure]
) -> Mapping[str, tuple[Figure, Figure]]:
    low = _celsius(_known("rule", rules, "temperature.regulation_low"))
    high = _celsius(_known("rule", rules, "temperature.regulation_high"))
    return {
        fibre: (low, min(high, limits.get(fibre, high), key=lambda limit: limit.value))
        for fibre in FIBRES
    }


def _celsius(fahrenheit: Figure) -> Figure:
    if fahrenheit.unit != "degF":
        raise DataError(f"the regulation's temperature is in degF, not {fahrenheit.unit}")
    return replace(
        fahrenheit, value=float((Fraction(fahrenheit.value) - 32) * Fraction(5, 9)), unit="degC"
    )


def _taper_pattern(row: Row) -> TaperPattern:
    try:
        picks = tuple(int(count) for count in str(row["picks"]).split())
        then_every = _count(row, "then_every")
        strands_per_cut = _count(row, "strands_per_cut")
    except ValueError as error:
        raise DataError(f"taper_patterns: {row['name']}: counts are whole numbers") from error
    if any(count <= 0 for count in picks):
        raise DataError(f"taper_patterns: {row['name']}: picks are counted from 1")
    return TaperPattern(
        str(row["name"]),
        str(row["measured_from"]),
        picks,
        then_every,
        strands_per_cut,
        str(row["source"]),
        str(row["confidence"]),
    )


def _count(row: Row, column: str) -> int | None:
    cell = row[column]
    if cell is None:
        return None
    if not isinstance(cell, float) or cell <= 0 or not cell.is_integer():
        raise ValueError(column)
    return int(cell)
