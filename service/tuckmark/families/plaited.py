"""Splices in 8-strand plait: customary, nowhere published, so guidance only."""

from msgspec import Struct

from tuckmark.families.base import EndRequest
from tuckmark.faults import Fault, Refused
from tuckmark.identify import COUNTED
from tuckmark.plan import Figures, Length


class Plaited(Struct, frozen=True):
    """The pairs of one end unlaid to the tape and tucked into a body.

    Attributes:
        tape_picks: from the bitter end to the tape, counted along one line.
        unlay_mm: the same as a length.
        advance_mm: of one round along the body.
        pairs: rounds tucked in pairs, with the range that is customary.
        singles: rounds of single strands after them, likewise.
    """

    tape_picks: int
    unlay_mm: float
    advance_mm: float
    pairs: tuple[int, int, int]
    singles: tuple[int, int, int]
    source: str

    @property
    def pairs_reach(self) -> Length:
        """From the throat to where the last pair comes out."""
        planned, low, high = (rounds * self.advance_mm for rounds in self.pairs)
        return Length(planned, low, high, self.source)

    @property
    def reach(self) -> Length:
        """From the throat to where the last single strand comes out."""
        planned, low, high = (
            (pairs + singles) * self.advance_mm
            for pairs, singles in zip(self.pairs, self.singles, strict=True)
        )
        return Length(planned, low, high, self.source)


def lay_out(request: EndRequest) -> Plaited:
    """Tape, rounds and their reach, all from the measured pitch.

    Raises:
        Refused: ``pitch_needed``.
    """
    rule, pitch = request.reference.rule, request.rope.pitch
    if pitch is None:
        raise Refused((_pitch_needed(request),))
    tape = rule("plaited.tape")
    return Plaited(
        tape_picks=int(tape.value),
        unlay_mm=tape.value * request.rope.pick_mm(pitch.mm),
        advance_mm=rule("plaited.round_advance").value * pitch.mm,
        pairs=_rounds(request, "pair"),
        singles=_rounds(request, "single"),
        source=tape.source,
    )


def say_guidance(request: EndRequest) -> None:
    """Nothing of this splice is published: said where nobody can miss it."""
    request.notices.add(
        "plaited_is_guidance",
        f"{request.pointer}/splice",
        source=request.reference.rule("plaited.tape").source,
    )


def figures(plaited: Plaited) -> Figures:
    """The splice as the plan prints it."""
    source = plaited.source
    pairs, fewest_pairs, most_pairs = plaited.pairs
    singles, fewest_singles, most_singles = plaited.singles
    return {
        "standing": "guidance_only",
        "unlay": Length(plaited.unlay_mm, source=source),
        "tuck_rounds": {
            "full": pairs,
            "tapered": singles,
            "source": source,
            "advised": {"from": fewest_pairs, "to": most_pairs, "source": source},
            "tapered_advised": {"from": fewest_singles, "to": most_singles, "source": source},
        },
        "advance": Length(plaited.advance_mm, source=source),
        "run": plaited.reach,
    }


def _rounds(request: EndRequest, kind: str) -> tuple[int, int, int]:
    rule = request.reference.rule(f"plaited.{kind}_rounds")
    low, high = rule.bounds
    return int(rule.value), int(low), int(high)


def _pitch_needed(request: EndRequest) -> Fault:
    count = COUNTED[request.rope.picks_per_pitch]
    return Fault(
        "/rope",
        "pitch_needed",
        "The pitch of this plait must be measured: every mark is counted from it, and none may be "
        "assumed.",
        hint=f"Count ten picks under hand tension, measure them, and give {count} tenths of that "
        "as rope.pitch.",
    )
