"""The eye of an end: from what is known of it to its geometry, judged by the published rules."""

import math
from collections.abc import Mapping

from tuckmark import spec, wide_tolerance
from tuckmark.compare import above, below
from tuckmark.families.base import EndRequest, EyeUse
from tuckmark.faults import Fault, Refused
from tuckmark.mechanics import eye as geometry
from tuckmark.mechanics.bend import eye_on_pin_efficiency
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.plan import Angle, Figures, Length, Miss, Tolerance, uncertain

_MENDED_BY = {
    "pin": "Make the eye longer, or the pin smaller.",
    "thimble": "Check bearing_length: it runs from the throat to where the load bears.",
    "flat": "Make the eye longer; check its unit.",
    "perimeter": "Make the eye longer; check its unit and the line it was taken on.",
}
_UNKNOWN_PIN = "no pin is given, so the eye is reckoned laid flat"
_CLOSED_RING = "an eye round a thimble is a closed ring without a throat angle"


def eye_of(request: EndRequest) -> geometry.EyeGeometry:
    """The geometry of the eye that the spec asks for, with its warnings said.

    Raises:
        Refused: ``eye_shorter_than_pin``, ``eye_perimeter_too_short``, ``eye_angle_too_wide``.
    """
    eye = request.eye
    diameter_mm = request.rope.diameter_mm
    try:
        shape = _geometry(eye, diameter_mm)
    except InfeasibleError as error:
        raise request.refuse(
            error,
            "/eye",
            _long_enough(request, eye, error),
            _MENDED_BY[eye.form],
        ) from error
    if eye.inside_length is not None:
        at = f"{request.pointer}/eye/inside_length"
        given = eye.inside_length
        wide_tolerance.judge(given.tolerance_mm, given.mm, at, request.reference, request.notices)
    _judge_angle(request, eye, shape)
    _judge_pin(request, eye, shape)
    return shape


def described(eye: spec.Eye, shape: geometry.EyeGeometry) -> Figures:
    """The eye as the plan prints it; what has no meaning for its form is None, with the reason."""
    half_angle_rad = shape.half_angle_rad
    ring = half_angle_rad is None
    reasons: dict[str, str] = {}
    if ring:
        reasons |= {"included_angle": _CLOSED_RING, "leg_load_share": _CLOSED_RING}
    if shape.pin_ratio is None:
        reasons["pin_ratio"] = _CLOSED_RING if ring else _UNKNOWN_PIN
    captive: Figures = {"captive": eye.captive} if eye.captive is not None else {}
    return {
        "form": eye.form,
        "perimeter": Length(shape.perimeter_mm),
        "inside_perimeter": Length(shape.inside_perimeter_mm),
        "inside_length": Length(shape.inside_length_mm),
        "included_angle": None if half_angle_rad is None else Angle(_included_deg(half_angle_rad)),
        "leg_load_share": None
        if half_angle_rad is None
        else geometry.leg_load_share(half_angle_rad),
        "pin_ratio": shape.pin_ratio,
        "reasons": reasons,
        "source": "ashley_2728" if ring else "derived_eye_geometry",
        **captive,
    }


def use_of(request: EndRequest, shape: geometry.EyeGeometry, interlock_mm: float = 0.0) -> EyeUse:
    """The eye as the total length needs it.

    The throats are marked for the nominal rope; a thicker rope makes a shorter eye of the same
    marks.

    Args:
        interlock_mm: rope between the marks that the nominal rope's interlock takes up; it grows
            with the rope.
    """
    nominal_mm = shape.inside_length_mm
    diameter = request.rope.diameter

    def moved_by(edge_mm: float) -> float:
        grown_mm = interlock_mm * (edge_mm / diameter.mm - 1)
        return _inside_length_mm(request.eye, shape, grown_mm, edge_mm) - nominal_mm

    moved = tuple(moved_by(edge_mm) for edge_mm in diameter.bounds_mm)
    return EyeUse(
        perimeter_mm=shape.perimeter_mm,
        inside_length=uncertain(nominal_mm, {"diameter": (moved[0], moved[1])}),
        bearing_known=bearing_known(request.eye),
        pin_diameter_mm=pin_diameter_mm(request.eye),
    )


