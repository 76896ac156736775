"""An end cut back and spliced again: how much shorter the assembly becomes."""

from tuckmark import spec
from tuckmark.compare import below
from tuckmark.families.base import RopeUse
from tuckmark.faults import Fault, Refused
from tuckmark.plan import Figures, Length, Lengths, uncertain
from tuckmark.ranges import added, scaled
from tuckmark.writing import LengthText


def plan_resplice(asked: spec.Resplice, use: RopeUse, whole: Lengths, write: LengthText) -> Figures:
    """The assembly after one end is cut back and the same splice is made there again.

    What is cut back is measured from the old bearing point along the assembly. The new splice
    takes its tail, eye and shortening out of what is left, and its eye reaches past the new
    throat again.

    Args:
        asked: which end, how much, and what length is still required.
        use: rope that the new splice takes.
        whole: the lengths before.
        write: writes the lengths in messages.

    Raises:
        Refused: ``resplice_without_splice``, ``resplice_of_guidance``, ``cut_inside_old_splice``,
            ``resplice_too_short``.
    """
    pointer = "/length/resplice"
    if use.eye is None:
        raise Refused((_no_splice(f"{pointer}/end", asked.end),))
    if (
        whole.finished is None or whole.shortest_workable is None
    ):  # a length is asked for, but a splice here is guidance only
        raise Refused((_guidance_only(pointer),))
    if not use.eye.bearing_known:
        raise Refused((_bearing_needed(asked.end),))
    inside_mm = use.eye.inside_length.mm
    old_splice_mm = inside_mm + (use.run_mm if use.rest_mm is None else use.rest_mm)
    if below(asked.cut_back_mm, old_splice_mm):
        raise Refused((_inside_old_splice(f"{pointer}/cut_back", asked, old_splice_mm, write),))
    taken_mm = use.tail_mm + use.eye_mm + use.interlock_mm - inside_mm
    shorter = uncertain(
        asked.cut_back_mm + taken_mm + use.shortening.mm,
        added(use.shortening.moved, scaled(use.eye.inside_length.moved, -1)),
    )
    finished_mm = whole.finished.mm - shorter.mm
    least_mm = whole.shortest_workable.mm
    if below(finished_mm, least_mm):
        raise Refused((_too_short(pointer, finished_mm, whole.finished, least_mm, write),))
    # what the old splices already leave uncertain, and what the new one adds to it
    effects = added(whole.finished.moved, scaled(shorter.moved, -1))
    finished = uncertain(finished_mm, effects)
    required = asked.required_mm
    verdict = None
    if required is not None:
        verdict = _verdict(finished, required)
    return {
        "end": asked.end,
        "cut_back": Length(asked.cut_back_mm),
        "shorter_by": shorter,
        "finished": finished,
        "required": None if required is None else Length(required),
        "verdict": verdict,
        "reasons": {} if verdict else {"verdict": "no required length is given"},
    }


def _verdict(finished: Length, required_mm: float) -> str:
    if below(finished.mm, required_mm):
        return "too_short"
    return "not_assured" if below(finished.bounds_mm[0], required_mm) else "long_enough"


def _bearing_needed(end: str) -> Fault:
    return Fault(
        "/length/resplice/end",
        "bearing_length_needed",
        f"What is cut back counts from the bearing point of end {end}, and where the load bears "
        "in its thimble is not given.",
        hint="Measure from the throat to where the load bears and give it as eye.bearing_length.",
    )


def _no_splice(pointer: str, end: str) -> Fault:
    return Fault(
        pointer,
        "resplice_without_splice",
        f"End {end} has no eye splice that could be made again.",
        hint="Name the end that is to be cut back, with the splice it gets.",
    )


def _guidance_only(pointer: str) -> Fault:
    return Fault(
        pointer,
        "resplice_of_guidance",
        "A splice of this rope is guidance only: no length may rest on it, so nothing can be said "
        "of what a new one would leave.",
        hint="Make the splice by the rope's own instruction and measure it.",
    )


def _inside_old_splice(
    pointer: str, asked: spec.Resplice, least_mm: float, write: LengthText
) -> Fault:
    return Fault(
        pointer,
        "cut_inside_old_splice",
        "This cut would lie inside the old splice: the old tail would be left in the body.",
        allowed=f"at least {write.write_up(least_mm)}",
        given=write.write(asked.cut_back_mm),
        hint="Cut past the old tail's tip, or draw the old tail out and give it as rope available.",
    )


def _too_short(
    pointer: str, left_mm: float, finished: Length, least_mm: float, write: LengthText
) -> Fault:
    return Fault(
        f"{pointer}/cut_back",
        "resplice_too_short",
        "After this cut the assembly is too short for its splices: "
        f"{write.write(max(left_mm, 0.0))} would be left.",
        allowed=f"at least {write.write_up(least_mm)} left",
        given=write.write(finished.mm),
        hint="Cut back less, or make a new assembly.",
    )
