"""Two ropes joined end to end, each tail buried in the other's body."""

from functools import partial

from tuckmark.families.base import Family
from tuckmark.families.bury_join import plan_bury_join
from tuckmark.families.bury_rules import straight_limits

FAMILY = Family(
    name="end_to_end_bury",
    title="two ropes joined end to end, both tails buried",
    ropes=("single_braid_12",),
    marks=(
        "taper_1…n", "tail_throat", "bury_entry", "stitch_start", "stitch_end", "tip_rest",
        "tail_exit",
    ),
    sources=(
        "toss_p_126",
        "toss_p_122_124",
        "toss_p_125_127_140",
        "common_practice_bury_standard",
        "common_practice_taper",
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
        "join": {
            "splice": "end_to_end_bury",
            "ropes": [{"length": "12 m"}, {"length": "9 m"}],
        },
    },
    plan_join=partial(plan_bury_join, closed=False),
    bury_limits=straight_limits,
)  # fmt: skip
