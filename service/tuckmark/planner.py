"""A typed spec to a plan: the rope is identified, each end planned, the lengths added up."""

from collections.abc import Mapping
from functools import partial
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tuckmark import (
    advice,
    bench,
    identify,
    lengths,
    notices,
    spec,
    strength,
    suitability,
    tolerances,
    unread,
)
from tuckmark.compare import above
from tuckmark.families.base import EndRequest, EndResult, Family, JoinRequest, RopeUse
from tuckmark.faults import Collected, Fault, Refused
from tuckmark.plan import Figures, Length, Lengths, Mark, Plan, Step, Tool
from tuckmark.quantities import ReadQuantity
from tuckmark.reference import Figure, Reference
from tuckmark.spec import EndName
from tuckmark.writing import LengthText


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
    write = LengthText(asked.display.units, asked.display.inch_fraction)
    said = notices.Notices(write)
    collected = Collected(
        *suitability.refused_use(asked.use), *strength.forces_outside_range(asked, reference)
    )
    rope = collected.attempt(lambda: identify.identify(asked.rope, reference, said))
    if unsuited := suitability.unsuited(asked, families):
        collected.faults += unsuited
    if rope is None or unsuited:
        raise Refused(tuple(collected.faults))
    request = Request(asked, rope, reference, families, said, write)
    spliced = collected.attempt(lambda: _spliced(request))
    if spliced is None:
        raise Refused(tuple(collected.faults))
    whole = collected.attempt(
        lambda: lengths.plan_lengths(
            spliced.assembly, spliced.target, rope, asked, reference, said, write
        )
    )
    if whole is None or collected.faults:
        raise Refused(tuple(collected.faults))
    if asked.length and asked.length.resplice:
        again = asked.length.resplice
        shorter = lengths.plan_resplice(again, spliced.uses[again.end], whole, write)
        whole = replace(whole, resplice=shorter)
    judged = lengths.as_asked(spliced.target, whole.finished)
    measurements = advice.advise(judged, write)
    tolerance = advice.judge_tolerance(spliced.target, judged, measurements, reference, said)
    whole = replace(whole, tolerance=tolerance)
    holds = strength.plan_strength(
        asked, spliced.strength_of, spliced.efficiencies, spliced.bends, reference, said
    )
    _judge_use(asked, said, reference)
    for pointer, fact in unread.unread(asked, families, rope, whole):
        said.add("fact_not_used", pointer, fact=fact)
    read = unread.facts_read(asked, families)
    said.keep_assumed(read)
    warnings = said.all()
    if any(warning.severity == "stop" for warning in warnings):
        holds = strength.without_limit(holds)
    return Plan(
        digest=digest,
        job=asked.job,
        read_as=read_as,
        rope=identify.described(rope, reference),
        ends=spliced.ends,
        join=_joined(spliced, whole, rope),
        marks=tolerances.within_length(spliced.marks, spliced.target, whole.finished),
        from_a=_on_one_axis(spliced, whole.cut),
        steps=bench.in_order(
            rope, whole, holds, spliced.steps, reference, write, piece=spliced.piece, read=read
        ),
        tools=bench.all_tools(spliced.tools, holds, reference, write),
        lengths=whole,
        strength=holds,
        advice=measurements,
        warnings=warnings,
        cautions=notices.cautions(),
    )


class Request(Struct, frozen=True):
    """What every part of one plan looks at."""

    asked: spec.Spec
    rope: identify.Rope
    reference: Reference
    families: Mapping[str, Family]
    said: notices.Notices
    write: LengthText


class Spliced(Struct, frozen=True):
    """Ends or join, planned: all that the rest of the plan is made from.

    Attributes:
        one_axis: whether a single rope runs from end a to end b.
    """

    uses: Mapping[EndName, RopeUse]
    assembly: lengths.Assembly
    target: lengths.Target | None
    ends: Mapping[EndName, Figures] | None
    join: Figures | None
    strength_of: str
    efficiencies: tuple[Figure | None, ...]
    bends: Mapping[EndName, float | None]
    marks: tuple[Mark, ...]
    steps: tuple[Step, ...]
    tools: tuple[Tool, ...]
    one_axis: bool

    @property
    def piece(self) -> bench.Piece:
        """What the job is made from."""
        if not self.one_axis:
            return "two_ropes"
        there_is = self.target is not None and self.target.available_mm is not None
        return "as_it_is" if there_is else "to_cut"


def _spliced(request: Request) -> Spliced:
    asked = request.asked
    spliced = _join(request, asked.join) if asked.join else _ends(request, asked.ends)
    _within_service_range(request, spliced)
    return spliced


def _joined(spliced: Spliced, whole: Lengths, rope: identify.Rope) -> Figures | None:
    """The join's figures; a loop's with its size on both lines it may be measured on."""
    if spliced.join is None or not spliced.one_axis or whole.finished is None:
        return spliced.join
    return {**spliced.join, **lengths.loop_figures(whole.finished, rope.diameter)}


