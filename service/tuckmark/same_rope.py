"""Whether specs speak of one rope: by the facts that each of them gives of it.

A fact that one of them leaves out is no difference, unless lengths hang on it: then the same
work in one rope would be cut to two lengths.
"""

from collections.abc import Callable, Mapping
from typing import Final

from tuckmark import rope_size, spec
from tuckmark.identify import WITH_CORE
from tuckmark.reference import Reference
from tuckmark.writing import rounded

_PLACES: Final = 6  # far below what anyone measures, above the noise of conversions

_Fact = Callable[[spec.Rope, Reference], object]

#: what a rope is, by where it stands in ``rope``
KIND: Final[Mapping[str, _Fact]] = {
    "construction": lambda rope, _: rope.construction,
    "fibre": lambda rope, _: rope.fibre,
    "core_fibre": lambda rope, _: _core_fibre(rope),
    "size": lambda rope, reference: rounded(rope_size.nominal_mm(rope.size, reference), _PLACES),
    "lay": lambda rope, _: rope.lay,
    "coating": lambda rope, _: None if rope.coating == "unknown" else rope.coating,
    "condition": lambda rope, _: rope.condition,
}
#: what was stated of it, likewise
STATED: Final[Mapping[str, _Fact]] = {
    "linear_density": lambda rope, _: _settled(rope.linear_density_kg_per_m),
    "breaking_strength": lambda rope, _: _strength(rope.breaking_strength),
}
#: what was measured of it, and moves lengths
MEASURED: Final[Mapping[str, _Fact]] = {
    "fid_length": lambda rope, _: _settled(rope.fid_length_mm),
    "pitch": lambda rope, _: _settled(rope.pitch.mm if rope.pitch else None),
    "lay_length": lambda rope, _: _settled(rope.lay_length_mm),
    "core_diameter": lambda rope, _: _settled(rope.core_diameter_mm),
    "bury_shortening": lambda rope, _: rope.bury_shortening,
    "bedding_in": lambda rope, _: rope.bedding_in,
}


def measured_of(rope: spec.Rope, reference: Reference) -> dict[str, object]:
    """What lengths hang on, by name; None for what a spec leaves to the tables."""
    return {name: fact(rope, reference) for name, fact in MEASURED.items()}


def facts_of(
    rope: spec.Rope, reference: Reference, asked: Mapping[str, _Fact] = KIND
) -> dict[str, object]:
    """What a spec says of its rope, by name; nothing of what it leaves out."""
    said = {name: fact(rope, reference) for name, fact in asked.items()}
    return {name: value for name, value in said.items() if value is not None}


def _core_fibre(rope: spec.Rope) -> str | None:
    """That of the cover where none is named; None where there is no core."""
    return (rope.core_fibre or rope.fibre) if rope.construction in WITH_CORE else None


def _settled(value: float | None) -> float | None:
    """One value for one quantity, whatever unit it was given in."""
    return None if value is None else rounded(value, _PLACES)


def _strength(stated: spec.BreakingStrength | None) -> tuple[float | None, str] | None:
    return None if stated is None else (_settled(stated.force_kn), stated.basis)
