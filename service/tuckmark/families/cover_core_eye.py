"""An eye in double braid whose cover and core share the load.

The cover tail goes into the core and the core tail into the cover, so that half of the load
crosses over at the throat.
"""

from tuckmark.families import bury_steps, cover_core, cover_core_steps, eye_fittings, eyes
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.families.cover_core import Place, Sections
from tuckmark.plan import Length, Step


def _plan(request: EndRequest) -> EndResult:
    cover_core.refuse_unshared_load(request)
    shape = eyes.eye_of(request)
    fid = cover_core.fid_sections(request)
    stitched = cover_core.is_stitched(request)
    taper, knot = cover_core.cover_taper(request, fid), cover_core.knot_past_throat(request, fid)
    shortening = cover_core.shortening(request)
    throat_mm = fid.full_mm + shape.perimeter_mm
    exit_mm = 2 * fid.short_mm + fid.full_mm
    statement = request.reference.statement
    left_over = _core_left_over(fid, statement("double_braid.core_left_over").source)
    marks = cover_core.lay_marks(
        request,
        (
            Place("taper_start", "cover", taper.mm),
            Place("tail_throat", "cover", fid.full_mm),
            Place("crossover", "cover", fid.full_mm),
            Place("body_throat", "cover", throat_mm),
            *(cover_core.stitch_places(request, throat_mm) if stitched else ()),
            Place("core_tail_exit", "cover", throat_mm + fid.long_mm),
            Place("knot", "cover", throat_mm + knot.mm),
            *cover_core.core_places("cover_entry", fid.short_mm, "cover_exit", exit_mm),
        ),
    )
    return EndResult(
        rope_use=RopeUse(
            tail_mm=fid.full_mm,
            shortening=shortening,
            eye=eyes.use_of(request, shape),
            run_mm=knot.mm,
            rest_mm=exit_mm,
        ),
        figures={
            "bury": Length(fid.full_mm, source=statement("double_braid.eye").source),
            "buried": Length(fid.full_mm),
            "fid_sections": fid.figures,
            "eye": eyes.described(request.eye, shape),
            "cover_taper": taper,
            "knot_past_throat": knot,
            "core_left_over": left_over,
            "core_share": cover_core.core_share(request),
            "hold": cover_core.no_hold(),
            "shortening": shortening,
        },
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *cover_core_steps.mark_cover(request, marks),
            *cover_core_steps.draw_out_core(request, marks),
            *cover_core_steps.mark_core(request, marks),
            cover_core_steps.thin_cover(request),
            *_crossing(request, left_over),
            *(bury_steps.stitching_steps(request) if stitched else ()),
        ),
        tools=(
            *cover_core_steps.tools(request, stitched_throats=1 if stitched else 0),
            *eye_fittings.tools(request),
        ),
    )


def _core_left_over(fid: Sections, source: str) -> Length:
    """Core that stands out of the core tail exit before it is cut off.

    The published check counts from core out: F - L. Counted from the cover entry, where cover
    and core really cross, a short section more stands out until the eye is smoothed.
    """
    least_mm = fid.full_mm - fid.long_mm
    return Length(least_mm, least_mm, least_mm + fid.short_mm, source)


def _crossing(request: EndRequest, left_over: Length) -> tuple[Step, ...]:
    here, mark_id, write = request.name, request.mark_id, request.write.write
    least_mm, most_mm = left_over.bounds_mm
    return (
        *eye_fittings.captive_steps(request),
        Step("splice", "bury",
             f"{cover_core_steps.tip_on_fid('the cover tail')} Run the fid into the core at the "
             "cover entry, through its hollow centre toward the knot, and out at the cover exit. "
             "Draw the cover tail after it, without a twist, until the crossover ring on the cover "
             "lies at the cover entry on the core. Take the fid off.", here,
             (mark_id("cover_entry"), mark_id("cover_exit"), mark_id("crossover")), ("fid",)),
        Step("splice", "bury",
             f"{cover_core_steps.tip_on_fid('the core tail')} Run the fid into the cover at the "
             "tail throat, close beside the crossover, through the empty cover of the eye, past "
             "the body throat, and out at the core tail exit. Draw the core tail after it, and "
             "take the fid off.", here,
             (mark_id("tail_throat"), mark_id("body_throat"), mark_id("core_tail_exit")),
             ("fid",)),
        Step("splice", "smooth",
             "Draw on both tails in turn until the crossover is tight and hardly thicker than the "
             "rope. Hold it fast. Smooth the core from the cover entry toward the cover exit "
             "until the tip of the cover tail has drawn in, then smooth the cover round the eye "
             "from the crossover to the core tail exit until all slack is out. About "
             f"{write(least_mm)} to {write(most_mm)} of core should now stand out there. If more "
             "does, slack is left in the cover of the eye: smooth on. If less does, the crossover "
             "has slipped or a mark is wrong: draw the core tail back, measure the marks again, "
             "and cut nothing before it agrees.", here,
             (mark_id("crossover"), mark_id("cover_entry"), mark_id("cover_exit"),
              mark_id("core_tail_exit"))),
        Step("splice", "cut_strands",
             "Cut the core tail off at the core tail exit, at 45 degrees, and smooth the cover "
             "once more so that its end slips inside.", here, (mark_id("core_tail_exit"),),
             ("knife",), bury_steps.KNIFE),
        *eye_fittings.thimble_steps(request),
        cover_core_steps.milk_home(
            request, ("core_out", "cover_entry", "cover_exit", "crossover"),
            ("tail_throat", "body_throat"),
        ),
    )  # fmt: skip


FAMILY = Family(
    name="cover_core_eye",
    title="an eye in double braid whose cover and core share the load",
    ropes=("double_braid",),
    marks=(
        "taper_start",
        "tail_throat",
        "crossover",
        "body_throat",
        "stitch_start",
        "stitch_end",
        "core_tail_exit",
        "knot",
        "core_out",
        "cover_entry",
        "cover_exit",
    ),
    sources=("merry_p_56_71", "common_practice_double_braid_knot"),
    confidence="C",
    reads=("fid_length", "core_fibre"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "double_braid",
            "fibre": "polyester",
            "size": {"diameter": "1/2 in"},
        },
        "ends": {
            "a": {
                "splice": "cover_core_eye",
                "eye": {"form": "perimeter", "perimeter": "12 in", "perimeter_of": "centre_line"},
            }
        },
    },
    plan_end=_plan,
)
