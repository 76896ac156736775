"""Two tails each buried in the other's body: a join of two ropes, or one rope closed to a loop.

End a and end b are the two ends that meet: of the first and the second rope, or
both of the one rope of a loop.
"""

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.families import bury_steps
from tuckmark.families.base import EndRequest, JoinRequest, JoinResult, RopeUse
from tuckmark.families.bury import (
    Buried,
    lay_out,
    measured_pitch,
    say_customary,
    taper_figures,
)
from tuckmark.families.bury_length import bury_source
from tuckmark.families.bury_rules import compare_taper, judge_bury, spare_mm
from tuckmark.families.eyes import throat_tolerances
from tuckmark.families.holding import hold_figures
from tuckmark.families.marking import KINDS, Kind, lay_marks
from tuckmark.families.rope_room import refuse_short_ropes
from tuckmark.plan import GIVEN, Mark, Step, Tool
from tuckmark.spec import EndName

_KINDS: Final[dict[str, Kind]] = KINDS | {
    "tail_throat": Kind("throat", "ring", "where this rope's tail begins; both throats meet here"),
    "bury_entry": Kind("bury entry", "ring", "where the other tail goes into the centre"),
    "tip_rest": Kind("tip rest", "dot", "where the other tail's tip lies when all is smooth"),
    "tail_exit": Kind("tool exit", "dot", "where the tool, and the other tail behind it, come out"),
}
_OTHER: Final[dict[EndName, EndName]] = {"a": "b", "b": "a"}


class _Tail(Struct, frozen=True):
    request: EndRequest
    buried: Buried
    marks: tuple[Mark, ...]


def plan_bury_join(request: JoinRequest, *, closed: bool) -> JoinResult:
    """Plan a join or loop of two buried tails.

    Args:
        closed: True for a loop of one rope.

    Raises:
        Refused: no such bury or taper can exist; a rope is too short for its part.
    """
    stitched = request.join.stitching != "none"
    side = request.side("a")
    buried = lay_out(side, 0.0, measured_pitch(side), None)  # both tails lie alike
    first, second = (_tail(request, name, buried, stitched=stitched) for name in ("a", "b"))
    layout = first.buried.nominal
    judge_bury(first.request, bury_mm=layout.bury_mm, buried_mm=layout.buried_mm, locked=False)
    say_customary(first.request, first.buried, locked=False)
    compare_taper(first.request, layout)
    if not stitched:
        request.notices.add(
            "straight_bury_unstitched",
            f"{request.pointer}/stitching",
            source=request.reference.rule("stitch.length").source,
        )
    run_mm = layout.positions_mm["tail_exit"] - layout.positions_mm["tail_throat"]
    shortening = first.buried.figure(
        lambda laid: laid.shortening_mm,
        "derived_braid_geometry" if request.rope.bury_shortening is None else GIVEN,
    )
    clear_mm = request.reference.rule("splices.clear_rope").value * request.rope.diameter_mm
    resting_mm = 2 * (layout.buried_mm + layout.shortening_mm) + clear_mm
    use = RopeUse(tail_mm=layout.bury_mm, shortening=shortening, run_mm=run_mm)
    refuse_short_ropes(request, use)
    return JoinResult(
        uses=(use, use),
        figures={
            "bury": first.buried.figure(
                lambda laid: laid.bury_mm, bury_source(first.request, locked=False)
            ),
            "buried": first.buried.figure(lambda laid: laid.buried_mm),
            "taper": taper_figures(first.request, first.buried),
            "hold": hold_figures(first.request, 0.0, first.buried),
            "shortening": shortening,
        },
        # a loop's tails go in one after the other, so only their resting tips must keep clear
        least_body_mm=resting_mm if closed else 2 * run_mm,
        strength_of="one leg of the loop" if closed else "the joined rope",
        closed=closed,
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        marks=(*first.marks, *second.marks),
        steps=_steps(first, second, closed=closed, stitched=stitched),
        tools=_tools(first, stitched=stitched),
    )


def _tail(request: JoinRequest, name: EndName, buried: Buried, *, stitched: bool) -> _Tail:
    tail = request.side(name)
    stitched_from = "tail_throat" if stitched else None
    marks = lay_marks(
        tail,
        buried,
        stitched_from,
        _KINDS,
        without=("body_throat",),
        tolerances=throat_tolerances(spare_mm(tail, buried.nominal, locked=False), None),
    )
    return _Tail(tail, buried, marks)


def _steps(first: _Tail, second: _Tail, *, closed: bool, stitched: bool) -> tuple[Step, ...]:
    named = (
        "End a and end b are the two ends of the one rope."
        if closed
        else "End a is an end of the first rope, end b of the second: these two meet."
    )
    steps = [Step("mark", "prepare", named)]
    for tail in (first, second):
        steps += bury_steps.marking_steps(tail.request, tail.marks)
    a_id, b_id = first.request.mark_id, second.request.mark_id
    steps.append(
        Step(
            "splice",
            "pass",
            "Lay the two ends against each other, tails pointing opposite ways, so that the "
            "throat rings meet. Look that no turn is left in either.",
            None,
            (a_id("tail_throat"), b_id("tail_throat")),
        )
    )
    steps += _bury_steps(first, second)
    if closed:
        steps.append(
            Step(
                "splice",
                "smooth",
                "Go on smoothing the body of end b over the tail of end a, from the throats "
                "outward, until the tip slips inside and you feel it at the tip rest of end b. "
                "Only then is there room for the other tail.",
                "b",
                (b_id("tip_rest"),),
            )
        )
    steps += _bury_steps(second, first)
    steps.append(
        Step(
            "splice",
            "smooth",
            "Hold the throats together and go on smoothing each body over the tail inside it, "
            "from the throats outward, again and again, until each tip slips inside and you feel "
            "it at its tip rest. The throat rings touch.",
            None,
            (a_id("tip_rest"), b_id("tip_rest")),
        )
    )
    if stitched:
        for tail in (first, second):
            steps += bury_steps.stitching_steps(tail.request)
    return tuple(steps)


def _bury_steps(tail: _Tail, other: _Tail) -> tuple[Step, ...]:
    return (
        *bury_steps.passing_steps(tail.request, other.request),
        bury_steps.taper_step(tail.request, tail.marks, other.request),
    )


def _tools(first: _Tail, *, stitched: bool) -> tuple[Tool, ...]:
    throats = 2 if stitched else 0
    found = bury_steps.tools(first.request, first.buried, stitched_throats=throats)
    return tuple(replace(tool, end=None) for tool in found)
