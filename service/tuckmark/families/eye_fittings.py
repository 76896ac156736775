"""What an eye is made round: hardware caught in it, and a thimble laid in it."""

from collections.abc import Callable

from tuckmark import spec
from tuckmark.families.base import EndRequest
from tuckmark.plan import Step, Tool


def captive_steps(request: EndRequest) -> tuple[Step, ...]:
    """Hardware that only goes on before the eye is closed; none where there is none."""
    captive = request.eye.captive
    if captive is None:
        return ()
    return (
        Step("splice", "prepare",
             f"Put the {captive} on now, between the tail throat and the body throat: it cannot "
             "go on after the eye is closed.", request.name, _throats(request)),
    )  # fmt: skip


def thimble_steps(request: EndRequest) -> tuple[Step, ...]:
    """The thimble, before the throat closes round it; none where the eye has none."""
    if request.eye.form != "thimble":
        return ()
    return (
        Step("splice", "prepare",
             "Lay the rope round the thimble, in its score, from the tail throat to the body "
             "throat: the thimble lies in the eye, its point or opening toward the throats. Tie it "
             "to the rope, so that it stays while the throat is closed; take the ties off when "
             "the splice is made.",
             request.name, _throats(request), ("thimble", "whipping twine")),
    )  # fmt: skip


def tools(request: EndRequest) -> tuple[Tool, ...]:
    """What must be at hand before the eye is closed."""
    eye, write = request.eye, request.write.write
    found: list[Tool] = []
    if eye.captive is not None:
        found.append(Tool("hardware", f"{eye.captive}, to go on before the eye closes",
                          request.name))  # fmt: skip
    if eye.form == "thimble":
        rope = write(request.rope.diameter_mm)
        found.append(Tool("thimble", f"for {rope} rope, {_seat(eye, write)}", request.name))
    return tuple(found)


def _seat(thimble: spec.Eye, write: Callable[[float], str]) -> str:
    match thimble:
        case spec.Eye(score_diameter_mm=float(mm)):
            return f"its score {write(mm)} across"
        case spec.Eye(seat_perimeter_mm=float(mm)):
            return f"its seat {write(mm)} round"
    raise ValueError("a thimble is given by its score or by its seat")


def _throats(request: EndRequest) -> tuple[str, str]:
    return request.mark_id("tail_throat"), request.mark_id("body_throat")
