"""The typed spec: what was asked for, in base units, with the contract's defaults.

Frozen and plain; built by ``reading.py`` from a document that the published
schema has accepted. ``None`` means "not given"; nothing here is computed.
"""

from types import MappingProxyType
from typing import Literal

from msgspec import Struct, field

EndName = Literal["a", "b"]


class Job(Struct, frozen=True):
    """What the work is for; echoed, never computed with, except the quantity."""

    order: str | None = None
    item: str | None = None
    description: str | None = None
    quantity: int = 1
    references: MappingProxyType[str, str] = field(default_factory=lambda: MappingProxyType({}))


class Measured(Struct, frozen=True):
    """A length that was measured, or is to be met, and how far it may be off.

    Attributes:
        resolution_mm: half of the last step it is written to.
        tolerance_mm: what the document says of it; None where it says nothing.
    """

    mm: float
    resolution_mm: float
    tolerance_mm: float | None = None


class Size(Struct, frozen=True):
    """Nominal size: exactly one of the three is given."""

    diameter: Measured | None = None
    circumference_mm: float | None = None
    size_number: float | None = None


class BreakingStrength(Struct, frozen=True):
    """Stated strength of the rope and what it was stated for."""

    force_kn: float
    basis: Literal["spliced", "unspliced", "unknown"]


class Rope(Struct, frozen=True):
    """The rope on the bench; what is given here beats the reference tables."""

    construction: str
    fibre: str
    size: Size
    core_fibre: str | None = None
    fid_length_mm: float | None = None
    pitch: Measured | None = None
    lay_length_mm: float | None = None
    lay: Literal["z", "s"] | None = None
    core_diameter_mm: float | None = None
    linear_density_kg_per_m: float | None = None
    breaking_strength: BreakingStrength | None = None
    bury_shortening: float | None = None
    bedding_in: float | None = None
    coating: Literal["coated", "uncoated", "unknown"] = "unknown"
    condition: Literal["new", "used"] = "new"
    far_end: Literal["free", "closed"] = "free"


class Eye(Struct, frozen=True):
    """The eye by what is known of it; which fields are given follows from ``form``."""

    form: Literal["perimeter", "flat", "pin", "thimble"]
    perimeter_mm: float | None = None
    perimeter_of: Literal["centre_line", "inside"] | None = None
    inside_length: Measured | None = None
    pin_diameter_mm: float | None = None
    length_ratio: float | None = None
    score_diameter_mm: float | None = None
    seat_perimeter_mm: float | None = None
    bearing_length_mm: float | None = None
    captive: str | None = None


class Taper(Struct, frozen=True):
    """Steps between strand pairs from the bitter end, in picks or as shares of one fid."""

    pattern: tuple[int, ...]
    measured_by: Literal["picks", "fid"] = "picks"


class Lock(Struct, frozen=True):
    """Picks from throat to return pass, and from there to where the bury begins."""

    picks: tuple[int, int]


class End(Struct, frozen=True):
    """What is made at one end of the rope."""

    splice: str = "plain"
    eye: Eye | None = None
    bury_mm: float | None = None
    bury_fids: float | None = None
    bury_diameters: float | None = None
    stitching: Literal["cross_stitch", "none"] | None = None
    taper: Taper | None = None
    lock: Lock | None = None
    tucks: int | None = None
    thinning: Literal["none", "yarns", "tucks", "strands"] | None = None
    end_allowance_mm: float = 0.0


class JoinRope(Struct, frozen=True):
    """One of two ropes to be joined; None where it is as the spec's rope says."""

    length_mm: float | None = None
    construction: str | None = None
    lay: Literal["z", "s"] | None = None


class Join(Struct, frozen=True):
    """A join of two ropes, or a loop of one; which fields are given follows from ``splice``."""

    splice: str
    ropes: tuple[JoinRope, ...] = ()
    circumference: Measured | None = None
    measured: Literal["centre_line", "laid_flat_inside"] | None = None
    bury_mm: float | None = None
    bury_fids: float | None = None
    bury_diameters: float | None = None
    stitching: Literal["cross_stitch", "none"] | None = None
    taper: Taper | None = None
    tucks: int | None = None
    thinning: Literal["none", "yarns", "tucks", "strands"] | None = None
    turns: int | None = None


class Resplice(Struct, frozen=True):
    """An end that is cut back and spliced again, and the length still required after that."""

    end: EndName
    cut_back_mm: float
    required_mm: float | None = None


class TargetLength(Struct, frozen=True):
    """The finished length wanted, or the rope there is: exactly one is given."""

    finished_mm: float | None = None
    available_mm: float | None = None
    between: Literal["bearing_points", "pin_centres", "throats"] = "bearing_points"
    state: Literal["as_spliced", "after_setting"] = "as_spliced"
    tolerance_mm: float | None = None
    resplice: Resplice | None = None


class Use(Struct, frozen=True):
    """What the assembly is for."""

    duty: str | None = None
    working_load_kn: float | None = None
    design_factor: float | None = None
    temperature_c: float | None = None
    wet: bool | None = None


class Display(Struct, frozen=True):
    """How the plan writes its lengths."""

    units: Literal["metric", "inch"] = "metric"
    inch_fraction: int = 16
    page: Literal["a4", "letter"] = "a4"


class Ends(Struct, frozen=True):
    """Both ends of the rope; ``alike`` when the document gave one spec for both.

    ``b_given`` tells a plain end b that was asked for from one that was left out.
    """

    a: End
    b: End = field(default_factory=End)
    alike: bool = False
    b_given: bool = True

    def pointer(self, name: EndName) -> str:
        """Where in the document the spec of an end stands."""
        return "/ends/both" if self.alike else f"/ends/{name}"


class Spec(Struct, frozen=True):
    """One whole splice spec: ends, or a join."""

    rope: Rope
    ends: Ends | None = None
    join: Join | None = None
    job: Job = field(default_factory=Job)
    length: TargetLength | None = None
    use: Use = field(default_factory=Use)
    display: Display = field(default_factory=Display)