def _inside_length_mm(
    eye: spec.Eye, marked: geometry.EyeGeometry, grown_mm: float, diameter_mm: float
) -> float:
    """Inside length that rope of another diameter gives between the same throat marks."""
    perimeter_mm = marked.perimeter_mm - grown_mm
    try:
        match eye:
            case spec.Eye(form="thimble"):
                return marked.inside_length_mm
            case spec.Eye(form="pin", pin_diameter_mm=float(pin_mm)):
                made = geometry.pin_eye_of_perimeter(pin_mm, diameter_mm, perimeter_mm)
            case _:
                made = geometry.flat_eye_of_perimeter(
                    perimeter_mm, diameter_mm, measured="centre_line"
                )
    except InfeasibleError:
        return 0.0  # rope this thick closes the eye altogether
    return made.inside_length_mm


def spare_mm(request: EndRequest, shape: geometry.EyeGeometry) -> float | None:
    """How much less rope may lie in the eye before a rule warns or stops that does not now.

    None for a closed ring, whose length the thimble sets, and where every rule is broken already.
    """
    if shape.half_angle_rad is None:
        return None
    diameter_mm, rule = request.rope.diameter_mm, request.reference.rule
    pin_mm = pin_diameter_mm(request.eye)
    least_inside_mm = [(rule("pin.least").value + 1 / 2) * diameter_mm]
    if pin_mm is not None:
        angles = (rule(f"eye.included_angle.{name}").value for name in ("rule", "most"))
        least_inside_mm += (
            geometry.pin_eye_inside_length_mm(pin_mm, diameter_mm, math.radians(deg / 2))
            for deg in angles
        )
    kept = [mm for mm in least_inside_mm if not below(shape.inside_length_mm, mm)]
    if not kept:
        return None
    least = _of_inside_length(max(kept), diameter_mm, pin_mm)
    return max(0.0, shape.perimeter_mm - least.perimeter_mm)


def throat_tolerances(
    tail_spare_mm: float | None, eye_spare_mm: float | None
) -> Mapping[str, Tolerance]:
    """What the rules let the two throat marks be off.

    Args:
        tail_spare_mm: how much shorter the tail may be; None where no rule limits it.
        eye_spare_mm: how much less rope may lie between the throats; None likewise.
    """
    tail = None if tail_spare_mm is None else Miss(tail_spare_mm, "bury_rule")
    eye = None if eye_spare_mm is None else Miss(eye_spare_mm, "eye_rule")
    found = {"tail_throat": Tolerance(tail, eye), "body_throat": Tolerance(eye)}
    return {name: limit for name, limit in found.items() if limit.either_way}


def _of_inside_length(
    inside_length_mm: float, diameter_mm: float, pin_mm: float | None
) -> geometry.EyeGeometry:
    if pin_mm is None:
        return geometry.flat_eye(inside_length_mm, diameter_mm)
    return geometry.pin_eye(pin_mm, diameter_mm, inside_length_mm)


def bend_efficiency(request: EndRequest, shape: geometry.EyeGeometry) -> float | None:
    """The eye on its pin as a share of the body's strength; None where no pin is given."""
    if shape.pin_ratio is None or shape.half_angle_rad is None:
        return None
    coefficient = request.reference.rule("strength.bend_coefficient").value
    return eye_on_pin_efficiency(shape.pin_ratio, shape.half_angle_rad, coefficient)


def pin_diameter_mm(eye: spec.Eye) -> float | None:
    """The pin the eye goes on, where the spec names one."""
    return eye.pin_diameter_mm if eye.form == "pin" else None


def bearing_known(eye: spec.Eye) -> bool:
    """Whether it is known where the load bears: of a thimble only if the spec says so."""
    return eye.form != "thimble" or eye.bearing_length_mm is not None


def _geometry(eye: spec.Eye, diameter_mm: float) -> geometry.EyeGeometry:
    match eye:
        case spec.Eye(form="perimeter", perimeter_mm=float(mm), perimeter_of=str(line)):
            return geometry.flat_eye_of_perimeter(mm, diameter_mm, measured=line)
        case spec.Eye(form="flat", inside_length=spec.Measured(mm)):
            return geometry.flat_eye(mm, diameter_mm)
        case spec.Eye(form="pin", pin_diameter_mm=float(pin), inside_length=spec.Measured(mm)):
            return geometry.pin_eye(pin, diameter_mm, mm)
        case spec.Eye(form="pin", pin_diameter_mm=float(pin), length_ratio=float(ratio)):
            return geometry.pin_eye(pin, diameter_mm, ratio * pin)
        case spec.Eye(form="thimble", score_diameter_mm=float(mm)):
            return geometry.round_thimble_eye(mm, diameter_mm, eye.bearing_length_mm)
        case spec.Eye(seat_perimeter_mm=float(mm), bearing_length_mm=float(bearing)):
            return geometry.seat_thimble_eye(mm, diameter_mm, bearing)
    raise ValueError("the schema lets no other combination pass")


