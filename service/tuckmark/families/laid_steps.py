"""What to do at the bench with the strands of a laid rope, in plain words that name the marks."""

from collections.abc import Iterable
from typing import Final

from tuckmark.families.base import EndRequest
from tuckmark.families.bury_steps import KNIFE, captive_step
from tuckmark.families.laid import Lay, Tucked
from tuckmark.plan import Mark, Step, Tool
from tuckmark.spec import EndName
from tuckmark.units import LengthText

AGAINST: Final[dict[Lay, str]] = {"z": "from right to left", "s": "from left to right"}
_BESIDE: Final[dict[Lay, str]] = {"z": "left", "s": "right"}
_TWIST: Final[dict[Lay, str]] = {
    "z": "left-hand (s) twist, opposite to the right-hand (z) lay",
    "s": "right-hand (z) twist, opposite to the left-hand (s) lay",
}


def marking_step(request: EndRequest, marks: Iterable[Mark]) -> Step:
    """Set every mark on the rope before it is unlaid."""
    on_rope = [mark for mark in marks if mark.part == "rope"]
    return Step(
        "mark",
        "mark",
        f"End {request.name}: tape the bitter end tightly, so that every distance starts from one "
        "clean edge. With the rope straight under hand tension mark, from the bitter end: "
        f"{_listed(on_rope, request.write)}. A ring goes round the whole rope.",
        request.name,
        tuple(mark.id for mark in on_rope),
        ("tape", "measuring tape", "marker"),
    )


def unlaying_step(request: EndRequest, past_full_mm: float | None, lay: Lay) -> Step:
    """Seize, unlay, number and mark the strands.

    Args:
        past_full_mm: from a strand's end to its mark; None where strands are not marked.
    """
    strands = request.rope.strands or 0
    marks = [request.mark_id("tail_throat")]
    marking = ""
    if past_full_mm is not None:
        marks.append(request.mark_id("strand_tail"))
        marking = (
            f" Mark a ring on each strand {request.write.write(past_full_mm)} from its end: "
            "the strand tail, which is to stand outside when the full tucks are made."
        )
    return Step(
        "splice",
        "mark",
        f"End {request.name}: put a seizing round the rope on the ring of the tail throat, and "
        "unlay the strands from the bitter end back to it, no further. Tape the end of every "
        f"strand, and number the strands 1 to {strands}.{marking} Keep each strand's own twist in "
        f"it: {_TWIST[lay]}.",
        request.name,
        tuple(marks),
        ("whipping twine", "tape", "measuring tape", "marker"),
    )


def eye_steps(request: EndRequest, captive: str | None, lay: Lay) -> tuple[Step, ...]:
    """Close the eye and make the first full tuck."""
    here = request.name
    throats = (request.mark_id("tail_throat"), request.mark_id("body_throat"))
    return (
        *((captive_step(request, captive),) if captive else ()),
        Step("splice", "pass",
             "Bring the tail throat against the body throat: this is the eye. Look that neither "
             "leg is twisted.", here, throats),
        Step("splice", "pass", f"{_first_tuck(request, lay)} One strand now comes out of every "
             "gap between the strands of the body, and no two out of one. Draw them down until "
             "the throats touch: this is the first full tuck.", here,
             (request.mark_id("body_throat"),), ("fid",)),
    )  # fmt: skip


