"""Both ends and the body between them: finished length to cut length, and back."""

from collections.abc import Mapping
from dataclasses import dataclass

from tuckmark import spec
from tuckmark.families.base import RopeUse
from tuckmark.faults import Fault, Refused
from tuckmark.identify import Rope
from tuckmark.notices import Notices
from tuckmark.plan import Allowance, Length, Lengths, Mass, spread
from tuckmark.reference import Figure, Reference
from tuckmark.spec import EndName
from tuckmark.units import LengthText, decimal_text

_NO_LENGTH = "neither a finished length nor the rope available is given"


@dataclass(frozen=True, slots=True)
class BeddingIn:
    """Permanent lengthening of the body after the first setting load, as a share."""

    value: float
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Assembly:
    """The two ends and how the finished length between them is measured.

    Attributes:
        insets_mm: what each end adds to the throat-to-throat length, in the spec's ``between``.
    """

    uses: tuple[RopeUse, ...]
    insets_mm: float
    bedding_in: BeddingIn | None

    @property
    def ends_mm(self) -> float:
        """Rope used by the ends beyond the body: all but the body of the cut length."""
        return sum(
            use.tail_mm + use.eye_mm + use.interlock_mm + use.shortening.mm + use.end_allowance_mm
            for use in self.uses
        )

    def shortening(self) -> Length:
        """Of both ends together: one pitch for both, so that their ranges add."""
        return _sum([use.shortening for use in self.uses])

    def finished_mm(self, body_mm: float) -> float:
        """Finished length as spliced."""
        return body_mm + self.insets_mm

    def set_mm(self, body_mm: float, share: float) -> float:
        """Finished length after the body has bedded in by a share."""
        return body_mm * (1 + share) + self.insets_mm


def assembly_of(
    uses: Mapping[EndName, RopeUse],
    asked: spec.Spec,
    reference: Reference,
) -> Assembly:
    """The assembly as the spec wants its length measured.

    Raises:
        Refused: ``bearing_length_needed``, ``pin_needed``, ``bedding_in_needed``.
    """
    target = asked.length or spec.TargetLength()
    bedding_in = _bedding_in(asked.rope, reference)
    faults: list[Fault] = []
    if asked.length and target.state == "after_setting" and bedding_in is None:
        faults.append(
            Fault(
                "/rope",
                "bedding_in_needed",
                "A length after setting needs the rope's bedding-in, and no figure is known for "
                f"{asked.rope.fibre}.",
                allowed="0 to 0.2",
                hint="Give rope.bedding_in from the rope maker or a trial, or ask for the length "
                "as spliced.",
            )
        )
    insets_mm = 0.0
    for name, use in uses.items():
        fault = _measurable(use, target.between, asked.ends.pointer(name)) if asked.length else None
        if fault:
            faults.append(fault)
        else:
            insets_mm += _inset_mm(use, target.between)
    if faults:
        raise Refused(tuple(faults))
    return Assembly(tuple(uses.values()), insets_mm, bedding_in)


