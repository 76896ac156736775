"""What rope is this: size, load class, fid, pitch, each with where it comes from.

Rope facts given in the spec beat the tables; what comes from a table or a
convention is said as an assumption or beside the other reading.
"""

from typing import Final

from msgspec import Struct

from tuckmark import rope_size, spec
from tuckmark.compare import within
from tuckmark.faults import Fault, Refused
from tuckmark.notices import Notices
from tuckmark.plan import GIVEN, Force, Length, RopePlan
from tuckmark.reference import Figure, Reference
from tuckmark.units import MM_PER_INCH
from tuckmark.writing import decimal_text

STRANDS: Final = {"single_braid_12": 12, "laid_3": 3, "laid_4": 4}
DOUBLE_BRAIDS: Final = ("double_braid", "core_dependent_double_braid")
BRAIDS: Final = ("single_braid_12", "double_braid", "core_dependent_double_braid")
LAID: Final = ("laid_3", "laid_4")
#: constructions of which a core's fibre, or a braid's pitch, is a fact
WITH_CORE: Final = ("double_braid", "core_dependent_double_braid", "parallel_core")
_WITH_PITCH: Final = ("single_braid_12", "plaited_8")
#: the few counts that measuring a pitch leads to, in words
COUNTED: Final = {2.0: "two", 6.0: "six"}
_KN_PER_DAN: Final = 0.01


class Rope(Struct, frozen=True):
    """The rope with its facts settled; lengths carry the range they were assumed with.

    Attributes:
        fid: one full fid; None for rope that is not spliced with one.
        pitch: one turn of a strand of a braid; None where none is given and none may be assumed.
        lay_length: one turn of a strand of laid rope; None for other constructions.
        core_diameter: of a double braid, as given; None where it is not given.
        strands: of a single braid or a laid rope; None for other constructions.
        core_fibre: of a double braid, where it is given apart from the cover's.
    """

    construction: str
    fibre: str
    load_class: str
    load_class_source: str
    coating: str
    diameter: Length
    fid: Length | None
    pitch: Length | None
    lay_length: Length | None
    lay: str | None
    core_diameter: Length | None
    picks_per_pitch: float
    strands: int | None
    bury_shortening: float | None
    hand_tension: Force
    core_fibre: str | None = None

    @property
    def diameter_mm(self) -> float:
        """Nominal diameter."""
        return self.diameter.mm

    @property
    def full_fid_mm(self) -> float:
        """One full fid.

        Raises:
            ValueError: this rope is not spliced with a fid of its own size; the caller is at fault.
        """
        if self.fid is None:
            raise ValueError(f"{self.construction} has no fid")
        return self.fid.mm

    @property
    def strand_count(self) -> int:
        """Strands of a single braid or a laid rope.

        Raises:
            ValueError: the construction has none to count; the caller is at fault.
        """
        if self.strands is None:
            raise ValueError(f"{self.construction} has no strands to count")
        return self.strands

    @property
    def high_modulus(self) -> bool:
        """Whether the fibre that carries the load is of the high-modulus class."""
        return self.load_class == "high_modulus"

    def pick_mm(self, pitch_mm: float) -> float:
        """One V of two crossing strands along one line of the braid."""
        return pitch_mm / self.picks_per_pitch


def identify(rope: spec.Rope, reference: Reference, notices: Notices) -> Rope:
    """Settle the facts of a rope.

    Raises:
        Refused: ``size_outside_range``, ``pitch_unlikely``.
    """
    diameter = rope_size.diameter(rope.size, reference, notices)
    rope_size.within_service_range(diameter.mm, reference)
    loaded = load_bearing_fibre(rope)
    load_class = reference.load_class(loaded)
    if rope.condition == "used":
        _judge_used(rope, reference, notices)
    return Rope(
        construction=rope.construction,
        fibre=rope.fibre,
        load_class=load_class.value,
        load_class_source=load_class.source,
        coating=rope.coating,
        diameter=diameter,
        fid=_fid(rope, diameter.mm, reference, notices),
        pitch=_pitch(rope, diameter.mm, reference, notices),
        lay_length=_lay_length(rope, diameter.mm, reference, notices),
        lay=rope.lay,
        core_diameter=_given(rope.core_diameter_mm),
        picks_per_pitch=_braid_rule(rope.construction, "picks.per_pitch", reference).value,
        strands=STRANDS.get(rope.construction),
        bury_shortening=rope.bury_shortening,
        hand_tension=_hand_tension(diameter.mm, reference),
        core_fibre=rope.core_fibre if rope.construction in WITH_CORE else None,
    )


