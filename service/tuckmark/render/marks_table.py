"""The marks as a table: CSV for spreadsheets and label printers, JSON for programs."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import orjson

from tuckmark.render.table_csv import csv_bytes
from tuckmark.render.view import CannotShowError, Showing

Mark = Mapping[str, Any]

_COLUMNS: Final = (
    "id", "end", "part", "name", "shape", "from", "distance_mm", "distance", "low_mm", "high_mm",
    "tolerance_minus_mm", "tolerance_plus_mm", "from_a_mm", "fids", "picks", "same_as", "purpose",
    "usable",
)  # fmt: skip


def chosen_marks(showing: Showing) -> Sequence[Mark]:
    """The plan's marks, of the end and part that the options name.

    Raises:
        CannotShowError: there are none.
    """
    marks: Sequence[Mark] = showing.plan["marks"]
    for option in ("end", "part"):
        wanted = getattr(showing.options, option)
        if wanted is None:
            continue
        there = tuple(dict.fromkeys(mark[option] for mark in marks))
        if wanted not in there:
            detail = f"This plan has no marks of {option} {wanted}."
            raise CannotShowError(f"no_such_{option}", detail, option, there)
        marks = [mark for mark in marks if mark[option] == wanted]
    return marks


def as_csv(showing: Showing) -> bytes:
    """One row a mark under a header (RFC 4180).

    Numbers stand as plain numbers in their own columns, and each text beside them has its unit,
    so that a spreadsheet takes neither for a date. ``usable`` is ``no`` in every row of a plan
    that must not be spliced from: nothing else in a table would say so.
    """
    usable = "yes" if showing.plan["usable"] else "no"
    return csv_bytes(_COLUMNS, (_row(mark, usable) for mark in chosen_marks(showing)))


def as_json(showing: Showing) -> bytes:
    """The marks as they stand in the plan."""
    kept = {key: showing.plan[key] for key in ("usable", "digest")}
    found = {**kept, "marks": chosen_marks(showing)}
    return orjson.dumps(found, option=orjson.OPT_APPEND_NEWLINE)


def _row(mark: Mark, usable: str) -> Mark:
    distance, tolerance = mark["distance"], mark["tolerance"] or {}
    return {
        **mark,
        "distance_mm": distance["mm"],
        "distance": distance["text"],
        "low_mm": distance.get("low_mm"),
        "high_mm": distance.get("high_mm"),
        "tolerance_minus_mm": _mm(tolerance.get("minus")),
        "tolerance_plus_mm": _mm(tolerance.get("plus")),
        "from_a_mm": _mm(mark.get("from_a")),
        "usable": usable,
    }


def _mm(length: Mapping[str, Any] | None) -> float | None:
    return None if length is None else length["mm"]
