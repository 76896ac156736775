"""The mark table as spreadsheets and label printers read it."""

import csv
import io
import json
import re

import pytest
from pictures import SPLICES, UNITS, Json, plan

from tuckmark.pipeline import default_pipeline
from tuckmark.published import examples
from tuckmark.render import marks_table, views
from tuckmark.render.view import CannotShowError, Options, Showing

NUMBERS = (
    *("distance_mm", "low_mm", "high_mm", "tolerance_minus_mm", "tolerance_plus_mm"),
    *("from_a_mm", "fids", "picks"),
)
#: what spreadsheets turn into something else when a cell looks like it, from memory of their
#: import rules: numbers, dates (3/4, 1-2, 3.1), times, booleans, exponents, formulas
TURNED = re.compile(
    r"[-+]?[\d.,]+(?:[eE][-+]?\d+)?%?|\d+[-/.:]\d+(?:[-/.:]\d+)?|true|false|[=+@\t\r'-].*",
    re.IGNORECASE,
)


def rows(made: Json, **options: str) -> list[dict[str, str]]:
    file = views.show("marks", "csv", Showing(made, Options(**options)))  # type: ignore[arg-type]
    return list(csv.DictReader(io.StringIO(file.decode("utf-8"), newline=""), strict=True))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", [*SPLICES, "boom-pendant-inches", "towing-pendant"])
def test_one_row_a_mark_with_its_numbers_unspoilt(name: str, units: str) -> None:
    made = plan(name, units)
    found = rows(made)
    assert len(found) == len(made["marks"])
    for row, mark in zip(found, made["marks"], strict=True):
        assert (row["id"], row["end"], row["part"]) == (mark["id"], mark["end"], mark["part"])
        assert (row["name"], row["shape"]) == (mark["name"], mark["shape"])
        assert row["from"] == mark["from"]
        assert float(row["distance_mm"]) == mark["distance"]["mm"]
        assert row["distance"] == mark["distance"]["text"]
        assert row["usable"] == "yes"


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", [*SPLICES, "boom-pendant-inches"])
def test_no_spreadsheet_turns_a_cell_into_something_else(name: str, units: str) -> None:
    """Numbers are plain decimals; no text looks like a number, a date, a time or a formula."""
    for row in rows(plan(name, units)):
        for column, cell in row.items():
            if column in NUMBERS:
                assert re.fullmatch(r"(?:\d+(?:\.\d+)?)?", cell), (column, cell)
            else:
                assert not TURNED.fullmatch(cell), (column, cell)


def test_the_file_is_as_rfc_4180_has_it() -> None:
    """RFC 4180, 2: lines end in CRLF, a header, as many fields in each line."""
    file = marks_table.as_csv(Showing(plan("boom-pendant-inches")))
    assert file.endswith(b"\r\n")
    assert b"\n" not in file.replace(b"\r\n", b"")
    assert not file.startswith(b"\xef\xbb\xbf")
    assert file.isascii()  # read alike in whatever encoding a spreadsheet takes it to be
    widths = {len(row) for row in csv.reader(io.StringIO(file.decode(), newline=""), strict=True)}
    assert len(widths) == 1


@pytest.mark.parametrize("lead", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_could_run_as_a_formula_is_disarmed(lead: str) -> None:
    made = {**plan("towing-pendant")}
    armed = f'{lead}HYPERLINK("http://x.example","a,b")'
    made["marks"] = [{**made["marks"][0], "purpose": armed}]
    assert rows(made)[0]["purpose"] == f"'{armed}"


def test_a_plan_that_says_stop_says_so_in_every_row() -> None:
    spec = {**examples()["towing-pendant"]}
    spec["ends"] = {**spec["ends"], "b": {**spec["ends"]["b"], "stitching": "none"}}
    made = default_pipeline().plan(spec)
    assert {row["usable"] for row in rows(made)} == {"no"}
    shown = json.loads(views.show("marks", "json", Showing(made)))
    assert shown["usable"] is False


def test_json_has_the_marks_as_the_plan_has_them() -> None:
    made = plan("core-carried-halyard")
    shown = json.loads(views.show("marks", "json", Showing(made, Options(end="a", part="core"))))
    assert shown["digest"] == made["digest"]
    assert shown["marks"] == [mark for mark in made["marks"] if mark["part"] == "core"]


def test_ends_and_parts_can_be_asked_for() -> None:
    made = plan("towing-pendant")
    assert {row["end"] for row in rows(made, end="b")} == {"b"}
    assert len(rows(made, end="a")) + len(rows(made, end="b")) == len(made["marks"])
    with pytest.raises(CannotShowError) as caught:
        rows(made, part="cover")
    assert (caught.value.code, caught.value.allowed) == ("no_such_part", ("rope",))


def test_a_tolerance_says_which_way() -> None:
    # the bury is three full fids, the least of a locked eye: never shorter, longer is no matter
    made = default_pipeline().plan(examples()["towing-pendant"])
    by_id = {row["id"]: row for row in rows(made)}
    throat = by_id["a.tail_throat"]
    assert (throat["tolerance_minus_mm"], throat["tolerance_plus_mm"]) == ("0.0", "")
    assert by_id["a.lock_return"]["tolerance_minus_mm"] == ""
