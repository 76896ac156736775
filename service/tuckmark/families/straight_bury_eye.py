"""An eye held by a straight bury and cross-stitched at the throat."""

from tuckmark.families.base import EndRequest, EndResult, Family
from tuckmark.families.buried_eye import Closing, plan_buried_eye
from tuckmark.families.bury_rules import straight_limits
from tuckmark.families.bury_steps import straight_closing


def _plan(request: EndRequest) -> EndResult:
    stitched = request.end.stitching != "none"
    if not stitched:
        request.notices.add(
            "straight_bury_unstitched",
            f"{request.pointer}/stitching",
            source=request.reference.rule("stitch.length").source,
        )
    return plan_buried_eye(request, Closing(straight_closing(request)), stitched=stitched)


FAMILY = Family(
    name="straight_bury_eye",
    title="an eye held by a straight bury",
    ropes=("single_braid_12",),
    marks=(
        "taper_1…n",
        "tail_throat",
        "body_throat",
        "bury_entry",
        "stitch_start",
        "stitch_end",
        "tip_rest",
        "tail_exit",
    ),
    sources=(
        "toss_p_126",
        "toss_p_122_124",
        "toss_p_125_127_140",
        "merry_p_54",
        "common_practice_bury_standard",
        "common_practice_taper",
        "common_practice_stitching",
        "assumption_braid_pitch",
    ),
    confidence="C",
    reads=("fid_length", "pitch", "bury_shortening", "coating"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "single_braid_12",
            "fibre": "polyester",
            "size": {"diameter": "12 mm"},
        },
        "ends": {
            "a": {
                "splice": "straight_bury_eye",
                "eye": {"form": "flat", "inside_length": "200 mm"},
            }
        },
    },
    plan_end=_plan,
    bury_limits=straight_limits,
)
