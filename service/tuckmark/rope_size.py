"""The size of a rope: which diameter is meant, and how far it may be off."""

import math

from tuckmark import spec
from tuckmark.compare import above, within
from tuckmark.faults import Fault, Refused
from tuckmark.notices import Notices
from tuckmark.plan import GIVEN, Length
from tuckmark.reference import Reference
from tuckmark.units import MM_PER_INCH
from tuckmark.writing import decimal_text


def diameter(size: spec.Size, reference: Reference, notices: Notices) -> Length:
    """The nominal diameter, with its range; how a convention was read is said."""
    if size.diameter is not None:
        if size.diameter.tolerance_mm is not None:
            return measured(size.diameter, "/rope/size/diameter", reference)
        return _nominal(size.diameter.mm, GIVEN, reference)
    found_mm = nominal_mm(size, reference)
    if size.circumference_mm is not None:
        ratio = reference.rule("size.circumference_to_diameter")
        notices.add(
            "circumference_is_nominal",
            "/rope/size/circumference",
            value=Length(found_mm),
            limit=Length(size.circumference_mm / math.pi),
            source=ratio.source,
        )
        return _nominal(found_mm, ratio.source, reference)
    step = reference.rule("size.number_step")
    inch = MM_PER_INCH / reference.rule("size.inch_number_divisor").value
    notices.add(
        "size_number_reading",
        "/rope/size/size_number",
        value=Length(found_mm),
        limit=Length(inch * found_mm / step.value),
        source=step.source,
    )
    return _nominal(found_mm, step.source, reference)


def nominal_mm(size: spec.Size, reference: Reference) -> float:
    """The nominal diameter, by whichever of the three is given.

    Raises:
        ValueError: none is given, which the schema lets no spec do.
    """
    if size.diameter is not None:
        return size.diameter.mm
    if size.circumference_mm is not None:
        return size.circumference_mm / reference.rule("size.circumference_to_diameter").value
    if size.size_number is None:
        raise ValueError("a size is a diameter, a circumference or a size number")
    return size.size_number * reference.rule("size.number_step").value


def measured(length: spec.Measured, pointer: str, reference: Reference) -> Length:
    """As far off as the document says, else as it was read.

    Raises:
        Refused: ``measured_too_roughly``.
    """
    off_mm = length.resolution_mm if length.tolerance_mm is None else length.tolerance_mm
    most = reference.rule("measured.roughest").value
    if above(off_mm, most * length.mm):
        fault = Fault(
            pointer,
            "measured_too_roughly",
            f"{decimal_text(length.mm, 3)} mm, give or take {decimal_text(off_mm, 3)} mm, is too "
            "rough to plan from.",
            allowed=f"give or take at most {most * 100:g} %",
            hint="Measure again, and write it to more digits or with a smaller tolerance.",
        )
        raise Refused((fault,))
    return Length(length.mm, length.mm - off_mm, length.mm + off_mm, GIVEN)


def _nominal(diameter_mm: float, source: str, reference: Reference) -> Length:
    """A nominal diameter is set by linear density, and so as uncertain as half of that."""
    tolerance = reference.size_tolerance(diameter_mm)
    if tolerance is None:
        return Length(diameter_mm, source=source)
    low, high = (math.sqrt(1 + sign * tolerance.value) * diameter_mm for sign in (-1, 1))
    return Length(diameter_mm, low, high, source)


def within_service_range(diameter_mm: float, reference: Reference) -> None:
    """Refuse a size that the rules and tables were not made for.

    Raises:
        Refused: ``size_outside_range``.
    """
    least, most = (reference.rule(f"size.{end}_diameter").value for end in ("least", "most"))
    if not within(least, diameter_mm, most):
        raise Refused(
            (
                Fault(
                    "/rope/size",
                    "size_outside_range",
                    f"A rope of {decimal_text(diameter_mm, 3)} mm lies outside the sizes that the "
                    "rules and tables here were made for.",
                    allowed=f"{least:g} mm to {most:g} mm",
                    hint="Check the unit of the size.",
                ),
            )
        )