def _judge_angle(request: EndRequest, eye: spec.Eye, shape: geometry.EyeGeometry) -> None:
    rule = request.reference.rule("eye.included_angle.rule")
    most = request.reference.rule("eye.included_angle.most")
    pin_mm = pin_diameter_mm(eye)
    if pin_mm is None or shape.half_angle_rad is None:
        return  # the legs of an eye laid flat run side by side, and a ring has none
    angle_deg = _included_deg(shape.half_angle_rad)
    pointer = f"{request.pointer}/eye"
    if above(angle_deg, most.value):
        raise Refused(
            (
                Fault(
                    pointer,
                    "eye_angle_too_wide",
                    f"The legs of the eye would meet at {angle_deg:.1f} degrees on this pin; past "
                    f"{most.value:g} degrees the load in each leg can no longer be reckoned.",
                    allowed=_lengths_by_angle(request, pin_mm),
                    hint="Make the eye longer: three to five pin diameters inside.",
                ),
            )
        )
    if above(angle_deg, rule.value):
        sling = request.use.duty == "lifting_sling"
        request.notices.add(
            "sling_eye_angle_wide" if sling else "eye_angle_wide",
            pointer,
            value=Angle(angle_deg),
            limit=Angle(rule.value),
            source=rule.source,
        )


def _included_deg(half_angle_rad: float) -> float:
    return math.degrees(2 * half_angle_rad)


def _long_enough(request: EndRequest, eye: spec.Eye, error: InfeasibleError) -> str:
    pin_mm = pin_diameter_mm(eye)
    if pin_mm is not None:
        return _lengths_by_angle(request, pin_mm)
    if eye.form == "thimble":
        return f"at most {request.write.write(error.limit)}"
    return f"more than {request.write.write_up(error.limit)} of rope round the eye"


def _lengths_by_angle(request: EndRequest, pin_mm: float) -> str:
    """The inside lengths at which this pin is within what can be reckoned, and within the rule."""
    rule = request.reference.rule
    most, advised = rule("eye.included_angle.most").value, rule("eye.included_angle.rule").value
    lengths = [
        request.write.write_up(
            geometry.pin_eye_inside_length_mm(
                pin_mm, request.rope.diameter_mm, math.radians(degrees / 2)
            )
        )
        for degrees in (most, advised)
    ]
    return (
        f"an inside length of at least {lengths[0]} ({most:g} degrees); from {lengths[1]} on it "
        f"keeps within the rule of {advised:g} degrees"
    )


def _judge_pin(request: EndRequest, eye: spec.Eye, shape: geometry.EyeGeometry) -> None:
    """The pin or thimble against the rope, and the eye against its pin."""
    rule, diameter_mm = request.reference.rule, request.rope.diameter_mm
    least, advice, length = rule("pin.least"), rule("pin.advice"), rule("eye.pins.least")
    pointer, seat_mm = f"{request.pointer}/eye", _seat_mm(eye)
    if seat_mm is not None:
        for code, limit in (("pin_below_rope", least), ("pin_small", advice)):
            if below(seat_mm, limit.value * diameter_mm):
                request.notices.add(
                    code,
                    pointer,
                    value=Length(seat_mm),
                    limit=Length(limit.value * diameter_mm),
                    source=limit.source,
                )
                break
    least_eye_mm = (least.value + 1 / 2) * diameter_mm
    if below(shape.inside_length_mm, least_eye_mm):
        request.notices.add(
            "eye_below_least_pin",
            pointer,
            value=Length(shape.inside_length_mm),
            limit=Length(least_eye_mm),
            source=least.source,
        )
    pin_mm = pin_diameter_mm(eye)
    if pin_mm is not None and below(shape.inside_length_mm, length.value * pin_mm):
        request.notices.add(
            "eye_short",
            pointer,
            value=Length(shape.inside_length_mm),
            limit=Length(length.value * pin_mm),
            source=length.source,
        )


def _seat_mm(eye: spec.Eye) -> float | None:
    """Diameter of what the rope bends round: pin or thimble; None where nothing is named."""
    if eye.seat_perimeter_mm is not None:
        return eye.seat_perimeter_mm / math.pi
    return eye.pin_diameter_mm if eye.form == "pin" else eye.score_diameter_mm
