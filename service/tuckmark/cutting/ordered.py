"""The pieces of rope that a spec asks for: the cut length of its plan, or both ropes of a join."""

from typing import Any, Final, NoReturn

from msgspec import Struct
from msgspec.structs import replace

from tuckmark import quantities, reading
from tuckmark.document import Json
from tuckmark.faults import Fault, Refused
from tuckmark.pipeline import Pipeline, Rejected
from tuckmark.same_rope import KIND, STATED, facts_of, measured_of
from tuckmark.writing import LengthText, rounded

_TENTHS_PER_MM: Final = 10
_JOINED: Final = "ends_of_the_joined_rope"
_ENDS: Final = ("a", "b")
_DESCRIBED: Final = {**KIND, **STATED}

#: rope as ordered -> fact -> where it was said first, and what
Ropes = dict[str, dict[str, tuple[str, object]]]


class Piece(Struct, frozen=True):
    """A piece to cut, in tenths of a millimetre.

    Attributes:
        text: its length as the plan writes it, or as its own figure is written: rounded once.
        part: end of the join that it becomes; None where the assembly is one piece.
    """

    length: int
    text: str
    part: str | None = None


def pieces_of(
    order: Json,
    pointer: str,
    pipeline: Pipeline,
    ropes: Ropes,
    write: LengthText,
) -> tuple[Piece, ...]:
    """The pieces of one assembly of an order that gives a spec.

    Args:
        pointer: of the order.
        ropes: what the specs so far say of the ropes that they are ordered of; grows.
        write: writes lengths in the units of the cut list.

    Raises:
        Refused: ``plan_says_stop``, ``cut_length_needed``, ``join_lengths_needed``,
            ``ropes_disagree``, or why the spec cannot be planned.
    """
    spec, at = order["spec"], f"{pointer}/spec"
    try:
        plan = pipeline.plan(spec)
    except Rejected as rejected:
        below = (replace(fault, pointer=at + fault.pointer) for fault in rejected.faults)
        raise Refused(tuple(below)) from rejected
    _usable(plan, at)
    _same_rope(order, pointer, pipeline, ropes)
    lengths = plan["lengths"] or {}
    joined = _joined(spec, at, write) if lengths.get("between") == _JOINED else None
    cut = lengths.get("cut")
    if cut is None:
        _refuse(
            at, "cut_length_needed", "The plan of this spec gives no cut length.",
            "Give the finished length, or give this order a length instead of a spec.",
        )  # fmt: skip
    return joined or (Piece(_tenths(cut["mm"]), _text(cut, plan["display"], write)),)


def _usable(plan: dict[str, Any], at: str) -> None:
    stops = [warning for warning in plan["warnings"] if warning["severity"] == "stop"]
    if not plan["usable"]:
        message = " ".join(stop["message"] for stop in stops)
        _refuse(
            at, "plan_says_stop", f"Its plan says stop: {message}"[:1000],
            "Mend the spec, or take the order out: no rope is cut for it.",
        )  # fmt: skip


def _joined(spec: Json, at: str, write: LengthText) -> tuple[Piece, ...]:
    ropes = spec["join"].get("ropes", [])
    if not ropes or any("length" not in rope for rope in ropes):
        _refuse(
            f"{at}/join", "join_lengths_needed",
            "Two ropes are cut for a join; the whole does not tell how long each of them is.",
            "Give the length of both ropes.",
        )  # fmt: skip
    lengths_mm = (quantities.base_value(rope["length"]) for rope in ropes)
    return tuple(
        Piece(_tenths(rounded(mm, 1)), write.write(mm), end)
        for mm, end in zip(lengths_mm, _ENDS, strict=True)
    )


def _text(cut: Json, display: Json, write: LengthText) -> str:
    """The plan's own text; where the cut list is in other units, the same length in those."""
    own = LengthText(display["units"], display["inch_fraction"])
    text: str = cut["text"]
    alike = (own.metric, own.step_mm) == (write.metric, write.step_mm)
    return text if alike else write.write(cut["mm"])


def _same_rope(order: Json, pointer: str, pipeline: Pipeline, ropes: Ropes) -> None:
    """Specs for one rope must describe one rope, and reckon its lengths by the same figures."""
    rope = reading.to_spec(order["spec"]).rope
    known = ropes.setdefault(order["rope"], {})
    facts = facts_of(rope, pipeline.reference, _DESCRIBED)
    for name, value in (facts | measured_of(rope, pipeline.reference)).items():
        first, expected = known.setdefault(name, (pointer, value))
        if value != expected:
            _refuse(
                f"{pointer}/rope", "ropes_disagree",
                f"The spec of {first} gives another {name.replace('_', ' ')} of this rope, or only "
                "one of the two gives it.",
                "Say the same of one rope in each of its specs; name different ropes differently.",
            )  # fmt: skip


def _tenths(mm: float) -> int:
    """A printed figure in tenths of a millimetre."""
    return round(mm * _TENTHS_PER_MM)


def _refuse(pointer: str, code: str, detail: str, hint: str) -> NoReturn:
    raise Refused((Fault(pointer, code, detail, hint=hint),))
