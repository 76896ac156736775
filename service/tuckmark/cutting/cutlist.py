"""A cut list by the reel: which piece lies where, what is left, and what cannot be made."""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from tuckmark.cutting.request import Order, Reel, Request
from tuckmark.cutting.task import Pattern, Reels, Solved, Task, Wanted

Reason = Literal["no_reel_of_this_rope", "longer_than_any_reel", "not_enough_rope"]
Solver = Callable[[Sequence[Task], float], list[Solved]]


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece on a reel: from where to where, in tenths of a millimetre from the reel's end."""

    order: Order
    part: str | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class CutReel:
    """One physical reel and what is cut from it.

    Attributes:
        copy: which of the alike reels of this id, from 1.
        offcut: what is left behind the last piece and its cut.
    """

    reel: Reel
    copy: int
    cuts: tuple[Cut, ...]
    offcut: int
    kept: bool

    @property
    def pieces(self) -> int:
        """Rope in the pieces."""
        return sum(cut.end - cut.start for cut in self.cuts)

    @property
    def waste(self) -> int:
        """The reel, less its pieces, less its offcut if that is kept."""
        return self.reel.length - self.pieces - (self.offcut if self.kept else 0)


@dataclass(frozen=True, slots=True)
class Unmade:
    """Assemblies of an order that are left out, and why."""

    order: Order
    quantity: int
    reason: Reason


@dataclass(frozen=True, slots=True)
class RopeList:
    """The cut list of one rope."""

    rope: str
    reels: tuple[CutReel, ...]
    unmade: tuple[Unmade, ...]
    solved: Solved | None  # None where nothing could be cut at all


def cut_lists(request: Request, solver: Solver) -> list[RopeList]:
    """The cut list of every rope that is ordered, in the order of the orders.

    Args:
        solver: what solves tasks within seconds.
    """
    parts = [_Rope(request, rope) for rope in dict.fromkeys(order.rope for order in request.orders)]
    tasks = [part.task for part in parts if part.task is not None]
    found = iter(solver(tasks, request.budget_s))
    return [part.listed(next(found) if part.task is not None else None) for part in parts]


class _Rope:
    """The orders and reels of one rope, as a task and back."""

    def __init__(self, request: Request, rope: str) -> None:
        self._rope = rope
        self._request = request
        self._reels = [reel for reel in request.reels if reel.rope == rope]
        orders = [order for order in request.orders if order.rope == rope]
        longest = max((reel.length for reel in self._reels), default=0) - request.allowance
        self._orders = [o for o in orders if all(piece.length <= longest for piece in o.pieces)]
        reason: Reason = "longer_than_any_reel" if self._reels else "no_reel_of_this_rope"
        self._hopeless = [
            Unmade(order, order.quantity, reason) for order in orders if order not in self._orders
        ]
        kinds = sorted({(reel.remnant, reel.length) for reel in self._reels}, reverse=True)
        self._kinds = [[r for r in self._reels if (r.remnant, r.length) == kind] for kind in kinds]
        self.task = self._task() if self._orders else None

    def _task(self) -> Task:
        return Task(
            tuple(
                Wanted(tuple(piece.length for piece in order.pieces), order.quantity)
                for order in self._orders
            ),
            tuple(
                Reels(alike[0].length, alike[0].remnant, sum(reel.quantity for reel in alike))
                for alike in self._kinds
            ),
            self._request.allowance,
            self._request.keep_from,
        )

    def listed(self, solved: Solved | None) -> RopeList:
        """The cut list by the reel."""
        if self.task is None or solved is None:
            return RopeList(self._rope, (), tuple(self._hopeless), None)
        left_out = solved.layout.unmade
        unmade = [
            Unmade(order, n, "not_enough_rope")
            for order, n in zip(self._orders, left_out, strict=True)
            if n
        ]
        places = {order.id: n for n, order in enumerate(self._request.orders)}
        every = sorted([*self._hopeless, *unmade], key=lambda item: places[item.order.id])
        reels = sorted(
            self._cut(self.task, solved),
            key=lambda cut: (self._reels.index(cut.reel), cut.copy),
        )
        return RopeList(self._rope, tuple(reels), tuple(every), solved)

    def _cut(self, task: Task, solved: Solved) -> Iterator[CutReel]:
        waiting = self._waiting(task, solved.layout.unmade)
        copies = [_copies(alike) for alike in self._kinds]
        for kind, pattern, times in sorted(solved.layout.each(), reverse=True):
            for _ in range(times):
                reel, copy = next(copies[kind])
                cuts = tuple(self._along(task, pattern, waiting))
                offcut = task.offcut(kind, pattern)
                yield CutReel(reel, copy, cuts, offcut, task.kept(offcut))

    def _waiting(self, task: Task, unmade: Pattern) -> dict[int, deque[tuple[Order, str | None]]]:
        """For each length the pieces of that length, order by order."""
        waiting: dict[int, deque[tuple[Order, str | None]]] = {n: deque() for n in task.lengths}
        for order, left_out in zip(self._orders, unmade, strict=True):
            for piece in order.pieces:
                made = order.quantity - left_out
                waiting[piece.length].extend([(order, piece.part)] * made)
        return waiting

    def _along(
        self, task: Task, pattern: Pattern, waiting: dict[int, deque[tuple[Order, str | None]]]
    ) -> Iterator[Cut]:
        at = 0
        for length, n in zip(task.lengths, pattern, strict=True):
            for _ in range(n):
                order, part = waiting[length].popleft()
                yield Cut(order, part, at, at + length)
                at += length + task.allowance


def _copies(alike: Sequence[Reel]) -> Iterator[tuple[Reel, int]]:
    for reel in alike:
        for copy in range(1, reel.quantity + 1):
            yield reel, copy
