"""What to do at the bench where the strands of a long splice meet."""

from tuckmark.families.base import EndRequest
from tuckmark.families.bury_steps import KNIFE
from tuckmark.families.laid import Lay, Tucked
from tuckmark.families.laid_steps import AGAINST
from tuckmark.plan import Step


def meeting_steps(
    first: EndRequest,
    second: EndRequest,
    meetings: int,
    end_mm: float,
    tucked: Tucked,
    lay: Lay,
) -> tuple[Step, ...]:
    """Lay each strand into the other rope as far as its meeting, cut, knot and tuck.

    Args:
        meetings: on either side of the throats.
        end_mm: strand left past a meeting.
    """
    length = first.write.write(end_mm)
    sides = ((first, second), (second, first))
    places = [(body, other, n) for body, other in sides for n in range(meetings, 0, -1)]
    steps = [_laying_in(*place) for place in places]
    at = _all_meetings(first, second, meetings)
    if _one_in_the_middle(first):
        steps.append(
            Step("splice", "check",
                 "One strand of each end is left where it was: these two meet at the throats.",
                 None, (first.mark_id("tail_throat"), second.mark_id("tail_throat")))
        )  # fmt: skip
    count = tucked.counts.full
    steps += [
        Step("splice", "cut_strands",
             f"At every meeting cut both strands {length} past the place where they cross. Tape "
             "the new ends.", None, at, ("measuring tape", "tape", "knife"), KNIFE),
        Step("splice", "pass",
             "At every meeting tie the two strands in an overhand knot that lies with the lay, "
             "and draw it down until it fills the groove.", None, at),
        Step("splice", "pass",
             f"From every knot tuck each of its two ends {count} times over one strand and under "
             f"the next, against the lay: {AGAINST[lay]} as you look from the knot the way the "
             "end goes. Draw every tuck snug.", None, at, ("fid",)),
    ]  # fmt: skip
    return tuple(steps)


def trimming_step(first: EndRequest, second: EndRequest, meetings: int, tucked: Tucked) -> Step:
    """The tails that stay when the splice is set."""
    tail = first.write.write(tucked.tail_mm)
    return Step(
        "finish",
        "cut_strands",
        f"After setting, leave the tail of every strand at least {tail} long past its last tuck. "
        "Cut off only what is longer, and whip the ends.",
        None,
        _all_meetings(first, second, meetings),
        ("knife", "whipping twine"),
        KNIFE,
    )


def _laying_in(body: EndRequest, other: EndRequest, place: int) -> Step:
    return Step(
        "splice",
        "pass",
        f"Take a strand of end {body.name} that has not been moved yet; open the temporary seizing "
        f"for it and close it again. Unlay it further into its "
        f"own rope, turn by turn, to meeting {place}; as it comes out, lay the strand of end "
        f"{other.name} beside it into its groove, twisted up with its own twist, so that the rope "
        "stays whole. Stop where the two cross at the mark, and tie them down.",
        body.name,
        (body.mark_id(f"meeting_{place}"),),
    )


def _all_meetings(first: EndRequest, second: EndRequest, meetings: int) -> tuple[str, ...]:
    ends = (first, second)
    throats = [end.mark_id("tail_throat") for end in ends] if _one_in_the_middle(first) else []
    return (
        *throats,
        *(end.mark_id(f"meeting_{n}") for end in ends for n in range(1, meetings + 1)),
    )


def _one_in_the_middle(end: EndRequest) -> bool:
    """Whether the number of strands is odd, so that one pair meets at the throats."""
    return (end.rope.strand_count) % 2 == 1
