"""Whole orders: many specs at once, and how to cut the reels on the shelf for them."""

import threading
from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import Final

from tuckmark import batch
from tuckmark.cutting.task import Solved, Task
from tuckmark.pipeline import Pipeline, Rejected
from tuckmark.web import limits, problems
from tuckmark.web.representations import json_bytes
from tuckmark.web.table import Call

#: one cut list at a time in each process of the service, so that they never starve the plans
_SOLVING: Final = threading.BoundedSemaphore(1)


def answer_lines(pipeline: Pipeline, call: Call) -> Iterator[bytes]:
    """One answer line for each line that was sent, each made when the client takes it."""
    fields = call.parameters.get("fields")
    for number, line in enumerate(batch.lines(BytesIO(call.document)), 1):
        yield batch.answer(pipeline, number, line, fields).text


def make_cut_list(pipeline: Pipeline, call: Call) -> bytes:
    """The cut list of the orders and reels that were sent."""
    from tuckmark.cutting.requests import cut_list

    try:
        return json_bytes(cut_list(pipeline, call.document, _solved_alone))
    except Rejected as rejected:
        raise problems.of_faults(rejected.code, rejected.faults, rejected.count) from None


def _solved_alone(tasks: Sequence[Task], budget_s: float) -> list[Solved]:
    """Solved, unless another cut list is being worked on.

    Raises:
        ProblemError: ``solver_busy``.
    """
    from tuckmark.cutting.apart import solved_apart

    if not _SOLVING.acquire(blocking=False):
        raise problems.ProblemError("solver_busy", headers={"Retry-After": limits.RETRY_AFTER_S})
    try:
        return solved_apart(tasks, budget_s)
    finally:
        _SOLVING.release()
