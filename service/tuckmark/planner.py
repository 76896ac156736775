"""A typed spec to a plan: the rope is identified, each end planned, the lengths added up."""

from collections.abc import Mapping
from dataclasses import replace

from tuckmark import bench, identify, lengths, notices, spec, strength, suitability
from tuckmark.families.base import EndRequest, EndResult, Family
from tuckmark.faults import Fault, Refused
from tuckmark.plan import EndPlan, Length, Mark, Plan
from tuckmark.reading import ReadQuantity
from tuckmark.reference import Reference
from tuckmark.spec import EndName
from tuckmark.units import LengthText


def plan(
    asked: spec.Spec,
    read_as: tuple[ReadQuantity, ...],
    digest: str,
    reference: Reference,
    families: Mapping[str, Family],
) -> Plan:
    """Plan one assembly.

    Args:
        asked: the typed spec of an accepted document.
        read_as: its quantities, to echo.
        digest: of the document, engine and tables, to print.
        reference: the checked tables.
        families: the registry of splice families.

    Raises:
        Refused: no plan exists; carries every fault found.
    """
    if faults := suitability.unsuited(asked, families):
        raise Refused(faults)
    write = LengthText(asked.display.units, asked.display.inch_fraction)
    said = notices.Notices(write)
    rope = identify.identify(asked.rope, reference, said)
    results = _plan_ends(asked, rope, reference, families, said, write)
    assembly = lengths.assembly_of(
        {name: result.rope_use for name, result in results.items()}, asked, reference
    )
    whole = lengths.plan_lengths(assembly, rope, asked, reference, said, write)
    bends = {name: result.bend_efficiency for name, result in results.items()}
    holds = strength.plan_strength(asked, bends, reference, said)
    _judge_use(asked, said, reference)
    warnings = said.all()
    marks = tuple(_placed(mark, whole.cut) for result in results.values() for mark in result.marks)
    made = Plan(
        digest=digest,
        job=asked.job,
        read_as=read_as,
        rope=identify.described(rope, reference),
        ends={name: _end_plan(result) for name, result in results.items()},
        marks=marks,
        steps=bench.in_order(rope, whole, results, reference, write),
        tools=bench.all_tools(results, reference),
        lengths=whole,
        strength=holds,
        warnings=warnings,
        cautions=notices.cautions(),
    )
    return made if made.usable else replace(made, strength=strength.without_limit(holds))


def _plan_ends(
    asked: spec.Spec,
    rope: identify.Rope,
    reference: Reference,
    families: Mapping[str, Family],
    said: notices.Notices,
    write: LengthText,
) -> dict[EndName, EndResult]:
    results: dict[EndName, EndResult] = {}
    faults: list[Fault] = []
    ends: dict[EndName, spec.End] = {"a": asked.ends.a, "b": asked.ends.b}
    for name, end in ends.items():
        request = EndRequest(
            name, asked.ends.pointer(name), end, rope, asked.use, reference, said, write
        )
        try:
            results[name] = families[end.splice].plan(request)
        except Refused as refused:
            faults += [fault for fault in refused.faults if fault not in faults]
    if faults:
        raise Refused(tuple(faults))
    return results


def _placed(mark: Mark, cut: Length | None) -> Mark:
    """The mark also on the one axis from end a, where the cut length is known."""
    if cut is None:
        return mark
    from_a = mark.distance if mark.end == "a" else Length(cut.mm - mark.distance.mm)
    return replace(mark, from_a=from_a)


def _end_plan(result: EndResult) -> EndPlan:
    plain = result.figures is None
    return EndPlan(
        splice=result.splice,
        figures=result.figures,
        end_allowance=Length(result.rope_use.end_allowance_mm) if plain else None,
    )


def _judge_use(asked: spec.Spec, said: notices.Notices, reference: Reference) -> None:
    if asked.use.duty == "lifting_sling" and asked.rope.condition == "used":
        said.add(
            "used_rope_in_sling",
            "/rope/condition",
            source=reference.statement("splices.no_knots").source,
        )
    if not asked.ends.b_given:
        said.add("end_b_left_plain", "/ends")