def fibres_of(rope: spec.Rope) -> tuple[str, ...]:
    """Every fibre in the rope: of the whole, or of its cover and core."""
    return tuple(dict.fromkeys((rope.fibre, load_bearing_fibre(rope))))


def fibres_under_load(rope: spec.Rope) -> tuple[str, ...]:
    """The fibres that carry the load: cover and core share it in a double braid."""
    if rope.construction == "double_braid":
        return fibres_of(rope)
    return (load_bearing_fibre(rope),)


def load_bearing_fibre(rope: spec.Rope) -> str:
    """The fibre that a splice's rules go by: the core's, where the construction has a core."""
    if rope.core_fibre and rope.construction in WITH_CORE:
        return rope.core_fibre
    return rope.fibre


def _judge_used(rope: spec.Rope, reference: Reference, notices: Notices) -> None:
    if rope.construction in DOUBLE_BRAIDS:
        source = reference.statement("double_braid.used").source
        notices.add("used_double_braid", "/rope/condition", source=source)
    else:
        notices.add("used_rope", "/rope/condition", source="common_practice_used_rope")


def described(rope: Rope, reference: Reference) -> RopePlan:
    """The rope as the plan prints it."""
    pitch = rope.pitch
    pick = None
    if pitch is not None:
        low, high = (
            None if edge is None else rope.pick_mm(edge) for edge in (pitch.low_mm, pitch.high_mm)
        )
        source = _braid_rule(rope.construction, "picks.per_pitch", reference).source
        pick = Length(rope.pick_mm(pitch.mm), low, high, source)
    convention = reference.rule("size.circumference_to_diameter")
    reasons: dict[str, str] = {}
    if pitch is None:
        reasons |= dict.fromkeys(("pitch", "pick"), "none is given, and none is assumed here")
    if rope.fid is None:
        reasons["fid_length"] = "this rope is not spliced with a fid of its own size"
    if rope.lay_length is None:
        reasons["lay_length"] = "only laid rope has one"
    if rope.core_diameter is None:
        reasons["core_diameter"] = "none is given"
    return RopePlan(
        construction=rope.construction,
        fibre=rope.fibre,
        diameter=rope.diameter,
        circumference=Length(rope.diameter_mm * convention.value, source=convention.source),
        load_class=rope.load_class,
        load_class_source=rope.load_class_source,
        fid_length=rope.fid,
        pitch=pitch,
        pick=pick,
        hand_tension=rope.hand_tension,
        lay_length=rope.lay_length,
        core_diameter=rope.core_diameter,
        reasons=reasons,
    )


def _given(mm: float | None) -> Length | None:
    return None if mm is None else Length(mm, source=GIVEN)


def _fid(
    rope: spec.Rope, diameter_mm: float, reference: Reference, notices: Notices
) -> Length | None:
    if rope.construction not in BRAIDS:
        return None
    if rope.fid_length_mm is None:
        found = reference.fid(diameter_mm)
        fid = found.full
        if found.basis == "below_table":
            notices.add(
                "fid_below_table",
                "/rope/size",
                value=Length(fid.value),
                limit=Length(MM_PER_INCH / 4),
                source=fid.source,
            )
        if fid.confidence == "C":
            share = decimal_text(fid.value / diameter_mm, 1)
            notices.assume(f"full fid {share} d", fid.source, fact="fid_length")
        return Length(fid.value, fid.low, fid.high, fid.source)
    least, most = reference.rule("fid.full_least"), reference.rule("fid.full_most")
    if not within(least.value, rope.fid_length_mm / diameter_mm, most.value):
        notices.add(
            "fid_length_unlikely",
            "/rope/fid_length",
            value=Length(rope.fid_length_mm),
            limit=f"{least.value:g} to {most.value:g} diameters",
            source=least.source,
            diameters=decimal_text(rope.fid_length_mm / diameter_mm, 1),
        )
    return Length(rope.fid_length_mm, source=GIVEN)


