"""Finished length to cut length, and back; both states, their ranges, mass."""

from tuckmark import spec
from tuckmark.compare import above, below
from tuckmark.faults import Fault, Refused
from tuckmark.identify import Rope, load_bearing_fibre
from tuckmark.lengths.assembly import Assembly, Target
from tuckmark.notices import Notices
from tuckmark.plan import GIVEN, Allowance, Length, Lengths, Mass, uncertain
from tuckmark.ranges import added, scaled
from tuckmark.reference import Figure, Reference
from tuckmark.writing import LengthText, decimal_text

#: a length that meets the least one as it is printed meets it
_HALF_PRINTED_STEP_MM = 0.05
_NO_LENGTH = "neither a finished length nor the rope available is given"
_GUIDANCE = (
    "a splice here is guidance only: no length is reckoned from it; measure a trial splice made "
    "by the rope's own instruction"
)


def plan_lengths(
    assembly: Assembly,
    target: Target | None,
    rope: Rope,
    asked: spec.Spec,
    reference: Reference,
    notices: Notices,
    write: LengthText,
) -> Lengths:
    """Every length of the whole assembly.

    Raises:
        Refused: ``buries_meet`` or ``rope_too_short``, with the least that works;
            ``length_outside_range``.
    """
    state = target.state if target else "as_spliced"
    shortest = Length(
        assembly.finished_mm(assembly.least_body_mm, assembly.set_by(state)),
        source=reference.statement("bury.two_on_one_rope").source,
    )
    if target and not _room_enough(assembly, target):
        raise Refused((_too_short(assembly, target, shortest, write),))
    if not all(use.reckoned for use in assembly.uses):
        return _marks_only(assembly.between, None, asked.job.quantity, _GUIDANCE)
    if target is None:
        return _marks_only(assembly.between, shortest, asked.job.quantity, _NO_LENGTH)
    body_mm = assembly.body_mm(target)
    cut = _cut(assembly, body_mm, target)
    _within_service_range(cut.mm, asked.job.quantity, target, reference)
    as_spliced, after_setting = _finished(assembly, body_mm)
    _say_bedding_in(assembly, notices)
    finished = after_setting if after_setting and state == "after_setting" else as_spliced
    linear_density, density_reason = _linear_density(asked.rope, rope, reference, notices)
    reasons = {}
    if after_setting is None:
        reasons["after_setting"] = "no bedding-in is given, and none is known for this rope"
    if linear_density is None:
        reasons["mass"] = density_reason
    low_mm, high_mm = finished.bounds_mm
    return Lengths(
        between=target.between,
        state=state,
        cut=cut,
        finished=finished,
        allowance_mm=Allowance(
            eyes=sum(use.eye_mm for use in assembly.uses),
            tails=sum(use.tail_mm for use in assembly.uses),
            body=body_mm,
            shortening=assembly.shortening().mm,
            interlock=sum(use.interlock_mm for use in assembly.uses),
            ends=sum(use.end_allowance_mm for use in assembly.uses),
        ),
        mass=Mass(cut.mm / 1000 * linear_density.value, linear_density.source)
        if linear_density
        else None,
        quantity=asked.job.quantity,
        shortest_workable=shortest,
        low=Length(low_mm),
        high=Length(high_mm),
        as_spliced=as_spliced,
        after_setting=after_setting,
        reasons=reasons,
    )


def _room_enough(assembly: Assembly, target: Target) -> bool:
    least_mm = assembly.least_body_mm - _HALF_PRINTED_STEP_MM
    return not below(assembly.body_mm(target), least_mm)


def _marks_only(between: str, shortest: Length | None, quantity: int, why: str) -> Lengths:
    names = ["cut", "finished", "allowance", "mass", "range", "as_spliced", "after_setting"]
    if shortest is None:
        names.append("shortest_workable")
    return Lengths(
        between=between,
        state="as_spliced",
        cut=None,
        finished=None,
        allowance_mm=None,
        mass=None,
        quantity=quantity,
        shortest_workable=shortest,
        low=None,
        high=None,
        as_spliced=None,
        after_setting=None,
        reasons=dict.fromkeys(names, why),
    )


def _finished(assembly: Assembly, body_mm: float) -> tuple[Length, Length | None]:
    """Both states of the rope as it was cut and marked, with the range that its facts leave.

    Cut to one length, every millimetre more of shortening is a millimetre less of body.
    """
    body = scaled(assembly.shortening().moved, -1)
    insets = assembly.insets.moved
    as_spliced = uncertain(assembly.finished_mm(body_mm), added(body, insets))
    bedding = assembly.bedding_in
    if bedding is None:
        return as_spliced, None
    effects = added(scaled(body, 1 + bedding.value), insets, {"bedding_in": bedding.moves(body_mm)})
    after = uncertain(assembly.finished_mm(body_mm, bedding.value), effects, bedding.source)
    return as_spliced, after


