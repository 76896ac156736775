"""What comes out at the bench when a plan's instructions are kept and the rope differs.

The instructions are what the splicer works by: the rope cut, the throats marked, the picks
counted. Everything else follows from the rope in hand. Written from the definitions of the
lengths, beside the planner and without it; the braid and the eye on its pin are those of
``tuckmark.mechanics``, which have tests of their own.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from tuckmark.mechanics.braid import opened_braid
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.mechanics.eye import pin_eye_of_perimeter
from tuckmark.plan import Plan

#: pairs cut at these picks from the tip (common practice, no source), and strands on each side
TAPER_PICKS = (0, 3, 5, 8, 10, 13)
STRANDS = (2, 4, 6, 8, 10, 12)
PICKS_A_TURN = 6
LOCK_PICKS = 4
INTERLOCK_D = 3
#: past this sine the braid's equation has no solution: rope like that cannot be
STEEPEST = 0.8


@dataclass(frozen=True)
class Facts:
    """The rope in hand."""

    diameter_mm: float
    pitch_mm: float
    lock_allowance_d: float
    bedding_in: float


@dataclass(frozen=True)
class Outcome:
    """What is measured when the work is done."""

    shortening_mm: float
    as_spliced_mm: float
    after_setting_mm: float


@dataclass(frozen=True)
class Splice:
    """One tail as it was marked."""

    kind: str
    bury_mm: float
    between_throats_mm: float
    eye: dict[str, Any] | None
    trial_shortening: float | None

    def lost_mm(self, rope: Facts) -> float:
        """Length that the body loses over the tail."""
        buried_mm = self.bury_mm - self._lock_mm(rope)
        if self.trial_shortening is not None:
            return self.trial_shortening * buried_mm
        cuts_mm = [picks * rope.pitch_mm / PICKS_A_TURN for picks in TAPER_PICKS]
        if cuts_mm[-1] > buried_mm:  # so coarse a braid: its taper is laid out over the whole tail
            cuts_mm = [mm * buried_mm / cuts_mm[-1] for mm in cuts_mm]
        lost_mm = 0.0
        for (tip_mm, throat_mm), strands in zip(
            pairwise([*cuts_mm, buried_mm]), STRANDS, strict=True
        ):
            braid = opened_braid(
                rope.diameter_mm, rope.pitch_mm, strands, STRANDS[-1], jammed_sine=STEEPEST
            )
            lost_mm += (throat_mm - tip_mm) * braid.shortening / (1 - braid.shortening)
        return lost_mm

    def inside_length_mm(self, rope: Facts) -> float:
        """Throat to bearing point of the eye between the throat marks."""
        if self.eye is None:
            return 0.0
        interlock_d = INTERLOCK_D if self.kind == "interlocked_eye" else 0
        perimeter_mm = self.between_throats_mm - interlock_d * rope.diameter_mm
        if self.eye["form"] == "pin":
            pin_mm = float(self.eye["pin_diameter"].removesuffix(" mm"))
            return pin_eye_of_perimeter(pin_mm, rope.diameter_mm, perimeter_mm).inside_length_mm
        return (perimeter_mm - math.pi * rope.diameter_mm / 2) / 2

    def _lock_mm(self, rope: Facts) -> float:
        if self.kind != "locked_bury_eye":
            return 0.0
        picks_mm = LOCK_PICKS * rope.pitch_mm / PICKS_A_TURN
        return picks_mm + rope.lock_allowance_d * rope.diameter_mm


def maker(spec: dict[str, Any], plan: Plan) -> Callable[[Facts], Outcome | None]:
    """Makes the assembly again and again by one plan, each time in the rope it is given.

    None comes of rope whose braid would jam.
    """
    splices = _splices(spec, plan)
    assert plan.lengths.cut is not None
    cut_mm = plan.lengths.cut.mm
    used_mm = sum(splice.bury_mm + splice.between_throats_mm for splice in splices)

    def make(rope: Facts) -> Outcome | None:
        try:
            lost_mm = [splice.lost_mm(rope) for splice in splices]
        except InfeasibleError:
            return None
        body_mm = cut_mm - used_mm - sum(lost_mm)
        eyes_mm = sum(splice.inside_length_mm(rope) for splice in splices)
        return Outcome(lost_mm[0], body_mm + eyes_mm, body_mm * (1 + rope.bedding_in) + eyes_mm)

    return make


def _splices(spec: dict[str, Any], plan: Plan) -> list[Splice]:
    at_mm = {mark.id: mark.distance.mm for mark in plan.marks}
    trial = spec["rope"].get("bury_shortening")
    made = []
    ends = spec["ends"] if "ends" in spec else {"a": spec["join"], "b": spec["join"]}
    for name, end in ends.items():
        if end["splice"] == "plain":
            continue
        bury_mm = at_mm[f"{name}.tail_throat"]
        throats_mm = at_mm.get(f"{name}.body_throat", bury_mm) - bury_mm
        made.append(Splice(end["splice"], bury_mm, throats_mm, end.get("eye"), trial))
    return made
