"""Two laid ropes joined: what the short and the long splice share."""

from tuckmark.families import laid
from tuckmark.families.base import EndRequest, JoinRequest
from tuckmark.plan import Step


def lay_of_both(request: JoinRequest, either: EndRequest) -> laid.Lay:
    """The one lay of both ropes; unequal ones are refused before."""
    return laid.lay_of(either, [rope.lay or request.rope.lay for rope in request.join.ropes])


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
