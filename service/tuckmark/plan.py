"""The plan as typed objects: exact figures, not yet rounded, not yet written.

Figures that are not arithmetic on the spec carry the key of their source.
A plain ``float`` in a plan is a dimensionless ratio.
"""

from collections.abc import Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from tuckmark.compare import above
from tuckmark.quantities import ReadQuantity
from tuckmark.ranges import NO_EFFECTS, Effects, edges
from tuckmark.reference import Figure
from tuckmark.spec import EndName, Job

#: the source named beside a figure that the spec itself gave
GIVEN: Final = "given_in_spec"

Severity = Literal["info", "warn", "stop"]
Shape = Literal["ring", "dot", "pair"]
Part = Literal["rope", "cover", "core", "strand"]
Phase = Literal["prepare", "mark", "splice", "set", "finish"]
Reasons = Mapping[str, str]


class Length(Struct, frozen=True):
    """A length with its 95 % range, where it rests on facts that are not certain.

    Attributes:
        effects: what each uncertain input does to it (see ``ranges.py``); None where only the
            range is known.
    """

    mm: float
    low_mm: float | None = None
    high_mm: float | None = None
    source: str | None = None
    effects: Effects | None = None

    @property
    def moved(self) -> Effects:
        """Effects of the inputs; a range without known inputs is one input of its own."""
        if self.effects is not None:
            return self.effects
        if self.low_mm is None or self.high_mm is None:
            return NO_EFFECTS
        return {"splice_allowance": (self.low_mm - self.mm, self.high_mm - self.mm)}

    @property
    def bounds_mm(self) -> tuple[float, float]:
        """Least and most; the length itself where it rests on no assumption."""
        return (
            self.mm if self.low_mm is None else self.low_mm,
            self.mm if self.high_mm is None else self.high_mm,
        )

    @property
    def most_off_mm(self) -> float:
        """How far from its nominal value the range reaches on its wider side."""
        low_mm, high_mm = self.bounds_mm
        return max(high_mm - self.mm, self.mm - low_mm)

    def taken_from(self, whole_mm: float) -> "Length":
        """What is left of a whole that is known: as unsure as what is taken."""
        least_mm, most_mm = self.bounds_mm
        low_mm, high_mm = whole_mm - most_mm, whole_mm - least_mm
        if not above(high_mm, low_mm):
            return Length(whole_mm - self.mm)
        return Length(whole_mm - self.mm, low_mm, high_mm)


class Force(Struct, frozen=True):
    """A force in kN."""

    kn: float
    source: str | None = None


class Mass(Struct, frozen=True):
    """A mass in kg."""

    kg: float
    source: str | None = None


class Angle(Struct, frozen=True):
    """An angle in degrees."""

    deg: float


class Temperature(Struct, frozen=True):
    """A temperature in degrees Celsius."""

    deg_c: float


class Share(Struct, frozen=True):
    """A ratio with the source it was taken from, the range it may have, and what it is not."""

    value: float
    source: str
    low: float | None = None
    high: float | None = None
    note: str | None = None


Measure = Length | Force | Mass | Angle | Temperature | float | str

#: what a splice family may say of an end or a join: figures under their names, nested at will.
#: A float is a ratio, an int a count; under the key ``source`` stands the key of a source.
Tree = Measure | Share | int | None | Sequence["Tree"] | Mapping[str, "Tree"]
Figures = Mapping[str, Tree]


class Warning(Struct, frozen=True):  # noqa: A001 - the contract's word for it
    """One thing the splicer or the order must know; ``stop`` makes the plan unusable."""

    code: str
    severity: Severity
    message: str
    pointer: str
    value: Measure | None
    limit: Measure | None
    source: str | None
    more_sources: tuple[str, ...] = ()


class Advice(Struct, frozen=True):
    """A measurement that would make the finished length surer.

    Attributes:
        code: the input it is about.
        share: how much of the squared spread of the finished length it causes.
        remaining: the finished length with the range that would be left.
    """

    code: str
    text: str
    share: float
    remaining: Length


class Caution(Struct, frozen=True):
    """A danger of the work, on every plan."""

    code: str
    text: str


class Miss(Struct, frozen=True):
    """How far a mark may be off one way, and what limits it."""

    mm: float
    limited_by: Literal["bury_rule", "eye_rule", "tail_rule", "length_tolerance"]


class Tolerance(Struct, frozen=True):
    """How far a mark may be off at the bench: not how sure its place is, which is its range.

    Attributes:
        minus: toward where it is measured from; None where nothing limits it.
        plus: away from there; None where nothing limits it.
    """

    minus: Miss | None = None
    plus: Miss | None = None

    @property
    def either_way(self) -> Miss | None:
        """What it may be off whichever way."""
        return lesser(self.minus, self.plus)