def _say_bedding_in(assembly: Assembly, notices: Notices) -> None:
    bedding = assembly.bedding_in
    if bedding is not None and bedding.source != GIVEN:
        value, low, high = (share * 100 for share in (bedding.value, bedding.low, bedding.high))
        notices.assume(f"bedding-in {value:g} % ({low:g} to {high:g} %)", bedding.source)


def _cut(assembly: Assembly, body_mm: float, target: Target) -> Length:
    """The rope to cut, with what it should have been had the facts been known.

    What is available has no range.
    """
    cut_mm = body_mm + assembly.ends_mm
    if target.available_mm is not None:
        return Length(cut_mm)
    set_by = assembly.set_by(target.state)
    effects = added(assembly.shortening().moved, scaled(assembly.insets.moved, -1 / (1 + set_by)))
    bedding = assembly.bedding_in
    if target.state == "after_setting" and bedding:
        set_mm = body_mm * (1 + set_by)
        at_low, at_high = (set_mm / (1 + edge) - body_mm for edge in (bedding.low, bedding.high))
        effects = added(effects, {"bedding_in": (at_low, at_high)})
    return uncertain(cut_mm, effects)


def _too_short(assembly: Assembly, target: Target, shortest: Length, write: LengthText) -> Fault:
    if target.available_mm is not None:
        least = write.write_up(assembly.least_body_mm + assembly.ends_mm)
        return Fault(
            target.available_at,
            "rope_too_short",
            "There is not rope enough for these splices: they would meet in the body. At least "
            f"{least} is needed.",
            allowed=f"at least {least}",
            given=write.write(target.available_mm),
            hint="Take a longer rope, or a splice that uses less.",
        )
    least = write.write_up(target.as_given(shortest).mm)
    return Fault(
        target.finished_at,
        "buries_meet",
        "The finished length is too short for these splices: they would meet in the body.",
        allowed=f"at least {least}",
        given=write.write(target.as_given(Length(target.wanted_mm)).mm),
        hint=f"Ask for at least {least}, or choose a splice that uses less.",
    )


def _linear_density(
    asked: spec.Rope, rope: Rope, reference: Reference, notices: Notices
) -> tuple[Figure | None, str]:
    """Mass of a metre in kg/m: as given, else by the table; a given one is held against it."""
    one_fibre = load_bearing_fibre(asked) == asked.fibre  # the table is of rope of one fibre
    known = reference.linear_density_coefficient(asked.fibre) if one_fibre else None
    table = None
    if known is not None:
        table = Figure(
            known.value * rope.diameter_mm**2 / 1000, "kg/m", known.source, known.confidence
        )
    if asked.linear_density_kg_per_m is None:
        if table is None:
            return None, "no linear density is given, and none is known for rope of this fibre"
        notices.assume(f"linear density {decimal_text(table.value, 3)} kg/m", table.source)
        return table, ""
    given = asked.linear_density_kg_per_m
    limit = reference.rule("linear_density.disagreement")
    if table is not None and above(abs(given / table.value - 1), limit.value):
        notices.add(
            "linear_density_unlikely",
            "/rope/linear_density",
            value=f"{decimal_text(given, 3)} kg/m",
            limit=f"{decimal_text(table.value, 3)} kg/m",
            source=table.source,
            percent=decimal_text(abs(given / table.value - 1) * 100, 0),
        )
    return Figure(given, "kg/m", GIVEN, "A"), ""


def _within_service_range(
    cut_mm: float, quantity: int, target: Target, reference: Reference
) -> None:
    one, all_together = reference.rule("length.most"), reference.rule("length.most_of_order")
    at = target.finished_at if target.available_mm is None else target.available_at
    for pointer, mm, most, what in (
        (at, cut_mm, one, "in one piece"),
        ("/job/quantity", cut_mm * quantity, all_together, "for all of them"),
    ):
        if above(mm, most.value):
            raise Refused(
                (
                    Fault(
                        pointer,
                        "length_outside_range",
                        f"This needs {mm / 1000:.0f} m of rope {what}.",
                        allowed=f"at most {most.value / 1000:.0f} m",
                        hint="Check the units of the lengths.",
                    ),
                )
            )
