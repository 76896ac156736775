"""Ends and body put together: what is asked for, and the arithmetic between its lengths."""

from collections.abc import Callable, Iterable, Mapping
from typing import Literal

from msgspec import Struct

from tuckmark import spec
from tuckmark.families.base import RopeUse
from tuckmark.faults import Fault, Refused
from tuckmark.identify import Rope, fibres_under_load
from tuckmark.plan import GIVEN, Length, uncertain
from tuckmark.ranges import added
from tuckmark.reference import Reference
from tuckmark.spec import EndName


def _unchanged(finished: Length) -> Length:
    return finished


class Target(Struct, frozen=True):
    """The finished length wanted, or the rope there is: exactly one is given.

    Attributes:
        between: between which points, or along which line, the finished length is measured.
        tolerance_mm: of the finished length as the document measures it.
        finished_at: where in the document the finished length stands.
        tolerance_at: where in the document its tolerance stands.
        available_at: where in the document the rope available stands.
        called: the finished length as the document measures it, in words.
        as_given: from the finished length to that.
        legs: how often the document's figure runs along the rope: twice in a loop laid flat.
    """

    between: str
    state: Literal["as_spliced", "after_setting"]
    finished_mm: float | None = None
    available_mm: float | None = None
    tolerance_mm: float | None = None
    finished_at: str = "/length/finished"
    tolerance_at: str = "/length/tolerance"
    available_at: str = "/length/available"
    called: str = "finished length"
    as_given: Callable[[Length], Length] = _unchanged
    legs: int = 1

    @property
    def wanted_mm(self) -> float:
        """The finished length wanted.

        Raises:
            ValueError: the rope available is given instead.
        """
        if self.finished_mm is None:
            raise ValueError("no finished length is wanted of the rope available")
        return self.finished_mm


def as_asked(target: Target | None, finished: Length | None) -> Length | None:
    """A finished length as the document measures it."""
    return finished if target is None or finished is None else target.as_given(finished)


class BeddingIn(Struct, frozen=True):
    """Permanent lengthening of the body after the first setting load, as a share."""

    value: float
    low: float
    high: float
    source: str

    def moves(self, body_mm: float) -> tuple[float, float]:
        """How far a body's length is off with the share at its low and high end."""
        return body_mm * (self.low - self.value), body_mm * (self.high - self.value)


class Assembly(Struct, frozen=True):
    """Two ends and the body between them.

    Attributes:
        insets: what the eyes add to the body in the finished length, by where it is measured.
        least_body_mm: the shortest body that these splices leave room for.
        between: where its lengths are measured when no target says so.
    """

    uses: tuple[RopeUse, ...]
    insets: Length
    least_body_mm: float
    bedding_in: BeddingIn | None
    between: str = "bearing_points"

    @property
    def ends_mm(self) -> float:
        """All of the cut length but the body."""
        return sum(
            use.tail_mm + use.eye_mm + use.interlock_mm + use.shortening.mm + use.end_allowance_mm
            for use in self.uses
        )

    def shortening(self) -> Length:
        """Of both ends together: one pitch for both, so that their ranges add."""
        lengths = [use.shortening for use in self.uses]
        return uncertain(
            sum(length.mm for length in lengths), added(*(length.moved for length in lengths))
        )

    def finished_mm(self, body_mm: float, set_by: float = 0.0) -> float:
        """Finished length, as spliced or after the body has bedded in by a share."""
        return body_mm * (1 + set_by) + self.insets.mm

    def body_mm(self, target: Target) -> float:
        """The body as spliced that a target asks for or leaves."""
        if target.available_mm is not None:
            return target.available_mm - self.ends_mm
        return (target.wanted_mm - self.insets.mm) / (1 + self.set_by(target.state))

    def set_by(self, state: str) -> float:
        """How much the body lengthens in a state."""
        return self.bedding_in.value if state == "after_setting" and self.bedding_in else 0.0


