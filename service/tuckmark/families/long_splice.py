"""Two laid ropes joined by a long splice, hardly thicker than the rope."""

import math

from msgspec import Struct

from tuckmark.families import laid, laid_join, laid_steps, long_splice_steps
from tuckmark.families.base import EndRequest, Family, JoinRequest, JoinResult, RopeUse
from tuckmark.families.laid_marks import mark_at
from tuckmark.families.marking import Kind
from tuckmark.families.rope_room import refuse_short_ropes
from tuckmark.faults import Fault, Refused
from tuckmark.plan import GIVEN, Figures, Length, Mark
from tuckmark.reference import Figure


class _Layout(Struct, frozen=True):
    """Where the strands of both ropes meet, and what is left of them there.

    Attributes:
        unlay_mm: of each rope, bitter end to throat.
        end_mm: strand left at a meeting, for its tucks and tail.
        meetings_mm: from the throats into either body, the nearest first.
    """

    turns: int
    unlay_mm: float
    end_mm: float
    meetings_mm: tuple[float, ...]


def _plan(request: JoinRequest) -> JoinResult:
    first, second = (request.side(name) for name in ("a", "b"))
    tucked = laid.tuck(first, laid.counts_of(first))
    lay = laid_join.lay_of_both(request, first)
    layout = _lay_out(request, first, tucked)
    ends = request.reference.statement("long_splice.ends")
    request.notices.assume("where the strands of a long splice meet", ends.source)
    shortening = laid.shortening(first)
    use = RopeUse(
        tail_mm=layout.unlay_mm,
        shortening=shortening,
        run_mm=layout.meetings_mm[-1] + tucked.run.bounds_mm[1],
    )
    refuse_short_ropes(request, use)
    marks = {end.name: _marks(end, layout) for end in (first, second)}
    both = (first, second)
    return JoinResult(
        uses=(use, use),
        figures={**_figures(request, first, tucked, layout), "shortening": shortening},
        least_body_mm=2 * use.run_mm,
        strength_of="the joined rope",
        closed=False,
        marks=(*marks["a"], *marks["b"]),
        steps=(
            laid_join.checking_step(lay),
            *(laid_steps.marking_step(end, marks[end.name]) for end in both),
            *(laid_steps.unlaying_step(end, lay) for end in both),
            laid_join.marrying_step(first, second),
            *long_splice_steps.meeting_steps(
                first, second, len(layout.meetings_mm), layout.end_mm, tucked, lay
            ),
            laid_steps.rounding_step(None, tuple(end.mark_id("tail_throat") for end in both)),
            long_splice_steps.trimming_step(first, second, len(layout.meetings_mm), tucked),
        ),
        tools=laid_steps.tools(first),
    )


def _lay_out(request: JoinRequest, end: EndRequest, tucked: laid.Tucked) -> _Layout:
    """The strands' meetings at equal steps along the splice, the outermost as far as ends allow.

    Raises:
        Refused: ``turns_too_few``: the tucks of neighbouring meetings would run into each other.
    """
    rule = request.reference.rule("long_splice.turns")
    strands, lay_mm = end.rope.strand_count, laid.lay_length(end).mm
    turns = request.join.turns or int(rule.value)
    gaps = strands - 1
    outermost_mm = turns * lay_mm - tucked.unlay.mm
    least_mm = gaps * tucked.run.mm
    if outermost_mm < least_mm:
        least = math.ceil((tucked.unlay.mm + least_mm) / lay_mm)
        raise Refused((_turns_too_few(request, turns, least),))
    _judge_turns(request, turns, rule)
    # the strands meet symmetrically; those ahead of the throats lie alike in both bodies
    ahead = (2 * i - gaps for i in range(strands) if 2 * i > gaps)
    meetings_mm = tuple(outermost_mm * steps / gaps for steps in ahead)
    return _Layout(turns, turns * lay_mm, tucked.unlay.mm, meetings_mm)


def _judge_turns(request: JoinRequest, turns: int, rule: Figure) -> None:
    if turns < rule.value:
        request.notices.add(
            "long_splice_turns_few",
            f"{request.pointer}/turns",
            value=float(turns),
            limit=rule.value,
            source=rule.source,
        )


def _figures(
    request: JoinRequest, end: EndRequest, tucked: laid.Tucked, layout: _Layout
) -> Figures:
    rule = request.reference.rule("long_splice.turns")
    source = rule.source if request.join.turns is None else GIVEN
    lay = laid.lay_length(end)
    low_mm, high_mm = lay.bounds_mm
    return {
        **laid.figures(end, tucked),
        "unlay": Length(layout.unlay_mm, source=source),
        "turns": {
            "count": layout.turns,
            "length": Length(
                layout.turns * lay.mm, layout.turns * low_mm, layout.turns * high_mm, lay.source
            ),
            "source": source,
        },
        "strand_ends": Length(layout.end_mm, source=tucked.unlay.source),
        "meetings": [Length(mm) for mm in layout.meetings_mm],
        "strand": laid.strand_figures(end, layout.unlay_mm),
    }


def _marks(end: EndRequest, layout: _Layout) -> tuple[Mark, ...]:
    meetings = [
        mark_at(
            end,
            f"meeting_{n}",
            Length(layout.unlay_mm + mm),
            Kind(f"meeting {n}", "dot", "where two strands, one of each rope, meet and are tucked"),
        )
        for n, mm in enumerate(layout.meetings_mm, 1)
    ]
    return mark_at(end, "tail_throat", Length(layout.unlay_mm)), *meetings


def _turns_too_few(request: JoinRequest, turns: int, least: int) -> Fault:
    return Fault(
        f"{request.pointer}/turns" if request.join.turns else request.pointer,
        "turns_too_few",
        "So few turns leave no room between the places where the strands meet: their tucks would "
        "run into each other.",
        allowed=f"at least {least} turns",
        given=turns,
        hint="Unlay more turns, or make a short splice.",
    )


FAMILY = Family(
    name="long_splice",
    title="two laid ropes joined by a long splice",
    ropes=("laid_3", "laid_4"),
    marks=("tail_throat", "meeting_1…n"),
    sources=(
        "us_navy_14251",
        "cfr_1926_251_d_2_and_1910_184_h_3",
        "us_navy_14067_pawson_ocimf_c_1",
        "common_practice_long_splice_ends",
    ),
    confidence="C",
    reads=("lay", "lay_length"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "laid_3",
            "fibre": "manila",
            "size": {"diameter": "24 mm"},
            "lay_length": "80 mm",
        },
        "join": {"splice": "long_splice", "ropes": [{"length": "12 m"}, {"length": "9 m"}]},
    },
    plan_join=_plan,
)
