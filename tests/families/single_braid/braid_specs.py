"""Specs of 12-strand braid with an eye, a join or a loop, for the tests of this folder."""

from typing import Any

from hypothesis import strategies as st

from tuckmark.pipeline import default_pipeline

Json = dict[str, Any]

ENDS = ("interlocked_eye", "tucked_eye_12")
JOINS = ("endless_bury_loop", "end_to_end_bury")
FIBRES = ("hmpe", "aramid", "polyester", "nylon", "polypropylene")


def plan(spec: Json) -> Json:
    """The plan of a spec that has one."""
    made: Json = default_pipeline().plan(spec)
    return made


def spec(rope: Json | None = None, **sections: Any) -> Json:
    """A spec of 10 mm HMPE, but for what is given."""
    known = {
        "construction": "single_braid_12",
        "fibre": "hmpe",
        "size": {"diameter": "10 mm"},
        "coating": "coated",
    }
    return {"schema_version": "1.0", "rope": known | (rope or {}), **sections}


def eye(splice: str, **given: Any) -> Json:
    """One end with a flat eye."""
    return {"splice": splice, "eye": {"form": "flat", "inside_length": "150 mm"}} | given


@st.composite
def ropes(draw: st.DrawFn) -> Json:
    """Rope of a whole size, its pitch measured or assumed."""
    diameter_mm = draw(st.integers(6, 60))
    rope: Json = {
        "fibre": draw(st.sampled_from(FIBRES)),
        "size": {"diameter": f"{diameter_mm} mm"},
    }
    if draw(st.booleans()):
        rope["pitch"] = f"{draw(st.integers(7, 11)) * diameter_mm} mm"
    return rope


@st.composite
def ends(draw: st.DrawFn) -> Json:
    """One end or both of these families, the rope's far end free or closed."""
    made = {"a": eye(draw(st.sampled_from(ENDS)))}
    if made["a"]["splice"] == "interlocked_eye" and draw(st.booleans()):
        made["a"]["stitching"] = draw(st.sampled_from(["none", "cross_stitch"]))
    if draw(st.booleans()):
        made["b"] = eye(draw(st.sampled_from(ENDS)))
        return spec(draw(ropes()), ends=made)
    far_end = {"far_end": draw(st.sampled_from(["free", "closed"]))}
    return spec(draw(ropes()) | far_end, ends=made)


@st.composite
def joins(draw: st.DrawFn) -> Json:
    """A loop or a join of no length yet."""
    splice = draw(st.sampled_from(JOINS))
    ropes_joined = {"ropes": [{}, {}]} if splice == "end_to_end_bury" else {}
    stitching = draw(st.sampled_from([{}, {"stitching": "none"}]))
    return spec(draw(ropes()), join={"splice": splice, **ropes_joined, **stitching})
