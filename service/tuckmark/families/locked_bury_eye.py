"""An eye locked by passing the tail through the body, then buried."""

from tuckmark.families.base import EndRequest, EndResult, Family
from tuckmark.families.buried_eye import Closing, plan_buried_eye
from tuckmark.families.bury_rules import locked_limits
from tuckmark.families.bury_steps import lock_closing
from tuckmark.spec import Lock


def _plan(request: EndRequest) -> EndResult:
    to_return = request.reference.rule("lock.picks_to_return")
    to_entry = request.reference.rule("lock.picks_to_entry")
    lock = request.end.lock or Lock((int(to_return.value), int(to_entry.value)))
    allowance = request.reference.rule("lock.allowance")
    request.notices.assume(
        f"tail used by the lock beyond its picks {allowance.value:g} d "
        f"({allowance.low:g} to {allowance.high:g})",
        allowance.source,
    )
    closing = Closing(lock_closing(request, lock), lock)
    return plan_buried_eye(request, closing, stitched=request.end.stitching == "cross_stitch")


FAMILY = Family(
    name="locked_bury_eye",
    title="an eye locked through the body, then buried",
    ropes=("single_braid_12",),
    marks=(
        "taper_1…n",
        "tail_throat",
        "body_throat",
        "lock_return",
        "bury_entry",
        "tip_rest",
        "tail_exit",
    ),
    sources=("common_practice_bury_locked", "common_practice_lock", "toss_p_125_127_140"),
    confidence="C",
    reads=("fid_length", "pitch", "bury_shortening", "coating"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "single_braid_12",
            "fibre": "hmpe",
            "size": {"diameter": "5/8 in"},
        },
        "ends": {
            "a": {
                "splice": "locked_bury_eye",
                "eye": {"form": "flat", "inside_length": "12 in"},
            }
        },
    },
    plan_end=_plan,
    bury_limits=locked_limits,
)