def _ends(request: Request, ends: spec.Ends | None) -> Spliced:
    if ends is None:
        raise ValueError("the schema lets no spec pass without ends or join")
    results = _plan_ends(request, ends)
    uses = {name: result.rope_use for name, result in results.items()}
    assembly, target = lengths.assemble_ends(
        uses, request.asked, ends, request.rope, request.reference
    )
    splices = {"a": ends.a.splice, "b": ends.b.splice}
    return Spliced(
        uses=uses,
        assembly=assembly,
        target=target,
        ends={name: {"splice": splices[name], **r.figures} for name, r in results.items()},
        join=None,
        strength_of="the assembly",
        efficiencies=tuple(
            result.splice_efficiency for result in results.values() if result.carries_load
        ),
        bends={name: result.bend_efficiency for name, result in results.items()},
        marks=tuple(mark for result in results.values() for mark in result.marks),
        steps=tuple(step for result in results.values() for step in result.steps),
        tools=tuple(tool for result in results.values() for tool in result.tools),
        one_axis=True,
    )


def _plan_ends(request: Request, ends: spec.Ends) -> dict[EndName, EndResult]:
    results: dict[EndName, EndResult] = {}
    collected = Collected()
    both: dict[EndName, spec.End] = {"a": ends.a, "b": ends.b}
    for name, end in both.items():
        plan_end = request.families[end.splice].plan_end
        if plan_end is None:
            raise ValueError("the schema lets no join stand at an end")
        end_request = EndRequest(
            name,
            ends.pointer(name),
            end,
            request.rope,
            request.asked.use,
            request.reference,
            request.said,
            request.write,
            _far_end(name, ends, request.asked.rope),
        )
        result = collected.attempt(partial(plan_end, end_request))
        if result is not None:
            results[name] = result
    collected.raise_any()
    return results


def _far_end(name: EndName, ends: spec.Ends, rope: spec.Rope) -> Literal["free", "closed"]:
    """Whether the other end can still be passed through the rope: end a is made first."""
    return "closed" if name == "b" and ends.a.splice != "plain" else rope.far_end


def _join(request: Request, join: spec.Join) -> Spliced:
    plan_join = request.families[join.splice].plan_join
    if plan_join is None:
        raise ValueError("the schema lets no end splice stand as a join")
    asked, rope = request.asked, request.rope
    result = plan_join(
        JoinRequest(join, rope, asked.use, request.reference, request.said, request.write)
    )
    first, second = result.uses
    assembly, target = lengths.assemble_join(result, join, asked, rope, request.reference)
    return Spliced(
        uses={"a": first, "b": second},
        assembly=assembly,
        target=target,
        ends=None,
        join={"splice": join.splice, **result.figures},
        strength_of=result.strength_of,
        efficiencies=(result.splice_efficiency,),
        bends={},
        marks=result.marks,
        steps=result.steps,
        tools=result.tools,
        one_axis=result.closed,
    )


def _within_service_range(request: Request, spliced: Spliced) -> None:
    most = request.reference.rule("length.most")
    too_far = [mark.distance.mm for mark in spliced.marks if above(mark.distance.mm, most.value)]
    if too_far:
        raise Refused(
            (
                Fault(
                    "/ends" if request.asked.ends else "/join",
                    "length_outside_range",
                    f"A mark would lie {max(too_far) / 1000:.0f} m from the bitter end.",
                    allowed=f"at most {most.value / 1000:g} m",
                    hint="Check the units of bury, eye and fid length.",
                ),
            )
        )


def _on_one_axis(spliced: Spliced, cut: Length | None) -> dict[str, Length]:
    """Where each mark lies from end a, where one rope runs from end to end and its cut is known."""
    if cut is None or not spliced.one_axis:
        return {}
    return {
        mark.id: mark.distance if mark.end == "a" else mark.distance.taken_from(cut.mm)
        for mark in spliced.marks
        if mark.part != "strand" and mark.measured_from == "bitter_end"
    }


def _judge_use(asked: spec.Spec, said: notices.Notices, reference: Reference) -> None:
    if asked.use.duty == "lifting_sling" and asked.rope.condition == "used":
        said.add(
            "used_rope_in_sling",
            "/rope/condition",
            source=reference.statement("splices.no_knots").source,
        )
    if asked.length and asked.length.resplice:
        if asked.use.duty == "lifting_sling":
            said.add(
                "respliced_sling",
                "/length/resplice",
                source=reference.statement("splices.no_knots").source,
            )
        if asked.rope.construction in ("double_braid", "core_dependent_double_braid"):
            said.add(
                "used_double_braid",
                "/length/resplice",
                source=reference.statement("double_braid.used").source,
            )
    if asked.ends and not asked.ends.b_given:
        said.add("end_b_left_plain", "/ends")
