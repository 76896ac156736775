"""Many specs at once, one a line: every line gets its answer line, in order.

The same bytes come from the service and from the command line. Nothing is kept but one line and
its answer.
"""

import logging
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO, Final

import orjson

from tuckmark import document, problems
from tuckmark.pipeline import Pipeline, Rejected, fault_item
from tuckmark.render.excerpt import excerpt

_LOG: Final = logging.getLogger(__name__)
_END: Final = b"\n"
_OK: Final = 200
_READ_BYTES: Final = 64 * 1024  # at a time, of a line that is too long to be kept


def lines(stream: BinaryIO) -> Iterator[bytes]:
    """Each line without its line feed; of one that is too long only enough to tell.

    Every line feed ends a line, and what follows the last one is a line too if it is anything.
    """
    most = document.MAX_BYTES + 1
    while line := stream.readline(most + 1):
        if not line.endswith(_END):
            while (rest := stream.readline(_READ_BYTES)) and not rest.endswith(_END):
                pass
        yield line.removesuffix(_END)


def count_lines(body: bytes) -> int:
    """How many lines ``lines`` makes of it."""
    return body.count(_END) + (not body.endswith(_END) and body != b"")


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer line.

    Attributes:
        text: with its line feed.
        is_good: whether there is a plan, and it may be spliced from.
    """

    text: bytes
    is_good: bool


def answer(
    pipeline: Pipeline, number: int, line: bytes, fields: Collection[str] | None = None
) -> Answer:
    """The answer to one line: ``line``, ``status``, and ``plan`` or ``problem``.

    Args:
        number: of the line, from 1.
        fields: top-level keys of the plan to keep; None is all.
    """
    made = _made(pipeline, number, line, fields)
    status = made["problem"]["status"] if "problem" in made else _OK
    whole = {"line": number, "status": status, **made}
    text = orjson.dumps(whole, option=orjson.OPT_APPEND_NEWLINE)
    return Answer(text, status == _OK and made["plan"]["usable"])


def _made(
    pipeline: Pipeline, number: int, line: bytes, fields: Collection[str] | None
) -> dict[str, Any]:
    try:
        return {"plan": excerpt(pipeline.plan(document.read(line)), fields)}
    except document.UnreadableError as error:
        if error.fault.code == "document_too_large":
            return {"problem": problems.as_json("document_too_large", error.fault.detail)}
        item = fault_item(error.fault)
        return {"problem": problems.as_json("document_unreadable", error.fault.detail, [item])}
    except Rejected as rejected:
        detail = problems.summary(rejected.faults, rejected.count)
        items = [fault_item(fault) for fault in rejected.faults]
        return {"problem": problems.as_json(rejected.code, detail, items, rejected.count)}
    except Exception:  # noqa: BLE001 - a fault of ours on one line must not take the others along
        _LOG.exception("line %d of a batch failed", number)
        return {"problem": problems.as_json("internal_error")}
