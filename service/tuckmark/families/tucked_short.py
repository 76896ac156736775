"""Two laid ropes joined by a short splice: the strands of each tucked into the other's body."""

from tuckmark.families import laid, laid_join, laid_steps
from tuckmark.families.base import Family, JoinRequest, JoinResult, RopeUse
from tuckmark.families.laid_marks import mark_at, strand_mark, tuck_marks
from tuckmark.families.rope_room import refuse_short_ropes
from tuckmark.plan import Length


def _plan(request: JoinRequest) -> JoinResult:
    first, second = (request.side(name) for name in ("a", "b"))
    counts = laid.counts_of(first)
    laid.judge_tucks(first, counts)
    tucked = laid.tuck(first, counts)
    lay = laid_join.lay_of_both(request, first)
    shortening = laid.shortening(first)
    use = RopeUse(tail_mm=tucked.unlay.mm, shortening=shortening, run_mm=tucked.run.bounds_mm[1])
    refuse_short_ropes(request, use)
    marks = {
        end.name: (
            mark_at(end, "tail_throat", Length(tucked.unlay.mm)),
            *tuck_marks(end, tucked, tucked.unlay.mm),
            strand_mark(end, tucked.past_full_mm),
        )
        for end in (first, second)
    }
    sides = ((first, second), (second, first))
    return JoinResult(
        uses=(use, use),
        figures={**laid.figures(first, tucked), "shortening": shortening},
        least_body_mm=2 * use.run_mm,
        strength_of="the joined rope",
        closed=False,
        splice_efficiency=request.reference.laid_strength("short_splice"),
        marks=(*marks["a"], *marks["b"]),
        steps=(
            laid_join.checking_step(lay),
            *(laid_steps.marking_step(end, marks[end.name]) for end in (first, second)),
            *(laid_steps.unlaying_step(end, lay) for end in (first, second)),
            *(laid_steps.strand_marking_step(end, marks[end.name][-1]) for end in (first, second)),
            laid_join.marrying_step(first, second),
            *(
                step
                for end, body in sides
                for step in laid_steps.tucking_steps(end, body, tucked, lay, begun=0)
            ),
            laid_steps.rounding_step(None, tuple(end.mark_id("tail_throat") for end, _ in sides)),
            *(laid_steps.trimming_step(end, tucked) for end in (first, second)),
        ),
        tools=laid_steps.tools(first),
    )


FAMILY = Family(
    name="tucked_short",
    title="two laid ropes joined by a short splice",
    ropes=("laid_3", "laid_4"),
    marks=("tail_throat", "last_full_tuck", "last_tuck", "strand_tail"),
    sources=(
        "cfr_1926_251_d_2_and_1910_184_h_3",
        "us_navy_14067_pawson_ocimf_c_1",
        "pawson_p_214_ashley_2641_merry_p_35",
        "derived_laid_geometry",
        "assumption_lay_length",
        "assumption_tuck_shortening",
    ),
    confidence="C",
    reads=("lay", "lay_length"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {"construction": "laid_3", "fibre": "manila", "size": {"diameter": "24 mm"}},
        "join": {"splice": "tucked_short", "ropes": [{"length": "12 m"}, {"length": "9 m"}]},
    },
    plan_join=_plan,
)
