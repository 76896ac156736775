"""What the loader refuses: one spoiled copy of the tables for each reason."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tuckmark.reference import DataError, Reference, load

GRAVITY_ROW = "hmpe,0.97,1,fibre_property_table,specific gravity,A,"
FRICTION_ROW = "hmpe,0.07,0.05,0.09,1,assumption_friction,HMPE,C,"


def spoil(folder: Path, table: str, old: str, new: str) -> None:
    path = folder / f"{table}.csv"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} should stand once in {table}"
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_copy_loads_the_same(copied: Path, reference: Reference) -> None:
    assert load(copied) == reference


@pytest.mark.parametrize(
    ("new_row", "message"),
    [
        ("hmpe,0.97,,fibre_property_table,specific gravity,A,", "unit is empty"),
        ("hmpe,0.97,1,,specific gravity,A,", "source is empty"),
        ("hmpe,0.97,1,fibre_property_table,,A,", "place is empty"),
        ("hmpe,0.97,1,fibre_property_table,specific gravity,,", "confidence is empty"),
        ("hmpe,,1,fibre_property_table,specific gravity,A,", "value is empty"),
        (",0.97,1,fibre_property_table,specific gravity,A,", "fibre is empty"),
        ("hmpe,0.97,1,no_such_key,specific gravity,A,", "unknown source 'no_such_key'"),
        ("hmpe,0.97,1,fibre_property_table,specific gravity,D,", "confidence 'D' is none of"),
        ("hmpe,0.97,1,fibre_property_table,specific gravity,a,", "confidence 'a' is none of"),
        ("hmpe,light,1,fibre_property_table,specific gravity,A,", "'light' is not a decimal"),
        ("hmpe,nan,1,fibre_property_table,specific gravity,A,", "'nan' is not a decimal"),
        ("hmpe,inf,1,fibre_property_table,specific gravity,A,", "'inf' is not a decimal"),
        ("hmpe,9e-1,1,fibre_property_table,specific gravity,A,", "'9e-1' is not a decimal"),
        ("hmpe,1/0,1,fibre_property_table,specific gravity,A,", "'1/0' is not finite"),
        (f"hmpe,{'9' * 400},1,fibre_property_table,specific gravity,A,", "is not finite"),
        ("hmpe, 0.97,1,fibre_property_table,specific gravity,A,", "has blanks around it"),
        ("hmpe,0.97,kg,fibre_property_table,specific gravity,A,", "not in the list of units"),
        ("hmpe,0.97,d,fibre_property_table,specific gravity,A,", "the table's is '1'"),
        ("silk,0.97,1,fibre_property_table,specific gravity,A,", "fibre 'silk' is none of"),
        (f"{GRAVITY_ROW}\n{GRAVITY_ROW}", "fibre 'hmpe' stands twice"),
        (f"{GRAVITY_ROW},", "8 cells under 7 columns"),
        ("hmpe,0.97", "2 cells under 7 columns"),
        (f'"{GRAVITY_ROW}', "no readable header and rows"),
        ("hmpe,0.97,1,common_practice_setting,specific gravity,A,", "better than that of"),
    ],
)
def test_a_row_is_refused(copied: Path, new_row: str, message: str) -> None:
    spoil(copied, "specific_gravities", GRAVITY_ROW, new_row)
    with pytest.raises(DataError, match=f"^specific_gravities.*{re.escape(message)}"):
        load(copied)


@pytest.mark.parametrize(
    ("new_row", "message"),
    [
        ("hmpe,0.07,0.0701,0.09,1,assumption_friction,HMPE,C,", "low 0.0701 is above"),
        ("hmpe,0.07,0.05,0.0699,1,assumption_friction,HMPE,C,", "high 0.0699 is below"),
        ("hmpe,0.07,few,0.09,1,assumption_friction,HMPE,C,", "low 'few' is not a decimal"),
    ],
)
def test_a_value_outside_its_range_is_refused(copied: Path, new_row: str, message: str) -> None:
    spoil(copied, "frictions", FRICTION_ROW, new_row)
    with pytest.raises(DataError, match=f"^frictions, line 2: {message}"):
        load(copied)


def test_a_value_at_the_ends_of_its_range_is_taken(copied: Path) -> None:
    spoil(copied, "frictions", FRICTION_ROW, FRICTION_ROW.replace("0.05,0.09", "0.07,0.07"))
    friction = load(copied).friction("hmpe")
    assert friction is not None
    assert (friction.low, friction.value, friction.high) == (0.07, 0.07, 0.07)


def test_exact_fractions_are_taken(copied: Path) -> None:
    spoil(copied, "specific_gravities", "hmpe,0.97", "hmpe,31/32")
    gravity = load(copied).specific_gravity("hmpe")
    assert gravity is not None
    assert gravity.value == 0.96875


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("confidence,note", "confidence,note,colour", "unknown column 'colour'"),
        ("confidence,note", "confidence", "column 'note' stands 0 times"),
        ("confidence,note", "confidence,note,note", "column 'note' stands 2 times"),
    ],
)
def test_a_header_is_refused(copied: Path, old: str, new: str, message: str) -> None:
    spoil(copied, "bedding_in", old, new)
    with pytest.raises(DataError, match=message):
        load(copied)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "no readable header"),
        (b"fibre,value,unit,source,place,confidence,note\n", "temperature_limits: no rows"),
        (b"fibre,\xff\n", "not UTF-8"),
    ],
)
def test_a_table_without_rows_is_refused(copied: Path, content: bytes, message: str) -> None:
    (copied / "temperature_limits.csv").write_bytes(content)
    with pytest.raises(DataError, match=message):
        load(copied)


def test_a_missing_table_is_refused(copied: Path) -> None:
    (copied / "frictions.csv").unlink()
    with pytest.raises(DataError, match=r"frictions\.csv: missing"):
        load(copied)


def test_an_unknown_table_is_refused(copied: Path) -> None:
    (copied / "colours.csv").write_text("name\n", encoding="utf-8")
    with pytest.raises(DataError, match=r"colours\.csv: no such table is known"):
        load(copied)


@pytest.mark.parametrize(
    ("table", "line", "missing"),
    [
        ("load_classes", "cotton,standard", "cotton"),
        ("design_factors", "winch,5,5,12", "winch"),
        ("fid_off_rows", "above_table,21", "above_table"),
    ],
)
def test_a_table_that_must_be_complete(copied: Path, table: str, line: str, missing: str) -> None:
    path = copied / f"{table}.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [text for text in lines if not text.startswith(line)]
    assert len(kept) == len(lines) - 1
    path.write_text("".join(kept), encoding="utf-8")
    with pytest.raises(DataError, match=f"{table}: no row for {missing}"):
        load(copied)


@pytest.mark.parametrize(
    ("table", "old", "new", "message"),
    [
        ("fid_sections", "\n7/16,", "\n1/3,", "fid_sections: diameters do not ascend"),
        ("fid_off_rows", "above_table,21,", "above_table,,", "full is needed"),
        ("linear_density_tolerances", "\n3/8,", "\n1/8,", "do not ascend"),
        ("linear_density_tolerances", "\n3/8,", "\n1/4,", "two classes overlap"),
        ("taper_patterns", "3 2 3 2 3", "3 2 3 2 x", "default: counts are whole numbers"),
        ("taper_patterns", "3 2 3 2 3", "3 2 0 2 3", "default: picks are counted from 1"),
        ("taper_patterns", "tip,10,5,", "tip,10,5/2,", "counts are whole numbers"),
        ("rules", "temperature.regulation_low,", "temperature.low,", "temperature.regulation_low"),
        ("rules", "180,,,degF", "180,,,degC", "is in degF, not degC"),
    ],
)
def test_what_the_look_ups_rest_on(
    copied: Path, table: str, old: str, new: str, message: str
) -> None:
    spoil(copied, table, old, new)
    with pytest.raises(DataError, match=message):
        load(copied)


def test_every_pick_may_lose_its_pair(copied: Path) -> None:
    spoil(copied, "taper_patterns", "3 2 3 2 3", "1 1 1 1 1")
    assert load(copied).taper_pattern("default").picks == (1, 1, 1, 1, 1)


Sources = dict[str, dict[str, str]]


def _rename_field(sources: Sources) -> None:
    sources["ashley_2728"]["chapter"] = sources["ashley_2728"].pop("section")


def _empty_title(sources: Sources) -> None:
    sources["ashley_2728"]["title"] = " "


def _wrong_kind(sources: Sources) -> None:
    sources["ashley_2728"]["kind"] = "hearsay"


def _wrong_confidence(sources: Sources) -> None:
    sources["ashley_2728"]["confidence"] = "AA"


def _wrong_key(sources: Sources) -> None:
    sources["Ashley 2728"] = sources["ashley_2728"]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (_rename_field, "ashley_2728: wants exactly title, section, kind, confidence"),
        (_empty_title, "every field is a text that is not empty"),
        (_wrong_kind, "kind 'hearsay' is none of"),
        (_wrong_confidence, "confidence 'AA' is not A, B or C"),
        (_wrong_key, "a key is lower-case words"),
    ],
)
def test_a_source_is_refused(copied: Path, change: Callable[[Sources], None], message: str) -> None:
    path = copied / "sources.json"
    sources = json.loads(path.read_text(encoding="utf-8"))
    change(sources)
    path.write_text(json.dumps(sources), encoding="utf-8")
    with pytest.raises(DataError, match=message):
        load(copied)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ('{"a": 1, "a": 2}', "a key stands twice"),
        ("{", "not JSON"),
        ("[]", "not an object of sources"),
        ("{}", "not an object of sources"),
    ],
)
def test_sources_are_refused(copied: Path, content: str, message: str) -> None:
    (copied / "sources.json").write_text(content, encoding="utf-8")
    with pytest.raises(DataError, match=message):
        load(copied)


class TestVersion:
    def test_is_sixteen_hex_digits(self, reference: Reference) -> None:
        assert re.fullmatch("[0-9a-f]{16}", reference.version)

    def test_changes_with_one_byte(self, copied: Path, reference: Reference) -> None:
        spoil(copied, "specific_gravities", "hmpe,0.97,", "hmpe,0.970,")
        assert load(copied).version != reference.version

    def test_does_not_depend_on_the_readme(self, copied: Path, reference: Reference) -> None:
        (copied / "README.md").write_text("other words", encoding="utf-8")
        assert load(copied).version == reference.version


def test_every_source_is_used(reference: Reference) -> None:
    # The other direction, a row with an unknown source, is refused above.
    used = {row["source"] for rows in reference.tables().values() for row in rows}
    assert used == reference.sources.keys()


def test_one_citation_has_one_key(reference: Reference) -> None:
    citations = [(source.title, source.section) for source in reference.sources.values()]
    assert len(set(citations)) == len(citations)
