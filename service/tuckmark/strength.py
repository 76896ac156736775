"""What the assembly is reckoned to hold, by published rule; never more than was given."""

from collections.abc import Mapping, Sequence
from typing import Final, Literal

from msgspec.structs import replace

from tuckmark import spec
from tuckmark.compare import above, below, within
from tuckmark.faults import Fault
from tuckmark.identify import fibres_of, fibres_under_load
from tuckmark.notices import Notices
from tuckmark.plan import GIVEN, Force, Share, Strength, Temperature, share_of
from tuckmark.reference import Figure, Reference
from tuckmark.spec import EndName
from tuckmark.writing import decimal_text, rounded

_DEGREE_PLACES: Final = 1
_FORCE_PLACES: Final = 9

_NO_FORCE = "no breaking strength is given for the rope"
_NO_EFFICIENCY = "no published figure says what this splice keeps of the rope's strength"
_NO_FACTOR = "neither a design factor nor a duty is given"
_NO_LOAD = "no working load is given"
_STOPPED = "the plan says stop"
_STEEL_RULE = (
    "a rule for steel wire rope, used as a floor; fibre rope keeps its full strength only where "
    "the bend is at or above the rope maker's least"
)


def plan_strength(
    asked: spec.Spec,
    of: str,
    efficiencies: Sequence[Figure | None],
    bends: Mapping[EndName, float | None],
    reference: Reference,
    notices: Notices,
) -> Strength:
    """Breaking strength to working limit, with what governs it and its verdict.

    Args:
        of: what the figures are of.
        efficiencies: of the splices; the worst counts.
        bends: of each eye on its pin, where one is known.

    A splice loss is taken only from a strength stated unspliced (or unknown). Termination
    and bend are not multiplied: the worse counts.
    """
    factor = _design_factor(asked.use, reference, notices)
    _judge_temperature(asked, reference, notices)
    stated = asked.rope.breaking_strength
    splice = _splice_efficiency(stated, efficiencies, reference)
    bend_end, bend = _worst_bend(bends, reference)
    wet = _wet_factor(asked, reference, notices)
    reasons = {}
    if bend is None:
        reasons["bend_efficiency"] = "no eye is on a pin of known size, so bending is not counted"
    if wet is None:
        reasons["wet_factor"] = "only nylon loses strength when wet, and this is not wet nylon"
    if stated is None:
        for name in ("breaking", "basis", "splice_efficiency", "assembly", "governed_by"):
            reasons[name] = _NO_FORCE
    if factor is None:
        reasons["design_factor"] = _NO_FACTOR
    if stated is not None and splice is None:
        for name in ("splice_efficiency", "assembly", "governed_by"):
            reasons[name] = _NO_EFFICIENCY
    if stated is None or splice is None:
        return Strength(
            of=of,
            breaking=Force(stated.force_kn, GIVEN) if stated else None,
            basis=stated.basis if stated else None,
            splice_efficiency=None,
            bend_efficiency=bend,
            wet_factor=wet,
            assembly=None,
            working_limit=None,
            design_factor=factor,
            verdict=None,
            governed_by=None,
            reasons=reasons | dict.fromkeys(("working_limit", "verdict"), reasons["assembly"]),
        )
    governing = splice.value
    governed_by = "splice" if stated.basis != "spliced" else "stated_spliced_strength"
    if bend is not None and bend.value < governing:
        governing, governed_by = bend.value, f"eye_on_pin.{bend_end}"
    assembly_kn = stated.force_kn * governing * (wet.value if wet else 1.0)
    limit_kn = assembly_kn / factor.value if factor else None
    if factor is None or limit_kn is None:
        reasons["working_limit"] = _NO_FACTOR
    elif asked.use.design_factor is None:
        _say_low_end(factor, reference, notices)
    load_kn = asked.use.working_load_kn
    verdict: Literal["within_limit", "over_limit"] | None = None
    if limit_kn is not None and load_kn is not None:
        verdict = "over_limit" if above(load_kn, limit_kn) else "within_limit"
    if verdict == "over_limit" and limit_kn is not None and load_kn is not None:
        notices.add(
            "working_load_over_limit",
            "/use/working_load",
            value=Force(load_kn),
            limit=Force(limit_kn),
            source=factor.source if factor else None,
        )
    if verdict is None:
        reasons["verdict"] = _NO_LOAD if load_kn is None else _NO_FACTOR
    return Strength(
        of=of,
        breaking=Force(stated.force_kn, GIVEN),
        basis=stated.basis,
        splice_efficiency=splice,
        bend_efficiency=bend,
        wet_factor=wet,
        assembly=Force(assembly_kn),
        working_limit=Force(limit_kn) if limit_kn is not None else None,
        design_factor=factor,
        verdict=verdict,
        governed_by=governed_by,
        reasons=reasons,
    )


