"""What to do at the bench, in the order it is done, in plain words that name the marks."""

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Final

from tuckmark.families.base import EndRequest
from tuckmark.families.bury import Buried
from tuckmark.plan import Length, Mark, Step, Tool
from tuckmark.spec import Lock

KNIFE: Final = "Cut away from your body and your other hand, with the cut-resistant glove on."
_TWINE_PER_STITCH_D: Final = 2.0  # through the rope, then along it


def marking_steps(
    request: EndRequest,
    marks: tuple[Mark, ...],
    rings: tuple[str, ...] = ("tail_throat", "body_throat"),
) -> tuple[Step, ...]:
    """Set every mark before anything is passed or cut.

    Args:
        rings: the marks that are rings round the rope; all but these and the taper are dots.
    """
    write = request.write.write
    at = {mark.id.partition(".")[2]: mark for mark in marks}
    taper = [mark for name, mark in at.items() if name.startswith("taper_")]
    ringed = [at[name] for name in rings]
    others = [mark for mark in marks if mark not in taper and mark not in ringed]
    steps = [
        Step(
            "mark",
            "prepare",
            f"End {request.name}: tape the bitter end tightly, so that every distance starts "
            "from one clean edge.",
            request.name,
            tools=("tape",),
        ),
        Step(
            "mark",
            "mark",
            f"From the bitter end mark the strand pairs of the taper, {_counted(taper, write)}. "
            "A pair is one left and one right strand that cross in a V.",
            request.name,
            tuple(mark.id for mark in taper),
            ("marker",),
        ),
        Step(
            "mark",
            "mark",
            "With the rope straight under hand tension, mark rings round the whole rope: "
            + _listed(ringed, write)
            + ".",
            request.name,
            tuple(mark.id for mark in ringed),
            ("measuring tape", "marker"),
        ),
        Step(
            "mark",
            "mark",
            f"Mark dots further along the body: {_listed(others, write)}.",
            request.name,
            tuple(mark.id for mark in others),
            ("measuring tape", "marker"),
        ),
    ]
    return tuple(steps)


def bury_steps(
    request: EndRequest, marks: tuple[Mark, ...], closing: Iterable[Step], captive: str | None
) -> tuple[Step, ...]:
    """From what goes into the eye to the tail smoothed home.

    Args:
        closing: how the throat is closed.
    """
    here, mark_id = request.name, request.mark_id
    steps: list[Step] = []
    if captive:
        steps.append(captive_step(request, captive))
    steps += [
        *closing,
        Step("splice", "bury",
             "Run the fid from the bury entry through the hollow centre of the body, keeping to "
             "the middle and catching no strand, and out at the tool exit. Draw the tail after "
             "it until the taper pairs lie bare past the tool exit.", here,
             (mark_id("bury_entry"), mark_id("tail_exit")), ("fid",)),
        taper_step(request, marks),
        Step("splice", "smooth",
             "Hold the throat fast and smooth the body over the tail with your hands, from the "
             "throat outward, again and again, until the tail has drawn in and the body lies "
             "even. Both throat rings meet, and you feel the tip at the tip rest.", here,
             (mark_id("tail_throat"), mark_id("body_throat"), mark_id("tip_rest"))),
    ]  # fmt: skip
    return tuple(steps)


def captive_step(request: EndRequest, captive: str) -> Step:
    """Hardware that only goes on before the eye is closed."""
    return Step("splice", "prepare",
                f"Put the {captive} on now, between the tail throat and the body throat: it "
                "cannot go on after the eye is closed.", request.name,
                (request.mark_id("tail_throat"), request.mark_id("body_throat")))  # fmt: skip


def taper_step(request: EndRequest, marks: tuple[Mark, ...]) -> Step:
    """Cut the marked pairs as the tail goes in."""
    taper = [mark.id for mark in marks if mark.id.startswith(request.mark_id("taper_"))]
    return Step(
        "splice",
        "cut_strands",
        "Cut and draw out the marked pairs one after another, from the pair furthest from the tip "
        "down to the first. Cut each just before it goes under cover, and cut the tip itself at "
        "45 degrees.",
        request.name,
        tuple(reversed(taper)),
        ("knife",),
        KNIFE,
    )


