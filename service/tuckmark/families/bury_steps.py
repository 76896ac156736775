"""What to do at the bench, in the order it is done, in plain words that name the marks."""

from itertools import pairwise
from typing import Final

from tuckmark.families import eye_fittings
from tuckmark.families.base import EndRequest
from tuckmark.families.bury import Buried, measured_pitch
from tuckmark.families.marking import hand_tension
from tuckmark.plan import Length, Mark, Step, Tool
from tuckmark.spec import Lock
from tuckmark.writing import LengthText

KNIFE: Final = "Cut away from your body and your other hand, with the cut-resistant glove on."
_TWINE_PER_STITCH_D: Final = 2.0  # through the rope, then along it


def marking_steps(request: EndRequest, marks: tuple[Mark, ...]) -> tuple[Step, ...]:
    """Set every mark before anything is passed or cut."""
    here, write = request.name, request.write
    taper = _taper(request, marks)
    # a throat at the place of the last taper pair shares its shape
    rings = [mark for mark in marks if mark not in taper and mark.shape != "dot"]
    dots = [mark for mark in marks if mark.shape == "dot"]
    return (
        Step("mark", "prepare",
             f"End {here}: tape the bitter end tightly, with tape no wider than a finger, so that "
             "every distance starts from one clean edge.", here, tools=("tape",)),
        Step("mark", "mark",
             f"{_counted(request, taper)} A pair is one left and one right strand that cross in "
             "a V.", here, tuple(mark.id for mark in taper), ("measuring tape", "marker")),
        Step("mark", "mark",
             f"With the rope straight under {hand_tension(request)}, measure from the bitter end "
             f"and mark rings round the whole rope: {_listed(rings, write)}.", here,
             tuple(mark.id for mark in rings), ("measuring tape", "marker")),
        Step("mark", "mark",
             "Under the same tension mark dots further along the body, all in one line: "
             f"{_listed(dots, write)}.", here, tuple(mark.id for mark in dots),
             ("measuring tape", "marker")),
    )  # fmt: skip


def burying_steps(request: EndRequest, marks: tuple[Mark, ...]) -> tuple[Step, ...]:
    """From the closed throat to the tail smoothed home."""
    mark_id = request.mark_id
    return (
        *passing_steps(request, request),
        taper_step(request, marks, request),
        Step("splice", "smooth",
             "Go on smoothing from the throat outward, again and again, until the tip slips "
             "inside at the tool exit and the body lies even over the tail. Both throat rings "
             "touch, and you feel the tip at the tip rest.", request.name,
             (mark_id("tail_throat"), mark_id("body_throat"), mark_id("tip_rest"))),
    )  # fmt: skip


def passing_steps(request: EndRequest, body: EndRequest) -> tuple[Step, ...]:
    """The tail led through a body until its taper lies bare.

    Args:
        body: the end whose body the tail goes into; the same end for an eye.
    """
    here = request.name
    entry, tool_exit = body.mark_id("bury_entry"), body.mark_id("tail_exit")
    own = other = ""
    if body.name != here:
        own, other = f" of end {here}", f" of end {body.name}"
    return (
        Step("splice", "bury",
             f"Put the tip of the tail{own} into the hollow end of the fid, or against the end of "
             f"a solid one, and tape it fast. Run the fid in at the bury entry{other} and through "
             "the hollow centre of the body, keeping to the middle and catching no strand. Go in "
             "stages: gather the body in bunches over the fid, push on, gather again, and come "
             "out at the tool exit.", here, (entry, tool_exit), ("fid", "tape")),
        Step("splice", "bury",
             f"Draw the tail{own} after the fid, with the body kept gathered, until all taper "
             f"pairs lie bare past the tool exit{other}. If some stay inside, gather the body "
             "further until they come; never pull the throat past its marks to bring them. A pair "
             "that will not come at all is cut first: draw the tail back, cut that pair, and run "
             "the tail in again. Take the fid off.", here, (tool_exit,), ("fid",)),
    )  # fmt: skip


def taper_step(request: EndRequest, marks: tuple[Mark, ...], body: EndRequest) -> Step:
    """Cut the marked pairs as the tail goes in.

    Args:
        body: the end whose body the tail goes into.
    """
    taper = _taper(request, marks)
    last, first = taper[-1].name, taper[0].name
    others = "" if last == first else f" Smooth on, and do the same at every pair down to {first}."
    into = "the body" if body.name == request.name else f"the body of end {body.name}"
    return Step(
        "splice",
        "cut_strands",
        f"Cut and smooth hand in hand. Hold the throat fast and smooth {into} over the tail from "
        "the throat outward: the bare tail draws in at the tool exit. Just before "
        f"{last}, the furthest from the tip, goes under cover, cut its two strands and draw out "
        f"of the tail what lies toward the tip.{others} Then cut the tip at 45 degrees and tape it "
        "thinly.",
        request.name,
        tuple(mark.id for mark in reversed(taper)),
        ("knife", "tape"),
        KNIFE,
    )


