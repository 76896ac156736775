"""Two laid ropes joined: what the short and the long splice share."""

from tuckmark.compare import below
from tuckmark.families import laid
from tuckmark.families.base import EndRequest, JoinRequest, RopeUse
from tuckmark.faults import Fault, Refused
from tuckmark.plan import Step


def lay_of_both(request: JoinRequest, either: EndRequest) -> laid.Lay:
    """The one lay of both ropes; unequal ones are refused before."""
    return laid.lay_of(either, [rope.lay or request.rope.lay for rope in request.join.ropes])


def require_lengths(request: JoinRequest, use: RopeUse) -> None:
    """Each rope has its own tail and, past it, body for the other's strands.

    Raises:
        Refused: ``rope_too_short``.
    """
    least_mm, write = use.tail_mm + use.run_mm, request.write
    faults = tuple(
        Fault(
            f"{request.pointer}/ropes/{index}/length",
            "rope_too_short",
            "This rope is too short for the strands it gives and those it takes in.",
            allowed=f"at least {write.write_up(least_mm)}",
            given=write.write(rope.length_mm),
            hint="Take a longer rope.",
        )
        for index, rope in enumerate(request.join.ropes)
        if rope.length_mm is not None and below(rope.length_mm, least_mm)
    )
    if faults:
        raise Refused(faults)


def checking_step(lay: laid.Lay) -> Step:
    """Both ropes must be laid alike, whatever the spec says of them."""
    runs = "right" if lay == "z" else "left"
    return Step(
        "prepare",
        "check",
        "Lay the two ropes side by side and look at their strands: in both they must rise to the "
        f"{runs}, whichever end is up. Left lay is never joined to right lay.",
    )


def marrying_step(first: EndRequest, second: EndRequest) -> Step:
    """The unlaid ends into each other."""
    return Step(
        "splice",
        "pass",
        "Put the two ends into each other so that each strand of one lies between two strands of "
        "the other, and push them together until the rings of both tail throats meet. Take the "
        "seizings off once both are held by a temporary one round the middle.",
        None,
        (first.mark_id("tail_throat"), second.mark_id("tail_throat")),
        ("whipping twine",),
    )
