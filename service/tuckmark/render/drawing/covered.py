"""Double braid: cover in core, core in cover, core in core."""

from typing import Final

from tuckmark.render.drawing.flags import Flag
from tuckmark.render.drawing.making import Made, Spot, caption, eye, stitches
from tuckmark.render.drawing.pieces import Body, Core, Crown, Piece, Tail, Throat

_TAIL_MM: Final = 0.8
_CORE_TAIL_OFF_MM: Final = 1.95
_CORE_TAIL_MM: Final = 0.35
#: shares of a thinned cover that go on, in equal steps over its taper
_THINNED: Final = ((1.0, 0.78), (0.66, 0.56), (0.33, 0.34))


def cover_core_eye(spot: Spot) -> Made:
    """The cover tail inside the core, the core tail inside the cover of the eye and past it."""
    loop, words = eye(spot, filled=True)
    throat_x, core_x = spot.x("body_throat"), spot.x("core_tail_exit")
    cover = _cover_tail(spot, "body_throat")
    return _covered(
        spot,
        (loop, *_body(spot, "body_throat"), cover, _core_tail(throat_x, core_x)),
        (
            caption((throat_x + core_x) / 2, "core tail", "in the cover"),
            caption((throat_x + 2 * cover.tip_x) / 3, "cover tail", "in the core"),
        ),
        words,
    )


def core_bury_eye(spot: Spot) -> Made:
    """The core tail goes round the eye and into the core, which carries the load."""
    loop, words = eye(spot, filled=True)
    entry_x = spot.x("bury_entry")
    tip_x = spot.along.x(spot.end.place("bury_entry") + (spot.end.figure_mm("buried") or 0.0))
    taper_x = abs(spot.along.x(spot.end.figure_mm("core_taper") or 0.0) - spot.along.x(0.0))
    tail = Tail(entry_x, _thinned(tip_x, -spot.bodyward * taper_x), tip_x, _TAIL_MM)
    return _covered(
        spot,
        (loop, *_body(spot, "body_throat"), tail),
        (
            caption(entry_x, "core entry"),
            caption((entry_x + 2 * tip_x) / 3, "core tail in the core", spot.text("buried")),
        ),
        words,
    )


def cover_back(spot: Spot) -> Made:
    """The cover turned back into the core at the end of the rope."""
    cover = _cover_tail(spot, "tail_throat")
    end_x = spot.x("tail_throat")
    return Made(
        (Crown(end_x, -spot.bodyward), *_body(spot, "tail_throat"), cover),
        (
            caption(end_x, "end of the", "finished rope"),
            caption((end_x + 2 * cover.tip_x) / 3, "cover tail in the core", spot.text("buried")),
        ),
    )


def cover_core_join(a: Spot, b: Spot) -> Made:
    """Each cover tail inside the other core, each core tail cut off inside the other cover."""
    middle_x = a.x("body_throat")
    pieces: list[Piece] = [Body(b.far_x, a.far_x, torn_from=True, torn_to=True)]
    words = list(stitches(a)[1])
    for tail, body in ((a, b), (b, a)):
        pieces.append(Core(middle_x, body.far_x))
        cover = _cover_tail(body, "body_throat")
        pieces.append(cover)
        inside = (f"cover tail of {tail.end.name}", f"in the core of {body.end.name}")
        words.append(caption((middle_x + cover.tip_x) / 2, *inside))
    pieces += [*stitches(a)[0], *stitches(b)[0], Throat(middle_x)]
    return Made(tuple(pieces), tuple(words))


def _covered(
    spot: Spot, pieces: tuple[Piece, ...], captions: tuple[Flag, ...], eye_caption: Flag
) -> Made:
    stitching, stitch_words = stitches(spot)
    throat = Throat(spot.x("body_throat"))
    return Made((*pieces, *stitching, throat), (*captions, *stitch_words), eye_caption)


def _body(spot: Spot, throat: str) -> tuple[Piece, ...]:
    throat_x = spot.x(throat)
    return (Body(throat_x, spot.far_x, torn_to=True), Core(throat_x, spot.far_x))


def _cover_tail(spot: Spot, throat: str) -> Tail:
    """As long as what is buried, thinned over its last part."""
    throat_x = spot.x(throat)
    tip_x = spot.beyond(throat, "buried")
    taper_mm = spot.end.figure_mm("cover_taper") or 0.0
    taper_x = abs(spot.along.x(taper_mm) - spot.along.x(0.0))
    return Tail(throat_x, _thinned(tip_x, -spot.bodyward * taper_x), tip_x, _TAIL_MM)


def _core_tail(from_x: float, to_x: float) -> Tail:
    return Tail(from_x, (), to_x, _CORE_TAIL_MM, _CORE_TAIL_OFF_MM)


def _thinned(tip_x: float, taper_x: float) -> tuple[tuple[float, float], ...]:
    return tuple((tip_x + part * taper_x, share) for part, share in _THINNED)