def plan_lengths(
    assembly: Assembly,
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
    target = asked.length
    least_body_mm = _least_body_mm(assembly, rope, reference)
    shortest = Length(_in_state(assembly, least_body_mm, target))
    if target is None:
        return _marks_only(shortest, asked.job.quantity)
    body_mm = _body_mm(assembly, target)
    if body_mm < least_body_mm - 1e-6:
        raise Refused((_too_short(assembly, target, least_body_mm, write),))
    cut_mm = body_mm + assembly.ends_mm
    _within_service_range(cut_mm, reference)
    as_spliced, after_setting = _finished(assembly, body_mm)
    finished = after_setting if target.state == "after_setting" else as_spliced
    if finished is None:
        raise ValueError("a state without its figures was let through")
    cut = _cut(assembly, body_mm, target)
    linear_density, density_reason = _linear_density(asked.rope, rope, reference, notices)
    reasons = {}
    if after_setting is None:
        reasons["after_setting"] = "no bedding-in is given or known for this fibre"
    if linear_density is None:
        reasons["mass"] = density_reason
    _judge_tolerance(target, finished, notices, write)
    return Lengths(
        between=target.between,
        state=target.state,
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
        mass=Mass(cut_mm / 1000 * linear_density.value, linear_density.source)
        if linear_density
        else None,
        quantity=asked.job.quantity,
        shortest_workable=shortest,
        low=Length(finished.bounds_mm[0]),
        high=Length(finished.bounds_mm[1]),
        as_spliced=as_spliced,
        after_setting=after_setting,
        reasons=reasons,
    )


def _marks_only(shortest: Length, quantity: int) -> Lengths:
    names = ("cut", "finished", "allowance", "mass", "range", "as_spliced", "after_setting")
    return Lengths(
        between="bearing_points",
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
        reasons=dict.fromkeys(names, _NO_LENGTH),
    )


def _measurable(use: RopeUse, between: str, pointer: str) -> Fault | None:
    if use.inside_length_mm is None:
        return None
    if between == "bearing_points" and not use.bearing_known:
        return Fault(
            f"{pointer}/eye",
            "bearing_length_needed",
            "The finished length counts from bearing points, but where the load bears in this "
            "thimble is not given.",
            hint="Measure from the throat to where the load bears and give it as "
            "eye.bearing_length, or set length.between to throats.",
        )
    if between == "pin_centres" and use.pin_diameter_mm is None:
        return Fault(
            f"{pointer}/eye",
            "pin_needed",
            "The finished length counts from pin centres, but this eye names no pin.",
            hint="Give the eye as form pin with its pin_diameter, or set length.between to "
            "bearing_points or throats.",
        )
    return None


def _inset_mm(use: RopeUse, between: str) -> float:
    if between == "throats" or use.inside_length_mm is None:
        return 0.0
    if between == "pin_centres":
        return use.inside_length_mm - (use.pin_diameter_mm or 0.0) / 2
    return use.inside_length_mm


def _bedding_in(rope: spec.Rope, reference: Reference) -> BeddingIn | None:
    if rope.bedding_in is not None:
        return BeddingIn(rope.bedding_in, rope.bedding_in, rope.bedding_in, "given_in_spec")
    known = reference.bedding_in(rope.fibre)
    if known is None:
        return None
    return BeddingIn(known.value, *known.bounds, known.source)


def _body_mm(assembly: Assembly, target: spec.TargetLength) -> float:
    """The body as spliced, throat to throat."""
    if target.available_mm is not None:
        return target.available_mm - assembly.ends_mm
    body_mm = (target.finished_mm or 0.0) - assembly.insets_mm
    if target.state == "after_setting" and assembly.bedding_in:
        return body_mm / (1 + assembly.bedding_in.value)
    return body_mm


def _least_body_mm(assembly: Assembly, rope: Rope, reference: Reference) -> float:
    """Runs to where the tools come out; between two splices clear rope as well."""
    runs = [use.run_mm for use in assembly.uses if use.run_mm > 0]
    clear_d = reference.rule("splices.clear_rope").value if len(runs) > 1 else 0.0
    return sum(runs) + clear_d * rope.diameter_mm


def _in_state(assembly: Assembly, body_mm: float, target: spec.TargetLength | None) -> float:
    if target and target.state == "after_setting" and assembly.bedding_in:
        return assembly.set_mm(body_mm, assembly.bedding_in.value)
    return assembly.finished_mm(body_mm)


def _too_short(
    assembly: Assembly, target: spec.TargetLength, least_body_mm: float, write: LengthText
) -> Fault:
    if target.available_mm is not None:
        least = write.write_up(least_body_mm + assembly.ends_mm)
        return Fault(
            "/length/available",
            "rope_too_short",
            f"There is not rope enough for these splices: their buries would meet. At least "
            f"{least} is needed.",
            allowed=f"at least {least}",
            given=write.write(target.available_mm),
            hint="Take a longer rope, or leave one end plain.",
        )
    least = write.write_up(_in_state(assembly, least_body_mm, target))
    return Fault(
        "/length/finished",
        "buries_meet",
        "The finished length is too short for these splices: the buries would meet in the body.",
        allowed=f"at least {least}",
        given=write.write(target.finished_mm or 0.0),
        hint=f"Ask for at least {least}, or leave one end plain.",
    )


def _finished(assembly: Assembly, body_mm: float) -> tuple[Length, Length | None]:
    """Both states of the rope as it was cut, with the range the assumptions leave.

    Cut to one length, every millimetre more of shortening is a millimetre less of body.
    """
    shortening = assembly.shortening()
    bodies = [body_mm - (edge_mm - shortening.mm) for edge_mm in shortening.bounds_mm]
    as_spliced = spread(
        assembly.finished_mm(body_mm), [assembly.finished_mm(body) for body in bodies]
    )
    bedding = assembly.bedding_in
    if bedding is None:
        return as_spliced, None
    after = spread(
        assembly.set_mm(body_mm, bedding.value),
        [assembly.set_mm(body, share) for body in bodies for share in (bedding.low, bedding.high)],
        bedding.source,
    )
    return as_spliced, after


def _cut(assembly: Assembly, body_mm: float, target: spec.TargetLength) -> Length:
    """The rope to cut for the finished length; what is available has no range."""
    cut_mm = body_mm + assembly.ends_mm
    if target.available_mm is not None:
        return Length(cut_mm)
    shortening = assembly.shortening()
    edges = [edge_mm - shortening.mm for edge_mm in shortening.bounds_mm]
    if target.state == "after_setting" and assembly.bedding_in:
        body_set_mm = body_mm * (1 + assembly.bedding_in.value)
        bodies = [
            body_set_mm / (1 + share) - body_mm
            for share in (assembly.bedding_in.low, assembly.bedding_in.high)
        ]
    else:
        bodies = [0.0]
    return spread(cut_mm, [cut_mm + edge + body for edge in edges for body in bodies])


def _sum(lengths: list[Length]) -> Length:
    lows, highs = zip(*(length.bounds_mm for length in lengths), strict=True)
    return spread(sum(length.mm for length in lengths), [sum(lows), sum(highs)])


def _linear_density(
    asked: spec.Rope, rope: Rope, reference: Reference, notices: Notices
) -> tuple[Figure | None, str]:
    """Mass of a metre in kg/m: as given, else by the table; a given one is held against it."""
    known = reference.linear_density_coefficient(asked.fibre)
    table = None
    if known is not None:
        table = Figure(
            known.value * rope.diameter_mm**2 / 1000, "kg/m", known.source, known.confidence
        )
    if asked.linear_density_kg_per_m is None:
        if table is None:
            return None, "no linear density is given, and none is known for this fibre"
        notices.assume(f"linear density {decimal_text(table.value, 3)} kg/m", table.source)
        return table, ""
    given = asked.linear_density_kg_per_m
    limit = reference.rule("linear_density.disagreement")
    if table is not None and abs(given / table.value - 1) > limit.value:
        notices.add(
            "linear_density_unlikely",
            "/rope/linear_density",
            value=f"{decimal_text(given, 3)} kg/m",
            limit=f"{decimal_text(table.value, 3)} kg/m",
            source=table.source,
            percent=decimal_text(abs(given / table.value - 1) * 100, 0),
        )
    return Figure(given, "kg/m", "given_in_spec", "A"), ""


def _judge_tolerance(
    target: spec.TargetLength, finished: Length, notices: Notices, write: LengthText
) -> None:
    low_mm, high_mm = finished.bounds_mm
    miss_mm = max(high_mm - finished.mm, finished.mm - low_mm)
    if target.tolerance_mm is not None and miss_mm > target.tolerance_mm:
        notices.add(
            "tolerance_not_assured",
            "/length/tolerance",
            value=Length(miss_mm),
            limit=Length(target.tolerance_mm),
            low=write.write(low_mm),
            high=write.write(high_mm),
        )


def _within_service_range(cut_mm: float, reference: Reference) -> None:
    most = reference.rule("length.most")
    if cut_mm > most.value:
        raise Refused(
            (
                Fault(
                    "/length",
                    "length_outside_range",
                    f"This needs {cut_mm / 1000:.0f} m of rope in one piece.",
                    allowed=f"at most {most.value / 1000:g} m",
                    hint="Check the units of the lengths.",
                ),
            )
        )
