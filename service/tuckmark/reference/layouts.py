"""The columns of every table, and the words that may stand in them."""

from dataclasses import dataclass

FIBRES = (
    "hmpe",
    "aramid",
    "lcp",
    "pbo",
    "polyester",
    "nylon",
    "polypropylene",
    "polyethylene",
    "manila",
    "sisal",
    "hemp",
    "cotton",
)
DUTIES = ("towing", "mooring", "lifting_sling", "winch", "pulling", "rigging", "other")
CONFIDENCES = ("A", "B", "C")
SOURCE_KINDS = (
    "regulation",
    "standard",
    "manual",
    "handbook",
    "paper",
    "derived",
    "common_practice",
    "assumption",
)

UNITS = frozenset(
    (
        *("1", "d", "D", "C", "fid", "pick", "strand", "pair", "round", "stitch", "tuck", "turn"),
        *("mm", "in", "ft", "deg", "degC", "degF", "kN", "lbf"),
        *("lb/100ft", "ft/lb", "g/m/mm2", "mm2/daN", "lbf/in2"),
    )
)
"""What may stand in a `unit` column; data/README.md says what each means."""

CHOICES = {
    "confidence": CONFIDENCES,
    "fibre": FIBRES,
    "duty": DUTIES,
    "load_class": ("standard", "high_modulus"),
    "measured_from": ("tip", "throat", "length"),
    "basis": ("interpolated", "above_table", "below_table"),
}
"""Columns whose words are a closed list."""

CITATION = ("unit", "source", "place", "confidence")


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns of one table.

    Attributes:
        key: the column that tells rows apart.
        texts: columns of words that every row fills, the key among them if it is a word.
        numbers: columns of numbers that every row fills.
        optional_texts: columns of words that may stay empty.
        optional_numbers: columns of numbers that may stay empty.
        unit: the one unit of the table's rows; None where rows differ.
        complete: whether the key must take every word of its closed list.
    """

    key: str
    texts: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()
    optional_texts: tuple[str, ...] = ()
    optional_numbers: tuple[str, ...] = ()
    unit: str | None = None
    complete: bool = False

    @property
    def filled(self) -> tuple[str, ...]:
        """Columns that no row may leave empty."""
        return (*self.texts, *self.numbers, *CITATION)

    @property
    def numeric(self) -> tuple[str, ...]:
        """Columns whose cells are numbers."""
        return (*self.numbers, *self.optional_numbers)

    @property
    def columns(self) -> tuple[str, ...]:
        """All columns, in no particular order."""
        return (*self.filled, *self.optional_texts, *self.optional_numbers, "note")


def _ranges(key: str, unit: str | None = None, *, complete: bool = False) -> Layout:
    return Layout(
        key, (key,), ("value",), optional_numbers=("low", "high"), unit=unit, complete=complete
    )


def _values(key: str, unit: str) -> Layout:
    return Layout(key, (key,), ("value",), unit=unit)


LAYOUTS = {
    "rules": _ranges("name"),
    "statements": Layout("name", ("name", "statement")),
    "fid_sections": Layout("diameter", numbers=("diameter", "full", "short", "long"), unit="in"),
    "fid_off_rows": Layout(
        "basis",
        ("basis",),
        optional_numbers=("full", "short_share", "long_share"),
        unit="d",
        complete=True,
    ),
    "load_classes": Layout("fibre", ("fibre", "load_class"), unit="1", complete=True),
    "braid_pitches": _ranges("fibre", "d"),
    "frictions": _ranges("fibre", "1"),
    "specific_gravities": _values("fibre", "1"),
    "linear_densities": _values("fibre", "g/m/mm2"),
    "linear_density_tolerances": Layout(
        "from_in", numbers=("from_in", "value"), optional_numbers=("to_in",), unit="1"
    ),
    "bedding_in": _ranges("fibre", "1"),
    "temperature_limits": _values("fibre", "degC"),
    "design_factors": _ranges("duty", "1", complete=True),
    "taper_patterns": Layout(
        "name",
        ("name", "measured_from"),
        optional_texts=("picks",),
        optional_numbers=("then_every", "strands_per_cut"),
        unit="pick",
    ),
    "laid_strength": _ranges("joint", "1"),
    "tuck_floors": _values("fibre", "tuck"),
    "tuck_advice": _ranges("fibre", "tuck"),
    "back_splice_rounds": _values("fibre", "round"),
    "strength_examples": Layout("name", ("name",), ("value",), optional_numbers=("diameter_in",)),
    "sling_examples": Layout(
        "diameter_in", numbers=("diameter_in", "vertical", "choker"), unit="lbf"
    ),
    "trial_quantiles": Layout(
        "degrees_of_freedom", numbers=("degrees_of_freedom", "student_t", "chi_square"), unit="1"
    ),
    "as_built_example": Layout(
        "name", ("name",), ("value",), optional_numbers=("low", "high", "tolerance_share")
    ),
}
"""Every table by its file's stem; a further table is one file and one line here."""
