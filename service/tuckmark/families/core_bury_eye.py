"""An eye in double braid whose core carries the load: the core's tail is buried in the core."""

from tuckmark.families import (
    bury_steps,
    core_bury_steps,
    cover_core,
    cover_core_steps,
    eye_fittings,
    eyes,
)
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.families.core_bury import core_bury, core_bury_limits, published
from tuckmark.families.core_bury_steps import KINDS
from tuckmark.families.cover_core import Place
from tuckmark.plan import Length


def _plan(request: EndRequest) -> EndResult:
    shape = eyes.eye_of(request)
    fid = cover_core.fid_sections(request)
    bury = core_bury(request, fid)
    # a straight bury, though in the core: without stitching the plan stops
    stitched = cover_core.is_stitched(request, "straight_bury_unstitched")
    cover_taper, shortening = cover_core.cover_taper(request, fid), cover_core.shortening(request)
    throat_mm = bury.tail.mm + shape.perimeter_mm
    marks = cover_core.lay_marks(
        request,
        (
            Place("taper_start", "cover", cover_taper.mm),
            Place("tail_throat", "cover", bury.tail.mm),
            Place("body_throat", "cover", throat_mm),
            *(cover_core.stitch_places(request, throat_mm) if stitched else ()),
            Place("knot", "cover", throat_mm + bury.knot.mm),
            Place("core_taper_start", "core", bury.taper.mm),
            Place("core_throat", "core", bury.tail.mm),
            *cover_core.core_places("bury_entry", fid.short_mm, "tail_exit", bury.exit_mm),
        ),
        KINDS,
    )
    return EndResult(
        rope_use=RopeUse(
            tail_mm=bury.tail.mm,
            shortening=shortening,
            eye=eyes.use_of(request, shape),
            run_mm=bury.knot.mm,
            rest_mm=bury.exit_mm,
        ),
        figures={
            "bury": bury.tail,
            "buried": Length(bury.tail.mm),
            "published": published(request, fid, shape.perimeter_mm),
            "core_diameter": bury.core,
            "fid_sections": fid.figures,
            "eye": eyes.described(request.eye, shape),
            "cover_taper": cover_taper,
            "core_taper": bury.taper,
            "knot_past_throat": bury.knot,
            "hold": cover_core.no_hold(),
            "shortening": shortening,
        },
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *core_bury_steps.steps(request, marks),
            *(bury_steps.stitching_steps(request) if stitched else ()),
        ),
        tools=(
            *cover_core_steps.tools(request, stitched_throats=1 if stitched else 0),
            *eye_fittings.tools(request),
        ),
    )


FAMILY = Family(
    name="core_bury_eye",
    title="an eye in double braid whose core carries the load, buried in its own core",
    ropes=("core_dependent_double_braid",),
    marks=(
        "taper_start",
        "tail_throat",
        "body_throat",
        "stitch_start",
        "stitch_end",
        "knot",
        "core_taper_start",
        "core_throat",
        "core_out",
        "bury_entry",
        "tail_exit",
    ),
    sources=("merry_p_70_71", "toss_p_126", "toss_p_125_127_140", "assumption_core_diameter"),
    confidence="C",
    reads=("fid_length", "core_fibre", "core_diameter", "coating"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "core_dependent_double_braid",
            "fibre": "polyester",
            "core_fibre": "hmpe",
            "size": {"diameter": "1/2 in"},
        },
        "ends": {
            "a": {
                "splice": "core_bury_eye",
                "eye": {"form": "perimeter", "perimeter": "12 in", "perimeter_of": "centre_line"},
            }
        },
    },
    plan_end=_plan,
    bury_limits=core_bury_limits,
)
