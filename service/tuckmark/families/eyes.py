"""The eye of an end: from what is known of it to its geometry, judged by the published rules."""

import math

from tuckmark import spec
from tuckmark.compare import above, below
from tuckmark.families.base import EndRequest
from tuckmark.faults import Fault, Refused
from tuckmark.mechanics import eye as geometry
from tuckmark.mechanics.bend import eye_on_pin_efficiency
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.plan import Angle, Figures, Length

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
        limit = request.write.write(error.limit)
        raise request.refuse(
            error, "/eye", f"more than {limit}", "Make the eye longer, or the pin smaller."
        ) from error
    _judge_angle(request, shape)
    _judge_pin(request, eye, shape)
    return shape


def described(eye: spec.Eye, shape: geometry.EyeGeometry) -> Figures:
    """The eye as the plan prints it; what has no meaning for its form is None, with the reason."""
    ring = shape.half_angle_rad is None
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
        "included_angle": None if ring else Angle(included_angle_deg(shape)),
        "leg_load_share": None if ring else geometry.leg_load_share(shape.half_angle_rad or 0.0),
        "pin_ratio": shape.pin_ratio,
        "reasons": reasons,
        **captive,
    }


def included_angle_deg(shape: geometry.EyeGeometry) -> float:
    """Twice the half angle; 0 for a closed ring, which has none."""
    return math.degrees(2 * (shape.half_angle_rad or 0.0))


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
        case spec.Eye(form="flat", inside_length_mm=float(mm)):
            return geometry.flat_eye(mm, diameter_mm)
        case spec.Eye(form="pin", pin_diameter_mm=float(pin), inside_length_mm=float(mm)):
            return geometry.pin_eye(pin, diameter_mm, mm)
        case spec.Eye(form="pin", pin_diameter_mm=float(pin), length_ratio=float(ratio)):
            return geometry.pin_eye(pin, diameter_mm, ratio * pin)
        case spec.Eye(form="thimble", score_diameter_mm=float(mm)):
            return geometry.round_thimble_eye(mm, diameter_mm, eye.bearing_length_mm)
        case spec.Eye(seat_perimeter_mm=float(mm), bearing_length_mm=float(bearing)):
            return geometry.seat_thimble_eye(mm, diameter_mm, bearing)
    raise ValueError("the schema lets no other combination pass")


def _judge_angle(request: EndRequest, shape: geometry.EyeGeometry) -> None:
    rule = request.reference.rule("eye.included_angle.rule")
    most = request.reference.rule("eye.included_angle.most")
    angle_deg = included_angle_deg(shape)
    pointer = f"{request.pointer}/eye"
    if above(angle_deg, most.value):
        raise Refused(
            (
                Fault(
                    pointer,
                    "eye_angle_too_wide",
                    f"The legs of the eye would meet at {angle_deg:.1f} degrees on this pin; past "
                    f"{most.value:g} degrees the load in each leg can no longer be reckoned.",
                    allowed=f"at most {most.value:g} degrees; {rule.value:g} by rule",
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
