"""An eye in laid rope, its strands tucked into the body."""

from tuckmark.families import eye_fittings, eyes, laid, laid_steps
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.families.laid_marks import mark_at, strand_mark, tuck_marks
from tuckmark.plan import Length


def _plan(request: EndRequest) -> EndResult:
    eye = request.eye
    counts = laid.counts_of(request)
    shape = eyes.eye_of(request)
    laid.judge_tucks(request, counts)
    tucked = laid.tuck(request, counts)
    lay = laid.lay_of(request, [request.rope.lay])
    shortening = laid.shortening(request)
    body_throat_mm = tucked.unlay.mm + shape.perimeter_mm
    marks = (
        mark_at(request, "tail_throat", Length(tucked.unlay.mm)),
        mark_at(request, "body_throat", Length(body_throat_mm)),
        *tuck_marks(request, tucked, body_throat_mm),
        strand_mark(request, tucked.past_full_mm),
    )
    return EndResult(
        rope_use=RopeUse(
            tail_mm=tucked.unlay.mm,
            shortening=shortening,
            eye=eyes.use_of(request, shape),
            # as far as the tucks may come out, so that clear rope is left between two splices
            run_mm=tucked.run.bounds_mm[1],
        ),
        figures={
            **laid.figures(request, tucked),
            "eye": eyes.described(eye, shape),
            "shortening": shortening,
        },
        splice_efficiency=request.reference.laid_strength("eye_splice"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            laid_steps.marking_step(request, marks),
            laid_steps.unlaying_step(request, lay),
            laid_steps.strand_marking_step(request, marks[-1]),
            *laid_steps.eye_steps(request, lay),
            *laid_steps.tucking_steps(request, request, tucked, lay, begun=1),
            laid_steps.rounding_step(request.name, (request.mark_id("body_throat"),)),
            laid_steps.trimming_step(request, tucked),
        ),
        tools=(*laid_steps.tools(request), *eye_fittings.tools(request)),
    )


FAMILY = Family(
    name="tucked_eye",
    title="an eye in laid rope, its strands tucked",
    ropes=("laid_3", "laid_4"),
    marks=("tail_throat", "body_throat", "last_full_tuck", "last_tuck", "strand_tail"),
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
        "rope": {"construction": "laid_3", "fibre": "nylon", "size": {"diameter": "12 mm"}},
        "ends": {"a": {"splice": "tucked_eye", "eye": {"form": "flat", "inside_length": "200 mm"}}},
    },
    plan_end=_plan,
)
