"""Whether two ropes that are joined are long enough for their join."""

from tuckmark.compare import below
from tuckmark.families.base import JoinRequest, RopeUse
from tuckmark.faults import Fault, Refused


def refuse_short_ropes(request: JoinRequest, use: RopeUse) -> None:
    """Each rope must hold its own tail and, past it, room for the other's.

    Raises:
        Refused: ``rope_too_short``.
    """
    least_mm = use.tail_mm + use.run_mm
    write = request.write
    faults = tuple(
        Fault(
            f"{request.pointer}/ropes/{index}/length",
            "rope_too_short",
            "This rope is too short for its own tail and, past it, for what it takes of the other.",
            allowed=f"at least {write.write_up(least_mm)}",
            given=write.write(rope.length_mm),
            hint="Take a longer rope.",
        )
        for index, rope in enumerate(request.join.ropes)
        if rope.length_mm is not None and below(rope.length_mm, least_mm)
    )
    if faults:
        raise Refused(faults)