def lesser(one: Miss | None, other: Miss | None) -> Miss | None:
    """The stricter of two limits."""
    if one is None or other is None:
        return one or other
    return one if one.mm <= other.mm else other


class Mark(Struct, frozen=True):
    """One mark on one part of the rope.

    Attributes:
        distance: from ``measured_from`` along the unworked part, under hand tension.
        fids: the distance in full fids; None where the rope has no fid.
        tolerance: None where nothing that is known limits it.
        picks: picks counted from ``measured_from``, where the mark is found by counting.
        same_as: id of an earlier mark at the same place.
    """

    id: str
    end: EndName
    part: Part
    name: str
    measured_from: str
    distance: Length
    fids: float | None
    tolerance: Tolerance | None
    shape: Shape
    picks: int | None
    same_as: str | None
    purpose: str


class Step(Struct, frozen=True):
    """One thing to do at the bench; its number is its place in the plan."""

    phase: Phase
    action: Literal["measure", "cut_rope", "mark", "prepare", "pass", "cut_strands", "bury",
                    "smooth", "load", "stitch", "check", "tag"]  # fmt: skip
    text: str
    end: EndName | None = None
    marks: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    caution: str | None = None


class Tool(Struct, frozen=True):
    """Something to have at hand before starting; ``length`` where a size or quantity matters."""

    name: str
    detail: str
    end: EndName | None = None
    length: Length | None = None
    source: str | None = None


class RopePlan(Struct, frozen=True):
    """The rope as the plan understood it."""

    construction: str
    fibre: str
    diameter: Length
    circumference: Length
    load_class: str
    load_class_source: str
    fid_length: Length | None
    pitch: Length | None
    pick: Length | None
    lay_length: Length | None
    core_diameter: Length | None
    hand_tension: Force
    reasons: Reasons


class Allowance(Struct, frozen=True):
    """What the cut length is made of; the parts add up to it."""

    eyes: float
    tails: float
    body: float
    shortening: float
    interlock: float
    ends: float


class Lengths(Struct, frozen=True):
    """Lengths of the whole assembly; None where no finished or available length was given."""

    between: str
    state: str
    cut: Length | None
    finished: Length | None
    allowance_mm: Allowance | None
    mass: Mass | None
    quantity: int
    shortest_workable: Length | None
    low: Length | None
    high: Length | None
    as_spliced: Length | None
    after_setting: Length | None
    reasons: Reasons
    resplice: Figures | None = None
    tolerance: Figures | None = None


class Strength(Struct, frozen=True):
    """What the assembly is reckoned to hold; None where the spec gives too little.

    Attributes:
        of: what the figures are of, such as one leg of a loop.
    """

    of: str

    breaking: Force | None
    basis: str | None
    splice_efficiency: Share | None
    bend_efficiency: Share | None
    wet_factor: Share | None
    assembly: Force | None
    working_limit: Force | None
    design_factor: Share | None
    verdict: Literal["within_limit", "over_limit"] | None
    governed_by: str | None
    reasons: Reasons


class Plan(Struct, frozen=True):
    """Everything the plan says, in the contract's order.

    Attributes:
        ends: what is made at each end: ``splice`` and the family's figures; None for a join.
        join: the same for a join or loop; None where the ends are planned.
        from_a: mark id -> its place on one axis from end a, where there is one and the cut length
            is known.
    """

    digest: str
    job: Job
    read_as: tuple[ReadQuantity, ...]
    rope: RopePlan
    ends: Mapping[EndName, Figures] | None
    join: Figures | None
    marks: tuple[Mark, ...]
    from_a: Mapping[str, Length]
    steps: tuple[Step, ...]
    tools: tuple[Tool, ...]
    lengths: Lengths
    strength: Strength
    advice: tuple[Advice, ...]
    warnings: tuple[Warning, ...]
    cautions: tuple[Caution, ...]

    @property
    def usable(self) -> bool:
        """False when any warning says stop."""
        return all(warning.severity != "stop" for warning in self.warnings)


def uncertain(mm: float, effects: Effects, source: str | None = None) -> Length:
    """A length with the 95 % range that its inputs leave it; none where nothing moves it."""
    if effects:
        low_mm, high_mm = edges(mm, effects)
        if above(high_mm, low_mm):
            return Length(mm, low_mm, high_mm, source, effects)
    return Length(mm, source=source)


def share_of(figure: Figure) -> Share:
    """A figure of the tables as a ratio in the plan."""
    return Share(figure.value, figure.source, figure.low, figure.high)