def _pitch(
    rope: spec.Rope, diameter_mm: float, reference: Reference, notices: Notices
) -> Length | None:
    least, most, picks = (
        _braid_rule(rope.construction, name, reference)
        for name in ("pitch.least", "pitch.most", "picks.per_pitch")
    )
    if rope.construction not in _WITH_PITCH:
        return None
    if rope.pitch is not None:
        if not within(least.value, rope.pitch.mm / diameter_mm, most.value):
            raise Refused((_unlikely_pitch(rope.pitch.mm, diameter_mm, least, most, picks),))
        return rope_size.measured(rope.pitch, "/rope/pitch", reference)
    assumed = reference.pitch_diameters(rope.fibre)
    if assumed is None or rope.construction != "single_braid_12":
        return None
    low, high = assumed.bounds
    what = f"pitch {assumed.value:g} d ({low:g} to {high:g})"
    notices.assume(what, assumed.source, fact="pitch")
    return Length(
        assumed.value * diameter_mm, low * diameter_mm, high * diameter_mm, assumed.source
    )


def _braid_rule(construction: str, name: str, reference: Reference) -> Figure:
    """A rule on pitch or pick, which a plait of four pairs has for itself."""
    return reference.rule(f"plaited.{name}" if construction == "plaited_8" else name)


def _unlikely_pitch(
    pitch_mm: float, diameter_mm: float, least: Figure, most: Figure, picks: Figure
) -> Fault:
    count = COUNTED[picks.value]
    return Fault(
        "/rope/pitch",
        "pitch_unlikely",
        f"A pitch of {decimal_text(pitch_mm / diameter_mm, 1)} diameters is a mistake in measuring "
        f"or in the unit: one turn of a strand is {count} Vs along one line of the braid, not the "
        "spacing of one V nor of single strands.",
        allowed=f"{least.value:g} to {most.value:g} diameters "
        f"({least.value * diameter_mm:g} mm to {most.value * diameter_mm:g} mm)",
        hint=f"Count ten picks under hand tension, measure them, and give {count} tenths of that.",
    )


def _lay_length(
    rope: spec.Rope, diameter_mm: float, reference: Reference, notices: Notices
) -> Length | None:
    if rope.construction not in LAID:
        return None
    if rope.lay_length_mm is not None:
        least, most = reference.rule("lay.least"), reference.rule("lay.most")
        if not within(least.value, rope.lay_length_mm / diameter_mm, most.value):
            notices.add(
                "lay_length_unlikely",
                "/rope/lay_length",
                value=Length(rope.lay_length_mm),
                limit=f"{least.value:g} to {most.value:g} diameters",
                source=least.source,
                diameters=decimal_text(rope.lay_length_mm / diameter_mm, 1),
            )
        return Length(rope.lay_length_mm, source=GIVEN)
    assumed = reference.rule("lay.length")
    low, high = assumed.bounds
    notices.assume(f"lay length {assumed.value:g} d ({low:g} to {high:g})", assumed.source)
    return Length(
        assumed.value * diameter_mm, low * diameter_mm, high * diameter_mm, assumed.source
    )


def _hand_tension(diameter_mm: float, reference: Reference) -> Force:
    divisor = reference.rule("hand_tension.divisor")
    return Force(diameter_mm**2 / divisor.value * _KN_PER_DAN, divisor.source)