def stitching_steps(request: EndRequest) -> tuple[Step, ...]:
    """Cross-stitching at the throat, after the first setting load."""
    rule, mark_id = request.reference.rule, request.mark_id
    tail_mm = rule("stitch.tail").value
    return (
        Step("finish", "stitch",
             f"Cross-stitch the throat of end {request.name} through body and tail, from the "
             "stitching's start to its end and back, about one stitch to a rope diameter. Turn "
             "the rope a quarter and do the same. Snug, not hard; leave tails of "
             f"{request.write.write(tail_mm)}, knot them and bury them. Stitching adds no "
             "strength; it keeps a slack splice from working loose.", request.name,
             (mark_id("stitch_start"), mark_id("stitch_end")), ("needle", "twine")),
    )  # fmt: skip


def tools(request: EndRequest, buried: Buried, *, stitched: bool) -> tuple[Tool, ...]:
    """What this end needs at hand."""
    rope = request.rope
    longest_mm = (
        buried.nominal.positions_mm["tail_exit"] - buried.nominal.positions_mm["bury_entry"]
    )
    found = [
        Tool("fid", f"for {request.write.write(rope.diameter_mm)} rope, to pass a run of "
             f"{request.write.write(longest_mm)} inside the body", request.name,
             rope.fid)
    ]  # fmt: skip
    if stitched:
        found.append(twine_tool(request))
    return tuple(found)


def twine_tool(request: EndRequest) -> Tool:
    """The twine that cross-stitching one throat takes."""
    rule = request.reference.rule
    stitches = rule("stitch.length").value / rule("stitch.spacing").value
    passes = 4  # out and back, twice
    twine_mm = (
        passes * stitches * _TWINE_PER_STITCH_D * request.rope.diameter_mm
        + 2 * rule("stitch.tail").value
    )
    return Tool("twine", "whipping twine for the stitching, about", request.name,
                Length(twine_mm), rule("stitch.length").source)  # fmt: skip


def straight_closing(request: EndRequest) -> tuple[Step, ...]:
    """The throat of a straight bury: nothing but laid together."""
    return (
        Step("splice", "pass",
             "Bring the tail throat against the body throat: this is the eye. Look that "
             "neither leg is twisted.", request.name,
             (request.mark_id("tail_throat"), request.mark_id("body_throat"))),
    )  # fmt: skip


def lock_closing(request: EndRequest, lock: Lock) -> tuple[Step, ...]:
    """The throat of a locked eye: the tail through the body and back."""
    here, mark_id = request.name, request.mark_id
    to_return, to_entry = lock.picks
    return (
        Step("splice", "pass",
             "Pass the whole tail through the body at the body throat, half of the strands on "
             "each side of it, and draw it through until the tail throat meets the body throat: "
             "this is the eye. Look that neither leg is twisted.", here,
             (mark_id("tail_throat"), mark_id("body_throat")), ("fid",)),
        Step("splice", "pass",
             f"Lay the tail along the body and pass it back through at the lock return, "
             f"{_picks(to_return)} below the throat, again half of the strands on each side. "
             "Draw it up snug without pulling the eye out of shape.", here,
             (mark_id("lock_return"),), ("fid",)),
        Step("splice", "pass",
             f"Lead the tail to the bury entry, {_picks(to_entry)} below the lock return. Here "
             "it goes into the centre of the body.", here, (mark_id("bury_entry"),)),
    )  # fmt: skip


def _picks(count: int) -> str:
    return f"{count} pick" if count == 1 else f"{count} picks"


def _counted(taper: list[Mark], write: Callable[[float], str]) -> str:
    if taper[0].picks is None:
        return _listed(taper, write)
    counts = [mark.picks or 0 for mark in taper]
    between = [counts[0], *(after - before for before, after in pairwise(counts))]
    first, *rest = between
    words = [f"the first after {_picks(first)}"]
    words += [f"then {_picks(count)} on" for count in rest]
    return f"counting along one line: {', '.join(words)} ({_listed(taper, write)})"


def _listed(marks: list[Mark], write: Callable[[float], str]) -> str:
    return ", ".join(f"{mark.name} at {write(mark.distance.mm)}" for mark in marks)
