"""Tables as CSV (RFC 4180) that a spreadsheet takes for what they are."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

#: a cell that begins so would be taken for a formula
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> bytes:
    """A header and one line a row, in UTF-8.

    Args:
        columns: names, in order.
        rows: by column; what a row lacks is left empty. Numbers stand as plain numbers with a
            decimal point; a text that would be taken for a formula has an apostrophe before it.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_safe(row.get(column)) for column in columns] for row in rows)
    return text.getvalue().encode("utf-8")


def _safe(cell: Any) -> Any:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell
