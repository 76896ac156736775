"""Cut lists as their published JSON: lengths in mm to one tenth, sums that agree."""

from collections.abc import Sequence
from typing import Any, Final

from tuckmark.cutting.cutlist import Cut, CutReel, RopeList, Unmade
from tuckmark.cutting.request import Order, Request
from tuckmark.cutting.task import Goal

_TENTHS_PER_MM: Final = 10

Object = dict[str, Any]


def as_json(request: Request, lists: Sequence[RopeList]) -> Object:
    """The report; figures in mm are exact, texts rounded once: those of pieces by their plans."""
    return _Writer(request).whole(lists)


class _Writer:
    def __init__(self, request: Request) -> None:
        self._request = request

    def whole(self, lists: Sequence[RopeList]) -> Object:
        ropes = [self._rope(item) for item in lists]
        unmade = [left for item in lists for left in item.unmade]
        places = {order.id: n for n, order in enumerate(self._request.orders)}
        reels = [cut for item in lists for cut in item.reels]
        return {
            "cuts": [self._reel(cut) for cut in reels],
            "unmade": [
                self._unmade(item) for item in sorted(unmade, key=lambda u: places[u.order.id])
            ],
            "reels_used": len(reels),
            "waste": self._length(sum(cut.waste for cut in reels)),
            "bound": self._length(sum(_bound(item, Goal.WASTE) for item in lists)),
            "proven": all(rope["proven"] for rope in ropes),
            "ropes": ropes,
            "orders": [self._order(order, unmade) for order in self._request.orders],
            "allowance": self._length(self._request.allowance),
            "keep_from": None
            if self._request.keep_from is None
            else self._length(self._request.keep_from),
            "time_budget_s": self._request.budget_s,
        }

    def _length(self, tenths: int, text: str | None = None) -> Object:
        mm = tenths / _TENTHS_PER_MM
        return {"mm": mm, "text": self._request.write.write(mm) if text is None else text}

    def _reel(self, cut: CutReel) -> Object:
        return {
            "reel": cut.reel.id,
            "copy": cut.copy,
            "rope": cut.reel.rope,
            "remnant": cut.reel.remnant,
            "length": self._length(cut.reel.length),
            "pieces": [self._piece(piece) for piece in cut.cuts],
            "offcut": self._length(cut.offcut),
            "kept": cut.kept,
            "waste": self._length(cut.waste),
        }

    def _piece(self, cut: Cut) -> Object:
        """A piece with its own text; so has the cut that is measured from the reel's end."""
        text = next(piece.text for piece in cut.order.pieces if piece.part == cut.part)
        return {
            "order": cut.order.id,
            "part": cut.part,
            "length": self._length(cut.end - cut.start, text),
            "from": self._length(cut.start),
            "to": self._length(cut.end, None if cut.start else text),
        }

    def _unmade(self, item: Unmade) -> Object:
        each = [piece.length + self._request.allowance for piece in item.order.pieces]
        return {
            "order": item.order.id,
            "rope": item.order.rope,
            "quantity": item.quantity,
            "reason": item.reason,
            "more_rope": self._length(sum(each) * item.quantity),
            "longest_piece": self._length(max(each)),
        }

    def _order(self, order: Order, unmade: Sequence[Unmade]) -> Object:
        left_out = sum(item.quantity for item in unmade if item.order is order)
        return {
            "id": order.id,
            "rope": order.rope,
            "quantity": order.quantity,
            "made": order.quantity - left_out,
            "pieces": [
                {"part": piece.part, "length": self._length(piece.length, piece.text)}
                for piece in order.pieces
            ],
        }

    def _rope(self, item: RopeList) -> Object:
        used = sum(cut.reel.length for cut in item.reels)
        kept = sum(cut.offcut for cut in item.reels if cut.kept)
        goals = [self._goal(item, goal) for goal in Goal]
        return {
            "rope": item.rope,
            "reels_used": len(item.reels),
            "pieces": sum(len(cut.cuts) for cut in item.reels),
            "used": self._length(used),
            "made": self._length(sum(cut.pieces for cut in item.reels)),
            "kept": self._length(kept),
            "waste": self._length(sum(cut.waste for cut in item.reels)),
            "goals": goals,
            "proven": all(goal["proven"] for goal in goals),
        }

    def _goal(self, item: RopeList, goal: Goal) -> Object:
        proofs = item.solved.proofs if item.solved else ()
        value, bound = next(((p.value, p.bound) for p in proofs if p.goal is goal), (0, 0))
        if goal is Goal.UNMADE:  # what fits no reel is left out by anyone
            hopeless = sum(
                left.quantity * sum(piece.length for piece in left.order.pieces)
                for left in item.unmade
                if left.reason != "not_enough_rope"
            )
            value, bound = value + hopeless, bound + hopeless
        return {
            "goal": goal.value,
            "value": self._length(value),
            "bound": self._length(bound),
            "proven": value == bound,
        }


def _bound(item: RopeList, goal: Goal) -> int:
    proofs = item.solved.proofs if item.solved else ()
    return next((proof.bound for proof in proofs if proof.goal is goal), 0)