def forces_outside_range(asked: spec.Spec, reference: Reference) -> tuple[Fault, ...]:
    """Forces that this service is not made for: mostly a wrong unit."""
    least, most = reference.rule("force.least"), reference.rule("force.most")
    stated = asked.rope.breaking_strength
    forces = {
        "/rope/breaking_strength/force": stated.force_kn if stated else None,
        "/use/working_load": asked.use.working_load_kn,
    }
    return tuple(
        Fault(
            pointer,
            "force_outside_range",
            f"A force of {decimal_text(force_kn, _FORCE_PLACES)} kN lies outside what the rules "
            "here were made for.",
            allowed=f"{least.value:g} kN to {most.value:.0f} kN",
            hint="Check the unit of the force.",
        )
        for pointer, force_kn in forces.items()
        if force_kn is not None and not within(least.value, force_kn, most.value)
    )


def without_limit(strength: Strength) -> Strength:
    """A stopped plan states no working limit, and never that a load is within one."""
    over = strength.verdict == "over_limit"
    reasons = {**strength.reasons, "working_limit": _STOPPED}
    if not over:
        reasons["verdict"] = _STOPPED
    verdict = strength.verdict if over else None
    return replace(strength, working_limit=None, verdict=verdict, reasons=reasons)


def _splice_efficiency(
    stated: spec.BreakingStrength | None,
    efficiencies: Sequence[Figure | None],
    reference: Reference,
) -> Share | None:
    if stated is None or not efficiencies or None in efficiencies:  # one without leaves none
        return None
    if stated.basis == "spliced":
        return share_of(reference.rule("strength.splice_efficiency.stated_spliced"))
    known = [figure for figure in efficiencies if figure is not None]
    return share_of(min(known, key=lambda figure: figure.value))


def _worst_bend(
    bends: Mapping[EndName, float | None], reference: Reference
) -> tuple[EndName | None, Share | None]:
    known = [(value, name) for name, value in bends.items() if value is not None]
    if not known:
        return None, None
    value, name = min(known)
    return name, Share(value, reference.rule("strength.bend_coefficient").source, note=_STEEL_RULE)


def _wet_factor(asked: spec.Spec, reference: Reference, notices: Notices) -> Share | None:
    if "nylon" not in fibres_under_load(asked.rope) or asked.use.wet is False:
        return None
    loss = reference.rule("strength.wet_nylon_loss")
    if asked.use.wet is None:
        notices.assume("nylon that works wet", loss.source)
    return Share(1 - loss.value, loss.source)


def _design_factor(use: spec.Use, reference: Reference, notices: Notices) -> Share | None:
    known = reference.design_factor(use.duty or "other")
    if use.design_factor is None:
        return share_of(known) if use.duty else None
    if below(use.design_factor, known.value):
        notices.add(
            "factor_below_duty" if use.duty else "factor_below_general_range",
            "/use/design_factor",
            value=use.design_factor,
            limit=known.value,
            source=known.source,
            duty=(use.duty or "any").replace("_", " "),
        )
    return Share(use.design_factor, GIVEN)


def _say_low_end(factor: Share, reference: Reference, notices: Notices) -> None:
    """Of the general range the low end is reckoned with, which takes expert knowledge."""
    general = reference.design_factor("other")
    if factor.source == general.source and factor.high is not None:
        notices.add(
            "factor_at_low_end",
            "/use/duty",
            value=factor.value,
            limit=factor.high,
            source=factor.source,
        )


def _printed(limit: Figure) -> float:
    """A limit in degC as it is printed: whoever works to that keeps it."""
    return rounded(limit.value, _DEGREE_PLACES)


def _judge_temperature(asked: spec.Spec, reference: Reference, notices: Notices) -> None:
    temperature_c = asked.use.temperature_c
    if temperature_c is None:
        return
    limits = [reference.temperature_limit(fibre) for fibre in fibres_of(asked.rope)]
    low = max((low for low, _ in limits), key=lambda limit: limit.value)
    high = min((high for _, high in limits), key=lambda limit: limit.value)
    for code, limit, outside in (
        ("too_cold", low, below(temperature_c, min(low.value, _printed(low)))),
        ("too_hot", high, above(temperature_c, max(high.value, _printed(high)))),
    ):
        if outside:
            notices.add(
                code,
                "/use/temperature",
                value=Temperature(temperature_c),
                limit=Temperature(limit.value),
                source=limit.source,
            )
