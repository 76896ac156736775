"""Whole orders: many specs at once, and how to cut the reels on the shelf for them."""

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import Final

from tuckmark import batch
from tuckmark.cutting.task import Solved, Task
from tuckmark.pipeline import Pipeline, Rejected
from tuckmark.render.view import MEDIA_TYPES, Format
from tuckmark.web import problems
from tuckmark.web.parts import Parts
from tuckmark.web.representations import json_bytes, media_types, offers_of
from tuckmark.web.table import Call, Parameter
from tuckmark.web.turns import Turns

_FORMATS: Final[tuple[Format, ...]] = ("json", "csv")
OFFERS: Final = media_types(_FORMATS)
offers: Final = offers_of(_FORMATS)
FORMAT: Final = Parameter(
    "format",
    "query",
    "How the cut list is to be shown; wins over Accept. CSV has one row a cut, and one for each "
    "order that is not made.",
    "choice",
    "json",
    allowed=_FORMATS,
)

_BATCHES: Final = Turns("batch_busy")
_CUT_LISTS: Final = Turns("solver_busy")


def answer_lines(pipeline: Pipeline, call: Call) -> Parts:
    """One answer line for each line that was sent, each made when the client takes it.

    Raises:
        ProblemError: ``batch_busy``.
    """
    return Parts(_lines(pipeline, call), _BATCHES.taken())


def _lines(pipeline: Pipeline, call: Call) -> Iterator[bytes]:
    fields = call.parameters.get("fields")
    for number, line in enumerate(batch.lines(BytesIO(call.document)), 1):
        yield batch.answer(pipeline, number, line, fields).text


def make_cut_list(pipeline: Pipeline, call: Call) -> bytes:
    """The cut list of the orders and reels that were sent."""
    from tuckmark.cutting import cuts_table
    from tuckmark.cutting.requests import cut_list

    try:
        report = cut_list(pipeline, call.document, _solved_alone)
    except Rejected as rejected:
        raise problems.of_rejected(rejected) from None
    return cuts_table.as_csv(report) if _is_table(call) else json_bytes(report)


def file_name(call: Call) -> str | None:
    """A name for the table; none for what is read where it is."""
    return "cut-list.csv" if _is_table(call) else None


def _is_table(call: Call) -> bool:
    return call.media_type == MEDIA_TYPES["csv"]


def _solved_alone(tasks: Sequence[Task], budget_s: float) -> list[Solved]:
    """Solved, unless another cut list is being worked on.

    Raises:
        ProblemError: ``solver_busy``.
    """
    from tuckmark.cutting.apart import solved_apart

    with _CUT_LISTS.taken():
        return solved_apart(tasks, budget_s)
