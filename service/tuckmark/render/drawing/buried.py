"""Tails buried in a hollow braid: eyes, a join and a loop."""

from typing import Final

from tuckmark.render.drawing.flags import Flag
from tuckmark.render.drawing.making import (
    Made,
    Spot,
    caption,
    eye,
    stitches,
    taper_words,
    tapered_tail,
)
from tuckmark.render.drawing.pieces import Body, Passes, Piece, Return, Throat

_LEAST_PASS_MM: Final = 1.5


def straight_eye(spot: Spot) -> Made:
    """The tail goes straight into the body at the throat."""
    return _eye(spot, (), ())


def locked_eye(spot: Spot) -> Made:
    """The tail passes through the body, back through it, and then into its centre."""
    places = _apart((spot.x("body_throat"), spot.x("lock_return"), spot.x("bury_entry")))
    words = caption(places[1], "lock: through,", "back, and in")
    return _eye(spot, (Passes(places),), (words,))


def interlocked_eye(spot: Spot) -> Made:
    """Tail and body each pass through the other at the throat."""
    throat_x = spot.x("body_throat")
    places = _apart((throat_x - spot.bodyward * _LEAST_PASS_MM, throat_x, throat_x))
    words = caption(throat_x, "interlock: tail and body", "each through the other")
    return _eye(spot, (Passes(places),), (words,))


def end_to_end(a: Spot, b: Spot) -> Made:
    """Each tail buried in the other rope, from where the throats meet."""
    pieces: list[Piece] = [Body(b.far_x, a.far_x, torn_from=True, torn_to=True)]
    captions: list[Flag] = []
    for tail, body in ((a, b), (b, a)):
        more, words = _buried_in(tail, body)
        pieces += more
        captions += words
    throat = Throat(a.x("tail_throat"))
    captions += stitches(a)[1]
    return Made((*pieces, *stitches(a)[0], *stitches(b)[0], throat), tuple(captions))


def loop(a: Spot, b: Spot) -> Made:
    """As a join, with the body going round from one side to the other."""
    joined = end_to_end(a, b)
    body = (Return(b.far_x, a.far_x), Body(b.far_x, a.far_x))
    return Made((*body, *joined.pieces[1:]), joined.captions)


def _eye(spot: Spot, over: tuple[Piece, ...], words: tuple[Flag, ...]) -> Made:
    loop_of_rope, eye_words = eye(spot)
    entry_x, tip_x = spot.x("bury_entry"), spot.x("tip_rest")
    stitching, stitch_words = stitches(spot)
    body = Body(spot.x("body_throat"), spot.far_x, torn_to=True)
    tail = tapered_tail(entry_x, tip_x, spot.end)
    throat = Throat(spot.x("body_throat"))
    captions = [*words, *stitch_words]
    captions.append(caption((entry_x + 2 * tip_x) / 3, "tail inside", spot.text("buried")))
    if spot.end.figures.get("taper"):
        captions.append(caption(tip_x, *taper_words(spot.end)))
    pieces: tuple[Piece, ...] = (loop_of_rope, body, tail, *stitching, *over, throat)
    return Made(pieces, tuple(captions), eye_words)


def _buried_in(tail: Spot, body: Spot) -> tuple[list[Piece], list[Flag]]:
    """The tail of one end inside the body of the other."""
    entry_x, tip_x = body.x("bury_entry"), body.x("tip_rest")
    name = tail.end.name
    words = caption((entry_x + tip_x) / 2, f"tail of {name}", f"inside {body.end.name}")
    return [tapered_tail(entry_x, tip_x, tail.end)], [words]


def _apart(places: tuple[float, float, float]) -> tuple[float, ...]:
    """The same places, far enough apart to be told from each other."""
    first, second, third = places
    turn = 1.0 if third >= first else -1.0
    second = first + turn * max(abs(second - first), _LEAST_PASS_MM)
    third = second + turn * max(abs(third - second), _LEAST_PASS_MM)
    return (first, second, third)
