"""Every number in the tables against what its source prints, exactly."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from tuckmark.reference import Reference

PUBLISHED: dict[str, Any] = yaml.safe_load(
    Path(__file__).with_name("published_values.yaml").read_text(encoding="utf-8")
)

# table: (key column, the columns that published_values.yaml lists, in its order)
LISTED = {
    "fid_sections": ("diameter", ("full", "short", "long", "confidence")),
    "fid_off_rows": ("basis", ("full", "short_share", "long_share", "confidence")),
    "load_classes": ("fibre", ("load_class",)),
    "braid_pitches": ("fibre", ("value", "low", "high")),
    "frictions": ("fibre", ("value", "low", "high")),
    "bedding_in": ("fibre", ("value", "low", "high")),
    "specific_gravities": ("fibre", ("value",)),
    "linear_densities": ("fibre", ("value",)),
    "temperature_limits": ("fibre", ("value",)),
    "linear_density_tolerances": ("from_in", ("to_in", "value")),
    "laid_strength": ("joint", ("value", "low", "high")),
    "tuck_floors": ("fibre", ("value",)),
    "back_splice_rounds": ("fibre", ("value",)),
    "tuck_advice": ("fibre", ("value", "low", "high")),
    "strength_examples": ("name", ("diameter_in", "value", "unit")),
    "sling_examples": ("diameter_in", ("vertical", "choker")),
    "trial_quantiles": ("degrees_of_freedom", ("student_t", "chi_square")),
    "as_built_example": ("name", ("value", "low", "high", "tolerance_share", "unit")),
}

UNITS = {
    "fid_sections": "in",
    "fid_off_rows": "d",
    "load_classes": "1",
    "braid_pitches": "d",
    "frictions": "1",
    "bedding_in": "1",
    "specific_gravities": "1",
    "linear_densities": "g/m/mm2",
    "temperature_limits": "degC",
    "linear_density_tolerances": "1",
    "design_factors": "1",
    "taper_patterns": "pick",
    "laid_strength": "1",
    "tuck_floors": "tuck",
    "back_splice_rounds": "round",
    "tuck_advice": "tuck",
    "sling_examples": "lbf",
    "trial_quantiles": "1",
}

CONFIDENCES = {
    "braid_pitches": "C",
    "frictions": "C",
    "bedding_in": "C",
    "linear_densities": "C",
    "temperature_limits": "C",
    "specific_gravities": "A",
    "linear_density_tolerances": "A",
    "design_factors": "A",
    "laid_strength": "A",
    "tuck_floors": "A",
    "back_splice_rounds": "A",
    "tuck_advice": "A",
    "strength_examples": "A",
    "sling_examples": "A",
    "as_built_example": "A",
    "trial_quantiles": "A",
}


@pytest.mark.parametrize("table", LISTED)
def test_a_table_is_what_its_source_prints(reference: Reference, table: str) -> None:
    key, columns = LISTED[table]
    held = {row[key]: [row[name] for name in columns] for row in reference.tables()[table]}
    assert held == {
        row_key: cells if isinstance(cells, list) else [cells]
        for row_key, cells in PUBLISHED[table].items()
    }


def test_every_numeric_column_is_listed(reference: Reference) -> None:
    own_tests = {"rules", "design_factors", "taper_patterns"}
    for name, rows in reference.tables().items():
        if name in own_tests:
            continue
        numeric = {column for row in rows for column in row if isinstance(row[column], float)}
        key, columns = LISTED.get(name, ("", ()))
        assert numeric <= {key, *columns}, name


def test_every_published_table_is_compared() -> None:
    assert PUBLISHED.keys() == {*LISTED, "rules", "design_factors", "taper_patterns"}


@pytest.mark.parametrize("name", PUBLISHED["rules"])
def test_a_rule_is_what_its_source_prints(reference: Reference, name: str) -> None:
    value, low, high, unit, confidence, title, section = PUBLISHED["rules"][name]
    rule = reference.rule(name)
    source = reference.sources[rule.source]
    assert [rule.value, rule.low, rule.high, rule.unit, rule.confidence] == [
        value,
        low,
        high,
        unit,
        confidence,
    ]
    assert source.title == title or title is None
    assert source.section == section or section is None


def test_no_rule_goes_unchecked(reference: Reference) -> None:
    assert [row["name"] for row in reference.tables()["rules"]] == list(PUBLISHED["rules"])


def test_design_factors(reference: Reference) -> None:
    assert [row["duty"] for row in reference.tables()["design_factors"]] == list(
        PUBLISHED["design_factors"]
    )
    for duty, (value, low, high, title, section) in PUBLISHED["design_factors"].items():
        factor = reference.design_factor(duty)
        source = reference.sources[factor.source]
        assert (factor.value, factor.low, factor.high) == (value, low, high)
        assert (source.title, source.section) == (title, section)


def test_taper_patterns(reference: Reference) -> None:
    assert [row["name"] for row in reference.tables()["taper_patterns"]] == list(
        PUBLISHED["taper_patterns"]
    )
    for name, (start, picks, then_every, strands, grade) in PUBLISHED["taper_patterns"].items():
        pattern = reference.taper_pattern(name)
        assert pattern.name == name
        assert pattern.measured_from == start
        assert pattern.picks == tuple(picks)
        assert (pattern.then_every, pattern.strands_per_cut) == (then_every, strands)
        assert pattern.confidence == grade


@pytest.mark.parametrize("table", UNITS)
def test_units(reference: Reference, table: str) -> None:
    assert {row["unit"] for row in reference.tables()[table]} == {UNITS[table]}


@pytest.mark.parametrize("table", CONFIDENCES)
def test_confidences(reference: Reference, table: str) -> None:
    assert {row["confidence"] for row in reference.tables()[table]} == {CONFIDENCES[table]}


def test_cordage_class_names_cover_synthetics_only(reference: Reference) -> None:
    natural = {"manila", "sisal", "hemp", "cotton"}
    for row in reference.tables()["load_classes"]:
        assert row["confidence"] == ("C" if row["fibre"] in natural else "A")


class TestTheSourcesAgreeWithThemselves:
    def test_full_is_short_plus_long_but_at_a_quarter_inch(self, reference: Reference) -> None:
        # US Coast Guard Auxiliary training text, and the rows of common practice among it.
        unequal = {
            row["diameter"]
            for row in reference.tables()["fid_sections"]
            if row["full"] != row["short"] + row["long"]  # type: ignore[operator]  # numbers
        }
        assert unequal == {0.25}

    def test_full_fid_in_diameters(self, reference: Reference) -> None:
        # "full is 20.7-22.4 d": 7.75/0.375 = 20.667 and 14/0.625 = 22.4.
        ratios = [
            round(row["full"] / row["diameter"], 1)  # type: ignore[operator]  # numbers
            for row in reference.tables()["fid_sections"]
        ]
        assert (min(ratios), max(ratios)) == (20.7, 22.4)

    def test_short_is_no_fixed_share(self, reference: Reference) -> None:
        # "0.38 at 1/4 in ... 0.25 at 1 in".
        rows = reference.tables()["fid_sections"]
        first, last = (
            round(row["short"] / row["full"], 2)  # type: ignore[operator]  # numbers
            for row in (rows[0], rows[-1])
        )
        assert (first, last) == (0.38, 0.25)

    def test_manila_circumference_rule(self, reference: Reference) -> None:
        # 900 C2 with C = 3 d: 8,100 lb at 1 in exactly; 32,400 lb at 2 in, 16 % over 27,900.
        rows = {row["name"]: row["value"] for row in reference.tables()["strength_examples"]}
        coefficient = rows["manila_circumference_rule"]
        assert isinstance(coefficient, float)
        assert coefficient * 3**2 == rows["manila_1_in_breaking"]
        assert round(coefficient * 6**2 / rows["manila_2_in_breaking"], 2) == 1.16  # type: ignore[operator]

    def test_manila_working_limits(self, reference: Reference) -> None:
        # Cordage Institute CI 1401: strength / design factor.
        rows = {row["name"]: row["value"] for row in reference.tables()["strength_examples"]}
        breaking = rows["manila_1_in_breaking"]
        assert isinstance(breaking, float)
        assert breaking / 5 == rows["manila_1_in_working_at_5"]
        assert breaking / 12 == rows["manila_1_in_working_at_12"]

    def test_as_built_shares(self, reference: Reference) -> None:
        # A-A-52069: 3 in of 20 ft is 1.25 %; 1.5 in of 43 in is 3.5 %.
        length, eye, _ = reference.tables()["as_built_example"]
        assert length["tolerance_share"] == (20.25 - 20) / 20
        assert round(1.5 / 43, 3) == eye["tolerance_share"]
