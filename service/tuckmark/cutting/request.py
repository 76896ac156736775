"""A judged request to whole tenths of a millimetre: pieces to cut, reels to cut them from.

Nothing is rounded in the wrong direction: a piece is as long as it is printed, there is never
less rope on a reel than is reckoned with, and a cut never takes more.
"""

import math
from dataclasses import dataclass
from functools import partial
from typing import Final

from tuckmark import quantities
from tuckmark.cutting.ordered import Piece, Ropes, pieces_of
from tuckmark.document import Json
from tuckmark.faults import Collected, Fault, Refused
from tuckmark.pipeline import Pipeline
from tuckmark.writing import LengthText, rounded

MOST_PIECES: Final = 10_000
_TENTHS_PER_MM: Final = 10
_FLOAT_NOISE: Final = 1e-6  # of a tenth
_DEFAULT_BUDGET_S: Final = 5.0
_INCH_FRACTION: Final = 16


@dataclass(frozen=True, slots=True)
class Order:
    """So many alike of one rope, each of one piece, or of the two pieces of a join."""

    id: str
    rope: str
    pieces: tuple[Piece, ...]
    quantity: int


@dataclass(frozen=True, slots=True)
class Reel:
    """Reels of one rope, all alike; the length in tenths of a millimetre."""

    id: str
    rope: str
    length: int
    quantity: int
    remnant: bool


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked for, lengths in tenths of a millimetre.

    Attributes:
        keep_from: least length of an offcut that is kept; None where none is.
        write: writes lengths in the units that the request wants to see.
    """

    orders: tuple[Order, ...]
    reels: tuple[Reel, ...]
    allowance: int
    keep_from: int | None
    budget_s: float
    write: LengthText


def read(document: Json, pipeline: Pipeline) -> Request:
    """The request in a document that the published schema has accepted.

    Raises:
        Refused: ``repeated_id``, ``length_outside_range``, ``too_many_pieces``,
            ``quantities_disagree``, ``ropes_disagree``, ``plan_says_stop``,
            ``cut_length_needed``, ``join_lengths_needed``, or why a spec cannot be planned.
    """
    found = Collected(*_repeated(document, "orders"), *_repeated(document, "reels"))
    longest_mm = pipeline.reference.rule("length.most").value
    display = document.get("display", {})
    write = LengthText(display.get("units", "metric"), display.get("inch_fraction", _INCH_FRACTION))
    ropes: Ropes = {}
    orders = [
        found.attempt(partial(_order, order, f"/orders/{i}", pipeline, longest_mm, ropes, write))
        for i, order in enumerate(document["orders"])
    ]
    reels = [
        found.attempt(partial(_reel, reel, f"/reels/{i}", longest_mm))
        for i, reel in enumerate(document["reels"])
    ]
    known = tuple(order for order in orders if order is not None)
    found.faults += _too_many(known)
    found.raise_any()
    keep_from = document.get("keep_from")
    return Request(
        known,
        tuple(reel for reel in reels if reel is not None),
        _up(quantities.base_value(document.get("allowance", "0 mm"))),
        None if keep_from is None else max(1, _up(quantities.base_value(keep_from))),
        float(document.get("time_budget_s", _DEFAULT_BUDGET_S)),
        write,
    )


def nearest(mm: float) -> int:
    """A length as it is printed, in tenths of a millimetre."""
    return round(rounded(mm, 1) * _TENTHS_PER_MM)


def _down(mm: float) -> int:
    return math.floor(mm * _TENTHS_PER_MM + _FLOAT_NOISE)


def _up(mm: float) -> int:
    return math.ceil(mm * _TENTHS_PER_MM - _FLOAT_NOISE)


def _order(
    order: Json, pointer: str, pipeline: Pipeline, longest_mm: float,
    ropes: Ropes, write: LengthText,
) -> Order:  # fmt: skip
    if "length" in order:
        mm = quantities.base_value(order["length"])
        _within(mm, f"{pointer}/length", longest_mm)
        pieces: tuple[Piece, ...] = (Piece(nearest(mm), write.write(mm)),)
    else:
        pieces = pieces_of(order, pointer, pipeline, ropes, write)
    return Order(order["id"], order["rope"], pieces, _quantity(order, pointer))


def _quantity(order: Json, pointer: str) -> int:
    """As the order says, else as its spec's job does, else one; both must not differ."""
    of_job = order.get("spec", {}).get("job", {}).get("quantity")
    given: int = order.get("quantity", of_job or 1)
    if of_job is not None and of_job != given:
        raise Refused(
            (
                Fault(
                    f"{pointer}/quantity",
                    "quantities_disagree",
                    f"The order says {given}, the job of its spec says {of_job}.",
                    allowed=(of_job,),
                    given=given,
                    hint="Give the same quantity in both places, or leave one out.",
                ),
            )
        )
    return given


def _reel(reel: Json, pointer: str, longest_mm: float) -> Reel:
    mm = quantities.base_value(reel["length"])
    _within(mm, f"{pointer}/length", longest_mm)
    return Reel(
        reel["id"], reel["rope"], _down(mm), reel.get("quantity", 1), reel.get("remnant", False)
    )


def _within(mm: float, pointer: str, longest_mm: float) -> None:
    if 1 / _TENTHS_PER_MM <= mm <= longest_mm:
        return
    raise Refused(
        (
            Fault(
                pointer,
                "length_outside_range",
                f"Ropes here are from 0.1 mm to {longest_mm / 1000:.0f} m long.",
                allowed=f"0.1 mm to {longest_mm / 1000:.0f} m",
                hint="Check the unit.",
            ),
        )
    )


def _repeated(document: Json, place: str) -> list[Fault]:
    seen: set[str] = set()
    found = []
    for index, item in enumerate(document[place]):
        if item["id"] in seen:
            pointer, detail = f"/{place}/{index}/id", "This id stands on another entry already."
            hint = "Give each entry an id of its own: the cut list names it by that."
            found.append(Fault(pointer, "repeated_id", detail, given=item["id"], hint=hint))
        seen.add(item["id"])
    return found


def _too_many(orders: tuple[Order, ...]) -> list[Fault]:
    pieces = sum(order.quantity * len(order.pieces) for order in orders)
    if pieces <= MOST_PIECES:
        return []
    return [
        Fault(
            "/orders",
            "too_many_pieces",
            f"These orders come to {pieces} pieces.",
            allowed=f"at most {MOST_PIECES} pieces",
            hint="Send them as several cut lists: a rope of its own, or a week of its own, each.",
        )
    ]
