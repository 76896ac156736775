"""A cut list as a table, one row a cut: for spreadsheets, and to hang up by the reels."""

from collections.abc import Iterator
from typing import Any, Final

from tuckmark.render.table_csv import csv_bytes

Object = dict[str, Any]

_COLUMNS: Final = (
    "rope", "reel", "copy", "remnant", "cut", "order", "part", "length_mm", "length", "from_mm",
    "from", "to_mm", "to", "offcut_mm", "offcut", "kept", "unmade", "unmade_quantity", "proven",
)  # fmt: skip


def as_csv(report: Object) -> bytes:
    """One row a cut, in the order of the reels and along each, under a header (RFC 4180).

    The last cut of a reel has what is left behind it under ``offcut``. What cannot be made stands
    in rows of its own at the end, without a reel; ``proven`` says of each rope whether no cut list
    is better. Nothing else in a table would say so.

    Args:
        report: as published.
    """
    rows = [row for reel in report["cuts"] for row in _of_reel(reel)]
    rows += map(_unmade, report["unmade"])
    proven = {rope["rope"]: _word(rope["proven"]) for rope in report["ropes"]}
    return csv_bytes(_COLUMNS, ({**row, "proven": proven[row["rope"]]} for row in rows))


def _of_reel(reel: Object) -> Iterator[Object]:
    for number, piece in enumerate(reel["pieces"], 1):
        row = {
            "rope": reel["rope"],
            "reel": reel["reel"],
            "copy": reel["copy"],
            "remnant": _word(reel["remnant"]),
            "cut": number,
            "order": piece["order"],
            "part": piece["part"],
            **_length("length", piece["length"]),
            **_length("from", piece["from"]),
            **_length("to", piece["to"]),
        }
        if number == len(reel["pieces"]):
            row |= {**_length("offcut", reel["offcut"]), "kept": _word(reel["kept"])}
        yield row


def _unmade(left_out: Object) -> Object:
    return {
        "rope": left_out["rope"],
        "order": left_out["order"],
        "unmade": left_out["reason"],
        "unmade_quantity": left_out["quantity"],
    }


def _length(name: str, length: Object) -> Object:
    return {f"{name}_mm": length["mm"], name: length["text"]}


def _word(holds: bool) -> str:
    return "yes" if holds else "no"
