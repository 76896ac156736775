"""Strands tucked into the body: eyes, joins, the long splice, the back splice."""

from typing import Any

from tuckmark.render.drawing.flags import Flag
from tuckmark.render.drawing.making import Made, Spot, caption, eye
from tuckmark.render.drawing.pieces import Body, Crown, Meeting, Piece, Throat, Tucks


def tucked_eye(spot: Spot) -> Made:
    """The strands of the tail tucked into the body below the throat."""
    loop, words = eye(spot)
    throat_x = spot.x("body_throat")
    body = Body(throat_x, spot.far_x, torn_to=True)
    tucks, tuck_words = _tucks(spot, "body_throat")
    return Made((loop, body, tucks, Throat(throat_x)), (tuck_words,), words)


def back_splice(spot: Spot) -> Made:
    """The strands crowned at the end and tucked back into the rope."""
    end_x = spot.x("tail_throat")
    body = Body(end_x, spot.far_x, torn_to=True)
    tucks, words = _tucks(spot, "tail_throat")
    crown = Crown(end_x, -spot.bodyward)
    return Made((body, crown, tucks), (caption(end_x, "crown"), words))


def tucked_join(a: Spot, b: Spot) -> Made:
    """The strands of each rope tucked into the other."""
    pieces: list[Piece] = [Body(b.far_x, a.far_x, torn_from=True, torn_to=True)]
    words: list[Flag] = []
    for tail, body in ((a, b), (b, a)):
        tucks, counted = _tucks(body, "tail_throat")
        pieces.append(tucks)
        words.append(caption(counted.x, f"strands of {tail.end.name}", *_counts(body)))
    return Made((*pieces, Throat(a.x("tail_throat"))), tuple(words))


def long_splice(a: Spot, b: Spot) -> Made:
    """Strands laid in for each other, meeting in pairs at places far apart."""
    pieces: list[Piece] = [Body(b.far_x, a.far_x, torn_from=True, torn_to=True)]
    middle_x = a.x("tail_throat")
    places = [middle_x]
    for spot in (a, b):
        marks = (mark for line in spot.end.lines for place in line.places for mark in place.marks)
        meetings = [mark["id"].partition(".")[2] for mark in marks if ".meeting_" in mark["id"]]
        places += [spot.x(meeting) for meeting in meetings]
    pieces += [Meeting(x) for x in places]
    words = [caption(x, "two strands meet", *_counts(a)) for x in places]
    return Made(tuple(pieces), tuple(words))


def _tucks(spot: Spot, throat: str) -> tuple[Tucks, Flag]:
    """Tucks from a throat to where the last comes out, and how many."""
    rounds: Any = spot.end.figures["tuck_rounds"]
    from_x, to_x = spot.x(throat), spot.beyond(throat, "run")
    words = caption((from_x + to_x) / 2, *_counts(spot))
    return Tucks(from_x, to_x, rounds["full"], rounds["tapered"]), words


def _counts(spot: Spot) -> tuple[str, ...]:
    rounds: Any = spot.end.figures["tuck_rounds"]
    full = f"{rounds['full']} full tucks"
    return (full, f"{rounds['tapered']} tapered") if rounds["tapered"] else (full,)