def bedding_in_of(rope: spec.Rope, reference: Reference) -> BeddingIn | None:
    """As the spec gives it, else by the table for the fibre under load; else None.

    Of two fibres that bed in differently none is known: how they settle on each other is not.
    """
    if rope.bedding_in is not None:
        return BeddingIn(rope.bedding_in, rope.bedding_in, rope.bedding_in, GIVEN)
    first, *others = (reference.bedding_in(fibre) for fibre in fibres_under_load(rope))
    if first is None or any(other != first for other in others):
        return None
    return BeddingIn(first.value, *first.bounds, first.source)


def assemble_ends(
    uses: Mapping[EndName, RopeUse],
    asked: spec.Spec,
    ends: spec.Ends,
    rope: Rope,
    reference: Reference,
) -> tuple[Assembly, Target | None]:
    """The assembly of two ends, and its target as the spec wants it measured.

    Raises:
        Refused: ``bearing_length_needed``, ``pin_needed``, ``bedding_in_needed``.
    """
    runs = [use.run_mm for use in uses.values() if use.run_mm]
    clear_d = reference.rule("splices.clear_rope").value if len(runs) > 1 else 0.0
    least_body_mm = sum(runs) + clear_d * rope.diameter_mm
    length = asked.length
    between = length.between if length else "bearing_points"
    found = (_unmeasurable(use, between, ends.pointer(name)) for name, use in uses.items())
    # once: what is wrong with two ends alike is one fault
    faults = list(dict.fromkeys(fault for fault in found if length and fault))
    if length:
        faults += state_faults(asked, length.state, reference)
    if faults and all(use.reckoned for use in uses.values()):
        raise Refused(tuple(faults))
    assembly = Assembly(
        tuple(uses.values()),
        _insets(uses.values(), between),
        least_body_mm,
        bedding_in_of(asked.rope, reference),
    )
    if length is None:
        return assembly, None
    target = Target(
        between, length.state, length.finished_mm, length.available_mm, length.tolerance_mm
    )
    return assembly, target


def state_faults(asked: spec.Spec, state: str, reference: Reference) -> list[Fault]:
    """A length after setting without a bedding-in to reckon it by."""
    if state != "after_setting" or bedding_in_of(asked.rope, reference) is not None:
        return []
    fibres = " with ".join(fibres_under_load(asked.rope))
    fault = Fault(
        "/rope",
        "bedding_in_needed",
        f"A length after setting needs the rope's bedding-in, and none is known for {fibres}.",
        allowed="0 to 0.2",
        hint="Give rope.bedding_in from the rope maker or a trial, or ask for the length as "
        "spliced.",
    )
    return [fault]


def _unmeasurable(use: RopeUse, between: str, pointer: str) -> Fault | None:
    if use.eye is None:
        return None
    if between == "bearing_points" and not use.eye.bearing_known:
        return Fault(
            f"{pointer}/eye",
            "bearing_length_needed",
            "The finished length counts from bearing points, but where the load bears in this "
            "thimble is not given.",
            hint="Measure from the throat to where the load bears and give it as "
            "eye.bearing_length, or set length.between to throats.",
        )
    if between == "pin_centres" and use.eye.pin_diameter_mm is None:
        return Fault(
            f"{pointer}/eye",
            "pin_needed",
            "The finished length counts from pin centres, but this eye names no pin.",
            hint="Give the eye as form pin with its pin_diameter, or set length.between to "
            "bearing_points or throats.",
        )
    return None


def _insets(uses: Iterable[RopeUse], between: str) -> Length:
    """What the eyes add to the throat-to-throat length."""
    eyes = [use.eye for use in uses if use.eye and between != "throats"]
    inside_mm = sum(eye.inside_length.mm for eye in eyes)
    if between == "pin_centres":
        inside_mm -= sum(eye.pin_diameter_mm / 2 for eye in eyes if eye.pin_diameter_mm)
    return uncertain(inside_mm, added(*(eye.inside_length.moved for eye in eyes)))