def tucking_steps(
    request: EndRequest, body: EndRequest, tucked: Tucked, lay: Lay, *, begun: int
) -> tuple[Step, ...]:
    """Every full tuck and every thinned one, of one end's strands into one body.

    Args:
        body: the end whose body takes the strands; the same end for an eye.
        begun: full tucks made already.
    """
    counts, write = tucked.counts, request.write.write
    low_mm, high_mm = tucked.reach(counts.full).bounds_mm
    into = "the body" if body.name == request.name else f"the body of end {body.name}"
    count = f"{counts.full} full tuck" + ("s" if counts.full > 1 else "")
    steps = []
    if counts.full > begun:
        steps.append(
            Step("splice", "pass",
                 f"End {request.name}: tuck its strands in turn into {into}, each over one strand "
                 f"and under the next, against the lay, {AGAINST[lay]} as you look from the "
                 f"throat along that body, round after round, until every strand has {count}. "
                 "Draw each round snug toward the throat, and twist a strand up again where it "
                 f"opens: {_TWIST[lay]}. The last round comes out about at the last full tuck; "
                 f"{write(low_mm)} to {write(high_mm)} past the throat is as expected.",
                 request.name, (body.mark_id("last_full_tuck"),), ("fid",))
        )  # fmt: skip
    steps.append(
        Step("splice", "check",
             f"End {request.name}: count {count} on every strand, and look that every ring of "
             "the strand tail still stands outside the body. If one has gone under, its tail is "
             "too short and may pull out: draw the tucks out and make them again, snugger.",
             request.name, (body.mark_id("last_full_tuck"), request.mark_id("strand_tail")))
    )  # fmt: skip
    if counts.tapered:
        steps.append(
            Step("splice", "pass", f"End {request.name}: {_thinned(request, tucked)} The last "
                 "comes out about at the last tuck.", request.name,
                 (body.mark_id("last_tuck"),), ("fid",))
        )  # fmt: skip
    return tuple(steps)


def rounding_step(end: EndName | None, marks: tuple[str, ...]) -> Step:
    """Seizing off, strands worked even."""
    return Step(
        "splice",
        "smooth",
        "Take the seizing off, and roll and beat the splice round from the throat outward until "
        "all strands lie even and pull alike.",
        end,
        marks,
    )


def trimming_step(request: EndRequest, tucked: Tucked) -> Step:
    """What may be cut off once the splice is set, and what must stay."""
    tail = request.write.write_up(tucked.tail_mm)
    texts = {
        "none": f"leave the tail of every strand at least {tail} long past its last full tuck. "
        "Cut off only what is longer, and whip the ends",
        "strands": "a strand with fewer than two tucks past its full ones keeps a tail of at "
        f"least {tail}, whipped; cut the others near where they come out, not flush",
    }
    cut = "cut the yarns laid aside and the thinned ends near where they come out, not flush"
    return Step(
        "finish",
        "cut_strands",
        f"End {request.name}, after setting: {texts.get(tucked.counts.thinning, cut)}.",
        request.name,
        (request.mark_id("strand_tail"),),
        ("knife", "whipping twine"),
        KNIFE,
    )


def tools(request: EndRequest) -> tuple[Tool, ...]:
    """What opens the strands."""
    size = request.write.write(request.rope.diameter_mm)
    return (Tool("fid", f"to open the strands of {size} rope: a hollow one or a spike"),)


def _first_tuck(request: EndRequest, lay: Lay) -> str:
    against, beside = AGAINST[lay], _BESIDE[lay]
    way = f"against the lay, {against} as you look from the eye along the body"
    if request.rope.strands == 3:
        return (
            "At the ring of the body throat tuck the middle strand under one strand of the body, "
            f"{way}. Tuck the strand on its {beside} over that strand of the body and under the "
            f"next one. Turn the splice over and tuck the last strand, also {against}, under the "
            "strand of the body that is left."
        )
    return (
        "At the ring of the body throat tuck the strands in turn, each under a strand of the "
        f"body of its own, {way}, turning the splice as you go."
    )


def _thinned(request: EndRequest, tucked: Tucked) -> str:
    if tucked.counts.thinning == "yarns":
        return (
            "lay a third of the yarns of every strand aside and tuck it once more; lay half of "
            "the rest aside and tuck what is left once more."
        )
    if tucked.counts.thinning == "tucks":
        return (
            "lay half of every strand aside and tuck the other half once more; lay half of that "
            "aside and tuck the quarter once more."
        )
    strands = request.rope.strands or 0
    rounds = [f"from {drop + 1} to {strands}" for drop in range(1, strands - 1)]
    listed = "; then ".join(f"tuck strands {which} once" for which in rounds)
    return f"drop a strand in turn at every round: {listed}; then tuck strand {strands} alone once."


def _listed(marks: list[Mark], write: LengthText) -> str:
    return ", ".join(
        f"{'a ring' if mark.shape == 'ring' else 'a dot'} for the {mark.name} at "
        f"{write.write(mark.distance.mm)}"
        for mark in marks
    )
