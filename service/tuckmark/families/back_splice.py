"""A rope's end turned back into itself: laid strands tucked back, or a cover into its core."""

from tuckmark.families import laid, laid_steps
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.families.cover_core_back import plan_cover_core_back
from tuckmark.families.laid_marks import mark_at, strand_mark, tuck_marks
from tuckmark.faults import Refused
from tuckmark.identify import DOUBLE_BRAIDS
from tuckmark.plan import GIVEN, Length, Step
from tuckmark.reference import Figure


def _plan(request: EndRequest) -> EndResult:
    if request.rope.construction in DOUBLE_BRAIDS:
        if request.end.tucks is not None:
            request.notices.add("fact_not_used", f"{request.pointer}/tucks", fact="number of tucks")
        return plan_cover_core_back(request)
    return _plan_laid(request)


def _plan_laid(request: EndRequest) -> EndResult:
    """A laid rope: a crown, then rounds of tucks."""
    rule = request.reference.rule
    rounds, crown = (
        request.reference.back_splice_rounds(request.rope.fibre),
        rule("back_splice.crown"),
    )
    if rounds is None:
        raise Refused((laid.no_rule(request.rope.fibre),))
    crown_mm = crown.value * request.rope.diameter_mm
    full = int(rounds.value) if request.end.tucks is None else request.end.tucks
    source = rounds.source if request.end.tucks is None else GIVEN
    _judge_rounds(request, full, rounds)
    tucked = laid.tuck(request, laid.Counts(full, 0, "none", source), crown_mm=crown_mm)
    lay = laid.lay_of(request, [request.rope.lay])
    request.notices.assume(
        f"{crown.value:g} d of rope for a crown, its height not counted in the length", crown.source
    )
    shortening = laid.shortening(request)
    marks = (
        mark_at(request, "tail_throat", Length(tucked.unlay.mm)),
        *tuck_marks(request, tucked, tucked.unlay.mm),
        strand_mark(request, tucked.past_full_mm),
    )
    return EndResult(
        rope_use=RopeUse(
            tail_mm=tucked.unlay.mm, shortening=shortening, run_mm=tucked.run.bounds_mm[1]
        ),
        figures={
            "unlay": tucked.unlay,
            "crown": Length(crown_mm, source=crown.source),
            "tuck_rounds": {
                "full": full,
                "tapered": 0,
                "source": source,
                "least": {"full": int(rounds.value), "source": rounds.source},
            },
            "tail": Length(tucked.tail_mm, source=rule("tucks.tail.small").source),
            "advance": tucked.advance,
            "run": tucked.run,
            "strand": laid.strand_figures(request, tucked.unlay.mm),
            "shortening": shortening,
        },
        marks=marks,
        steps=(
            laid_steps.marking_step(request, marks),
            laid_steps.unlaying_step(request, lay),
            laid_steps.strand_marking_step(request, marks[-1]),
            _crowning_step(request),
            *laid_steps.tucking_steps(request, request, tucked, lay, begun=0),
            laid_steps.rounding_step(request.name, (request.mark_id("tail_throat"),)),
            laid_steps.trimming_step(request, tucked),
        ),
        tools=laid_steps.tools(request),
        carries_load=False,
    )


def _judge_rounds(request: EndRequest, count: int, advised: Figure) -> None:
    if count < advised.value:
        request.notices.add(
            "back_splice_rounds_few",
            f"{request.pointer}/tucks",
            value=float(count),
            limit=advised.value,
            source=advised.source,
            fibre=request.rope.fibre,
        )


def _crowning_step(request: EndRequest) -> Step:
    return Step(
        "splice",
        "pass",
        f"End {request.name}: crown the rope. Bend each strand in turn over the one beside it, "
        "all round the same way, and pass the last under the bend of the first. Draw the crown "
        "down on the ring of the tail throat until all ends point back along the body. From here "
        "on that ring is the throat, and the body lies beyond it.",
        request.name,
        (request.mark_id("tail_throat"),),
    )


FAMILY = Family(
    name="back_splice",
    title="a rope's end turned back into itself",
    ropes=("laid_3", "laid_4", "double_braid"),
    marks=(
        "taper_start",
        "tail_throat",
        "last_full_tuck",
        "strand_tail",
        "knot",
        "core_out",
        "cover_entry",
        "cover_exit",
    ),
    sources=(
        "merry_p_42_pawson_p_210",
        "merry_p_59_61",
        "cfr_1926_251_d_2_and_1910_184_h_3",
        "assumption_back_splice_crown",
        "derived_laid_geometry",
    ),
    confidence="C",
    reads=("lay", "lay_length", "fid_length", "core_fibre"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {"construction": "laid_3", "fibre": "polyester", "size": {"diameter": "12 mm"}},
        "ends": {
            "a": {"splice": "tucked_eye", "eye": {"form": "flat", "inside_length": "200 mm"}},
            "b": {"splice": "back_splice"},
        },
    },
    plan_end=_plan,
)
