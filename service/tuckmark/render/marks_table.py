"""The marks as a table: CSV for spreadsheets and label printers, JSON for programs."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import orjson

from tuckmark.render.excerpt import excerpt
from tuckmark.render.table_csv import csv_bytes
from tuckmark.render.view import CannotShowError, Showing

Mark = Mapping[str, Any]

_COLUMNS: Final = (
    "id", "end", "part", "name", "shape", "from", "distance_mm", "distance", "low_mm", "high_mm",
    "tolerance_minus_mm", "tolerance_plus_mm", "from_a_mm", "fids", "picks", "same_as", "purpose",
    "usable", "warnings",
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
    that must not be spliced from, and ``warnings`` has the codes of what warns or stops: nothing
    else in a table would say so.
    """
    grave = (item["code"] for item in showing.plan["warnings"] if item["severity"] != "info")
    of_plan = {
        "usable": "yes" if showing.plan["usable"] else "no",
        "warnings": " ".join(dict.fromkeys(grave)),
    }
    return csv_bytes(_COLUMNS, (_row(mark) | of_plan for mark in chosen_marks(showing)))


def as_json(showing: Showing) -> bytes:
    """The marks as they stand in the plan, with what must be known of it."""
    found = {**excerpt(showing.plan, ()), "marks": chosen_marks(showing)}
    return orjson.dumps(found, option=orjson.OPT_APPEND_NEWLINE)


def _row(mark: Mark) -> dict[str, Any]:
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
    }


def _mm(length: Mapping[str, Any] | None) -> float | None:
    return None if length is None else length["mm"]
