"""What was measured on a finished piece, and what a trial splice came to, as typed objects."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from tuckmark import quantities, reading, spec
from tuckmark.document import Json, pointer_to

State = Literal["as_spliced", "after_setting"]

_LENGTHS: Final = ("inside_length", "buried", "tail")
_COUNTS: Final = ("tucks", "stitches")


@dataclass(frozen=True, slots=True)
class Reading:
    """One figure that was measured.

    Attributes:
        what: the item of the plan it is of, such as ``a.buried``.
        value: in mm, or a count.
        given: as it stood in the document.
    """

    what: str
    pointer: str
    value: float
    given: str


@dataclass(frozen=True, slots=True)
class Measured:
    """Everything that was measured on one finished piece.

    Attributes:
        state: in which the finished length was measured; None where it was not measured.
        damage: what was found; empty where none was, None where nobody looked.
        piece: which piece of the order it is, in the words of the order.
    """

    readings: tuple[Reading, ...]
    state: State | None
    damage: tuple[str, ...] | None
    piece: str | None


@dataclass(frozen=True, slots=True)
class Picks:
    """Picks counted along one line of the braid, and the length they took."""

    count: int
    length: spec.Measured


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial splice.

    Attributes:
        pointer: where in the request it stands.
        asked: the typed spec it was made by.
        cut: the rope that was cut for it, of two ropes together.
        throat_to_throat: what was measured when it was made.
        state: as spliced is before any load; None where the document says nothing of it.
    """

    pointer: str
    asked: spec.Spec
    cut: spec.Measured
    throat_to_throat: spec.Measured
    state: State | None
    picks: Picks | None


def measured(document: Json) -> Measured:
    """What an accepted request says was measured.

    Args:
        document: the request's ``measured``.
    """
    damage = document.get("damage")
    return Measured(
        readings=tuple(_readings(document)),
        state=document.get("state"),
        damage=None if damage is None else tuple(damage),
        piece=document.get("piece"),
    )


def trials(document: Json) -> tuple[Trial, ...]:
    """The trials of an accepted request, in its order."""
    return tuple(
        _trial(trial, pointer_to("/trials", n)) for n, trial in enumerate(document["trials"])
    )


def _readings(document: Json) -> Iterator[Reading]:
    if "finished" in document:
        yield _length("finished", "/measured/finished", document["finished"])
    for name in ("a", "b"):
        end = document.get("ends", {}).get(name, {})
        for part in (*_LENGTHS, *_COUNTS):
            if part not in end:
                continue
            what, pointer = f"{name}.{part}", f"/measured/ends/{name}/{part}"
            if part in _LENGTHS:
                yield _length(what, pointer, end[part])
            else:
                yield Reading(what, pointer, end[part], str(end[part]))
    if "diameter" in document:
        yield _length("diameter", "/measured/diameter", document["diameter"])


def _length(what: str, pointer: str, given: Json) -> Reading:
    return Reading(what, pointer, quantities.base_value(given), quantities.as_text(given))


def _trial(document: Json, pointer: str) -> Trial:
    picks = document.get("picks")
    return Trial(
        pointer=pointer,
        asked=reading.to_spec(document["spec"]),
        cut=quantities.measured(document["cut"]),
        throat_to_throat=quantities.measured(document["throat_to_throat"]),
        state=document.get("state"),
        picks=picks and Picks(picks["count"], quantities.measured(picks["length"])),
    )