def stitching_steps(request: EndRequest) -> tuple[Step, ...]:
    """Cross-stitching at the throat, after the first setting load; and how to load without it."""
    rule, mark_id = request.reference.rule, request.mark_id
    tail_mm = rule("stitch.tail").value
    return (
        Step("set", "check",
             f"End {request.name} is stitched after the setting load, not before: the load seats "
             "the tail, and would strain stitches sewn first. Until then only the grip of the rope "
             "around it holds the tail, and the grip grows with the load: load slowly, do not let "
             "the splice go slack and be shaken, and watch its throat from where you stand clear. "
             "If it opens, slacken at once, and find out why before you load again.",
             request.name),
        Step("finish", "stitch",
             f"Cross-stitch the throat of end {request.name} through body and tail, from the mark "
             "where stitching starts to the mark where it ends and back, about one stitch to a "
             "rope diameter. Turn the rope a quarter and do the same. Snug, not hard; leave tails "
             f"of {request.write.write(tail_mm)}, knot them and bury them. Stitching adds no "
             "strength; it keeps a slack splice from working loose.", request.name,
             (mark_id("stitch_start"), mark_id("stitch_end")), ("needle", "twine")),
    )  # fmt: skip


def tools(request: EndRequest, buried: Buried, *, stitched_throats: int) -> tuple[Tool, ...]:
    """What this end, or a join of two, needs at hand."""
    rope = request.rope
    longest_mm = (
        buried.nominal.positions_mm["tail_exit"] - buried.nominal.positions_mm["bury_entry"]
    )
    found = [
        Tool("fid", f"for {request.write.write(rope.diameter_mm)} rope, to pass a run of "
             f"{request.write.write(longest_mm)} inside the body", request.name,
             rope.fid)
    ]  # fmt: skip
    if stitched_throats:
        found += stitching_tools(request, stitched_throats)
    return tuple(found)


def stitching_tools(request: EndRequest, throats: int) -> tuple[Tool, ...]:
    """Needle and twine that cross-stitching one throat takes, or both of a join."""
    rule = request.reference.rule
    stitches = rule("stitch.length").value / rule("stitch.spacing").value
    passes = 4  # out and back, twice
    throat_mm = (
        passes * stitches * _TWINE_PER_STITCH_D * request.rope.diameter_mm
        + 2 * rule("stitch.tail").value
    )
    of = "the stitching" if throats == 1 else "the stitching of both throats"
    return (
        Tool("needle", "long enough to go through the whole rope", request.name),
        Tool("twine", f"whipping twine for {of}, about this much", request.name,
             Length(throats * throat_mm), rule("stitch.length").source),
    )  # fmt: skip


def straight_closing(request: EndRequest) -> tuple[Step, ...]:
    """The throat of a straight bury: nothing but laid together."""
    return (
        *eye_fittings.captive_steps(request),
        *eye_fittings.thimble_steps(request),
        Step("splice", "pass",
             "Bring the tail throat against the body throat: this is the eye. Look that "
             "neither leg is twisted. Hold the two rings together while you bury the tail.",
             request.name, (request.mark_id("tail_throat"), request.mark_id("body_throat"))),
    )  # fmt: skip


def lock_closing(request: EndRequest, lock: Lock) -> tuple[Step, ...]:
    """The throat of a locked eye: the tail through the body and back."""
    here, mark_id = request.name, request.mark_id
    to_return, to_entry = (_picks(count) for count in lock.picks)
    return (
        *eye_fittings.captive_steps(request),
        *eye_fittings.thimble_steps(request),
        Step("splice", "pass",
             "Lay the body before you. At the body throat pass the whole tail through it from the "
             "near side to the far side, half of the strands of the body on each side of the "
             "tail, and draw it through until the tail throat meets the body throat: this is the "
             "eye. Look that neither leg is twisted.", here,
             (mark_id("tail_throat"), mark_id("body_throat")), ("fid",)),
        Step("splice", "pass",
             f"The tail now lies on the far side. At the lock return, {to_return} further from the "
             "eye, pass it back through the body, again half of the strands on each side, so that "
             "it comes out on the near side. Draw it up snug without pulling the eye out of "
             "shape.", here, (mark_id("lock_return"),), ("fid",)),
        Step("splice", "pass",
             f"Lead the tail along the body to the bury entry, {to_entry} further from the eye. "
             "There it goes into the centre of the body.", here, (mark_id("bury_entry"),)),
    )  # fmt: skip


def _picks(count: int) -> str:
    return f"{count} pick" if count == 1 else f"{count} picks"


def _taper(request: EndRequest, marks: tuple[Mark, ...]) -> list[Mark]:
    return [mark for mark in marks if mark.id.startswith(request.mark_id("taper_"))]


def _counted(request: EndRequest, taper: list[Mark]) -> str:
    """Where the strand pairs of the taper are, counted, or measured where they have no count."""
    listed = _listed(taper, request.write)
    counts = [mark.picks for mark in taper if mark.picks is not None]
    if not counts:
        return (
            "Measure from the cut edge of the bitter end and mark the strand pairs of the taper, "
            f"each the pair nearest to its distance: {listed}."
        )
    first, *rest = (counts[0], *(after - before for before, after in pairwise(counts)))
    words = [f"the first after {_picks(first)}", *(f"then {_picks(count)} on" for count in rest)]
    pick = request.write.write(request.rope.pick_mm(measured_pitch(request).mm))
    return (
        "Count from the cut edge of the bitter end along one line of picks, and mark the strand "
        f"pairs of the taper: {', '.join(words)} ({listed}). The count decides, the lengths are a "
        f"check. A pick is about {pick} long: allow that for every one the tape hides."
    )


def _listed(marks: list[Mark], write: LengthText) -> str:
    """Marks with their distances; those at one place share a mark."""
    texts = []
    ids = {mark.id for mark in marks}
    for mark in (mark for mark in marks if mark.same_as not in ids):
        shared = [other.name for other in marks if other.same_as == mark.id]
        also = f" (the same {mark.shape} for {' and '.join(shared)})" if shared else ""
        texts.append(f"{mark.name} at {write.write(mark.distance.mm)}{also}")
    return ", ".join(texts)
