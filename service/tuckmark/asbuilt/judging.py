"""One measurement against one item of the plan: the verdict, and what to do, in bench words.

Figures are compared as they are printed. A difference that prints as the tolerance, to a tenth of
a millimetre, keeps it, and so does the planned length as the sheet prints it; a length that is as
long as the sheet prints the least one is not short of it.
"""

from dataclasses import dataclass
from typing import Final, Literal

from tuckmark.asbuilt.items import Item, Limit
from tuckmark.asbuilt.measured import Reading
from tuckmark.plan import Length
from tuckmark.writing import LengthText, rounded

Verdict = Literal["pass", "fail", "undecided", "no_tolerance_given", "refer_to_competent_person"]

_PRINTED_PLACES: Final = 1

#: part -> what a piece is when it has more, and less, than planned
_MORE_OR_LESS: Final = {
    "finished": ("longer", "shorter"),
    "inside_length": ("longer", "shorter"),
    "diameter": ("thicker", "thinner"),
}
_OTHERWISE: Final = ("more", "less")
#: part -> what to do about too much, and about too little
_MEND: Final = {
    "finished": (
        "Keep it back: make one splice again further in, or ask the order whether it may stay.",
        "Keep it back: no splice makes it longer. Ask the order whether it may stay, or make a "
        "new one.",
    ),
    "inside_length": (
        "Open the eye and make it again at its marks.",
        "Open the eye and make it again at its marks; look first whether it goes on its pin.",
    ),
    "diameter": (
        "Check that this is the rope of the order before anything else.",
        "Check that this is the rope of the order, and for wear, before anything else.",
    ),
}
#: part -> what to do about less than the rule wants
_SHORT_OF: Final = {
    "buried": "Take the splice out and make it again with the whole bury.",
    "tucks": "Put in the tucks that are missing, all strands alike.",
    "tail": "The strands were cut too close: put in another full tuck if there is strand for it, "
    "else make the splice again.",
    "stitches": "Sew the throat again over its whole length.",
}
_PROVE: Final = (
    "Under {floor} it would have to be made again; from there up a competent person must say "
    "whether it may stay."
)
_AGREE: Final = (
    "The spec gives no tolerance, so nothing is decided here: agree one with the order and give it "
    "in the spec."
)

_NO_RULE: Final = (
    "No rule for its least is published for this splice, so nothing is decided here: what is much "
    "less than planned belongs before a competent person."
)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the record.

    Attributes:
        item: the item of the plan; None for damage, which is of no item.
        difference: measured less planned, in mm or as a count, as printed; None for damage.
        do: what to do about it, in plain words.
    """

    what: str
    name: str
    pointer: str
    item: Item | None
    measured: Reading | None
    difference: float | None
    verdict: Verdict
    do: str
    said: tuple[str, ...] = ()


def judged(item: Item, reading: Reading, write: LengthText) -> Row:
    """The row of one measurement."""
    planned = item.planned.mm if isinstance(item.planned, Length) else item.planned
    difference = rounded(reading.value - planned, _PRINTED_PLACES)
    verdict, do = _Words(item, difference, write).verdict(reading.value)
    return Row(item.what, item.name, item.pointer, item, reading, difference, verdict, do)


def damage_row(damage: tuple[str, ...]) -> Row:
    """The row of what was looked for by eye and hand: found damage never passes."""
    pointer = "/measured/damage"
    if not damage:
        do = "None was found."
        return Row("damage", "damage", pointer, None, None, None, "pass", do)
    do = (
        "Set the piece aside, tag it so that nobody uses it, and have a competent person look at "
        "it."
    )
    return Row(
        "damage", "damage", pointer, None, None, None, "refer_to_competent_person", do, damage
    )


class _Words:
    """Figures of one row as they stand in a sentence."""

    def __init__(self, item: Item, difference: float, write: LengthText) -> None:
        self._item = item
        self._difference = difference
        self._write = write

    def verdict(self, value: float) -> tuple[Verdict, str]:
        item, limit = self._item, self._item.limit
        if limit is None:
            why = _AGREE if item.part in _MORE_OR_LESS else _NO_RULE
            return "no_tolerance_given", f"{self._off()} {why}"
        if limit.kind == "at_least":
            return self._at_least(value, limit)
        if item.undecidable is not None:
            return "undecided", (
                f"{self._off()} {item.undecidable}, so nothing is decided: measure again in that "
                "state."
            )
        allowed = f"{self._figure(limit.value)} either way is allowed."
        if self._as_on_sheet(value):
            return "pass", f"As the sheet says. {allowed}"
        if abs(self._difference) <= rounded(limit.value, _PRINTED_PLACES):
            return "pass", f"{self._off()} {allowed}"
        over = self._difference > 0
        mend = _MEND[item.part][0 if over else 1]
        return "fail", f"{self._off()} {allowed} {mend}"

    def _at_least(self, value: float, limit: Limit) -> tuple[Verdict, str]:
        item = self._item
        wanted = f"Wanted: at least {self._figure(limit.value)}"
        if not self._short(value, limit):
            if item.advised is not None and self._short(value, item.advised):
                return "pass", f"{wanted}; advised: {self._figure(item.advised.value)}."
            return "pass", f"{wanted}."
        missing = self._figure(rounded(limit.value - value, _PRINTED_PLACES))
        if item.floor is not None and not self._short(value, item.floor):
            prove = _PROVE.format(floor=self._figure(item.floor.value))
            return "refer_to_competent_person", f"{wanted}; {missing} short. {prove}"
        return "fail", f"{wanted}; {missing} short. {_SHORT_OF[item.part]}"

    def _as_on_sheet(self, value: float) -> bool:
        """Whether it is the planned length to the letter, which rounding may have moved."""
        planned = self._item.planned
        return (
            self._difference != 0
            and isinstance(planned, Length)
            and rounded(value - self._write.as_read(planned.mm), _PRINTED_PLACES) == 0
        )

    def _short(self, value: float, limit: Limit) -> bool:
        if isinstance(self._item.planned, Length):
            return self._write.reads_less(value, limit.value)
        return value < limit.value

    def _off(self) -> str:
        if self._difference == 0:
            return "As planned."
        more, less = _MORE_OR_LESS.get(self._item.part, _OTHERWISE)
        side = more if self._difference > 0 else less
        return f"{self._figure(abs(self._difference))} {side} than planned."

    def _figure(self, value: float) -> str:
        if not isinstance(self._item.planned, Length):
            return f"{value:g}"
        return self._write.write_finely(value)
