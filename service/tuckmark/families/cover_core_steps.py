"""Bench work that the splices of a double braid share, in plain words that name the marks."""

from collections.abc import Iterable, Sequence

from tuckmark.families.base import EndRequest
from tuckmark.families.bury_steps import KNIFE, stitching_tools
from tuckmark.families.marking import hand_tension
from tuckmark.plan import Mark, Step, Tool


def mark_cover(request: EndRequest, marks: Sequence[Mark]) -> tuple[Step, ...]:
    """Every mark on the cover, before anything is moved."""
    here = request.name
    cover = [mark for mark in marks if mark.part == "cover"]
    return (
        Step("mark", "prepare",
             f"End {here}: tape the bitter end tightly, cover and core together, so that every "
             "distance starts from one clean edge.", here, tools=("tape",)),
        Step("mark", "mark",
             f"With the rope straight under {hand_tension(request)}, mark on the cover, from the "
             f"bitter end: {listed(request, cover)}.", here, tuple(mark.id for mark in cover),
             ("measuring tape", "marker")),
    )  # fmt: skip


def draw_out_core(request: EndRequest, marks: Sequence[Mark]) -> tuple[Step, ...]:
    """The knot, then the core out of the cover."""
    here, opening = request.name, _opening(request, marks)
    return (
        Step("splice", "prepare",
             f"End {here}: tie a tight slip knot at the slip knot's mark, or further from the "
             "throat. It keeps cover and core of the rest of the rope from moving on each other.",
             here, (request.mark_id("knot"),)),
        Step("splice", "prepare",
             f"Bend the rope sharply at the {opening.name} and part the strands of the cover there "
             "with a blunt spike, without cutting or snagging one. Hook the core and draw its "
             "whole tail out through the gap. Take the tape off the bitter end, and tape cover "
             "and core each by itself.", here, (opening.id,), ("spike", "tape")),
    )  # fmt: skip


def mark_core(request: EndRequest, marks: Sequence[Mark]) -> tuple[Step, ...]:
    """The marks on the bared core: first where it rests, then further in."""
    here, out = request.name, request.mark_id("core_out")
    at_rest = [mark for mark in marks if mark.id == out]
    bared = [mark for mark in marks if mark.measured_from == out]
    return (
        Step("splice", "mark",
             "Hold the core, slide the cover back toward the knot as far as it goes, then smooth "
             f"it firmly from the knot to the {_opening(request, marks).name} until all slack is "
             "out. Mark a ring round the core where it now comes out of the cover: "
             f"{listed(request, at_rest)}, where measuring on the core starts.", here, (out,),
             ("marker",)),
        Step("splice", "mark",
             "Slide the cover back toward the knot once more to bare the core. With the core drawn "
             f"straight, measure from core out toward the knot and mark: {listed(request, bared)}.",
             here,
             tuple(mark.id for mark in bared), ("measuring tape", "marker")),
    )  # fmt: skip


def thin_cover(request: EndRequest) -> Step:
    """The cover tail runs out to a point."""
    left = request.reference.rule("double_braid.cover_taper_left")
    return Step(
        "splice",
        "cut_strands",
        "Thin the cover tail from the cover taper to its tip: at even spaces cut one left and one "
        "right strand and draw out what lies toward the tip, until about 1 strand in "
        f"{1 / left.value:.0f} is left there. How many is common practice. Tape the tip thinly.",
        request.name,
        (request.mark_id("taper_start"),),
        ("knife", "tape"),
        KNIFE,
    )


def milk_home(request: EndRequest, inside: tuple[str, ...], meets: tuple[str, ...]) -> Step:
    """The cover drawn over everything that lies bare.

    Args:
        inside: marks that go inside the cover.
        meets: marks that come together at the throat.
    """
    return Step(
        "splice",
        "smooth",
        "Make the knot fast to a strong point. From the knot toward the end, milk the slack of "
        "the cover over the bared core with both hands, again and again; flex and roll the thick "
        "part where it sticks. It is home when all bare core has gone inside and the throat "
        "marks meet. Force nothing with a hard tool. Then untie the knot.",
        request.name,
        tuple(request.mark_id(name) for name in (*inside, *meets, "knot")),
    )


def tip_on_fid(tail: str) -> str:
    """How a tail is held by the tool that leads it, in words."""
    return f"Put the tip of {tail} into the hollow end of the fid and tape it fast."


def tools(request: EndRequest, *, stitched_throats: int) -> tuple[Tool, ...]:
    """What one end, or a join of two, needs at hand."""
    here, rope = request.name, request.rope
    size = request.write.write(rope.diameter_mm)
    found = [
        Tool("fid", f"a tubular one for {size} rope, with its pusher", here, rope.fid),
        Tool("spike", "blunt and smooth, to part the cover and hook the core", here),
    ]
    if stitched_throats:
        found += stitching_tools(request, stitched_throats)
    return tuple(found)


def listed(request: EndRequest, marks: Iterable[Mark]) -> str:
    """Marks with their distances; one at the place of another says so."""
    write = request.write.write
    return ", ".join(
        f"{mark.name} at {write(mark.distance.mm)}"
        if mark.same_as is None
        else f"{mark.name} at the same place"
        for mark in marks
    )


def _opening(request: EndRequest, marks: Sequence[Mark]) -> Mark:
    """The mark on the cover where the core comes out."""
    by_id = {mark.id: mark for mark in marks}
    return by_id[by_id[request.mark_id("core_out")].measured_from]
