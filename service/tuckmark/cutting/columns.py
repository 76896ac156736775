"""Column generation: a bound that no cut list can beat, and the patterns that could reach it.

HiGHS prices in floats; here its prices are rounded to whole numbers and every pattern is checked
against them exactly, so that the bound is safe whatever the rounding was (Lagrange's bound).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from tuckmark.cutting.clock import Clock
from tuckmark.cutting.knapsack import all_worth, most_valuable
from tuckmark.cutting.master import Column, Duals, Master
from tuckmark.cutting.program import Kind, Program
from tuckmark.cutting.task import Pattern

_SCALE = 2**24  # steps of a price in one step of cost
_NEGLIGIBLE = 2**4  # of these: a column that promises less is not taken in
_CLOSE = 1e-3  # steps of cost: a bound as near to the relaxation will do
#: of one search for a pattern: few while there are patterns to be found, then more
_FIRST_STEPS, _MORE_STEPS, _MOST_STEPS = 2_000, 8, 128_000


@dataclass(frozen=True, slots=True)
class Prices:
    """Whole-number prices that keep every pattern's reduced cost from being negative.

    Attributes:
        bound: what they prove, in price steps: no answer of the program costs less.
    """

    pieces: tuple[int, ...]
    reels: tuple[int, ...]
    new: int
    bound: int

    def worth_beyond(self, kind: Kind) -> int:
        """What the pieces of a pattern must be worth for its reduced cost to be 0."""
        return kind.fixed * _SCALE - self.new * kind.new - self.reels[kind.reel]

    def values(self, kind: Kind) -> tuple[int, ...]:
        """What each piece is worth in a pattern of this kind."""
        return tuple(
            price - each * _SCALE for price, each in zip(self.pieces, kind.each, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Bounded:
    """What column generation found.

    Attributes:
        columns: the patterns it met.
        prices: those that prove most; None where the time was up before there were any.
    """

    columns: tuple[Column, ...]
    prices: Prices | None

    @property
    def bound(self) -> int:
        """No answer of the program costs less, in its steps."""
        return 0 if self.prices is None else max(0, -(-self.prices.bound // _SCALE))


def generate(program: Program, first: Iterable[Column], good_enough: int, clock: Clock) -> Bounded:
    """Add the patterns that the relaxation asks for until it asks for none.

    Args:
        first: columns that hold an answer.
        good_enough: a cost that is reached already; a bound as high ends the work.
    """
    master = Master(program)
    known = set(first)
    for column in sorted(known):
        master.add(column)
    best = Bounded((), None)
    steps = _FIRST_STEPS
    while (
        steps <= _MOST_STEPS
        and best.bound < good_enough
        and (duals := master.relax(clock.left_s)) is not None
    ):
        prices, asked = _priced(program, duals, steps, clock)
        if best.prices is None or prices.bound > best.prices.bound:
            best = Bounded((), prices)
        if prices.bound >= (duals.value - _CLOSE) * _SCALE:
            break
        fresh = [column for column in asked if column not in known]
        for column in fresh:
            master.add(column)
        known.update(fresh)
        if not fresh:
            steps *= _MORE_STEPS
    return Bounded(tuple(master.columns), best.prices)


def within_reach(
    program: Program, prices: Prices, cost: int, share: float, most: int, clock: Clock
) -> list[Column] | None:
    """Every pattern that an answer of at most this cost can hold; None where there are too many.

    Reduced costs add up to what an answer costs above the bound; so a pattern whose own is more
    than that difference is in no such answer.

    Args:
        share: of that difference; with less than 1 only the most promising are found.

    Raises:
        OutOfTime: the clock is up.
    """
    allowed = int((cost * _SCALE - prices.bound) * share)
    found: list[Column] = []
    for index, kind in enumerate(program.kinds):
        patterns = all_worth(
            prices.values(kind),
            program.task.weights,
            program.demand,
            kind.room,
            prices.worth_beyond(kind) - allowed,
            clock,
            full_only=kind.full_only,
        )
        for pattern in patterns:
            found.append((index, pattern))
            if len(found) > most:
                return None
    return found


def _priced(
    program: Program, duals: Duals, most_steps: int, clock: Clock
) -> tuple[Prices, list[Column]]:
    """Safe prices near the relaxation's, and the columns that it lacks."""
    pieces = tuple(
        max(round(price * _SCALE), -cost * _SCALE)  # a piece can be cut too many at that cost
        for price, cost in zip(duals.pieces, program.spare, strict=True)
    )
    new = min(0, round(duals.new * _SCALE))
    reels = [min(0, round(price * _SCALE)) for price in duals.reels]
    hint = Prices(pieces, tuple(reels), new, 0)
    asked: list[Column] = []
    for index, kind in enumerate(program.kinds):
        enough = hint.worth_beyond(kind)
        steps = 0 if clock.is_up else most_steps  # without a search the prices are safe as well
        best = most_valuable(
            hint.values(kind), program.task.weights, program.demand, kind.room, enough, steps
        )
        reels[kind.reel] = min(reels[kind.reel], hint.reels[kind.reel] - (best.at_most - enough))
        if best.value - enough > _NEGLIGIBLE:
            asked.append((index, best.pattern))
    unmade = min(0, round(duals.unmade * _SCALE))
    bound = _proven(program, pieces, tuple(reels), new, unmade)
    return Prices(pieces, tuple(reels), new, bound), asked


def _proven(
    program: Program, pieces: Pattern, reels: tuple[int, ...], new: int, unmade: int
) -> int:
    """What prices prove that leave no pattern a negative reduced cost."""
    usable = sum(program.demand)  # each reel that is cut yields a piece
    bound = sum(price * n for price, n in zip(pieces, program.demand, strict=True))
    bound += sum(
        price * min(stock.quantity, usable)
        for price, stock in zip(reels, program.task.reels, strict=True)
    )
    bound += new * (program.most_new or 0) + unmade * (program.most_unmade or 0)
    for item in program.left_out:
        worth = sum(price * n for price, n in zip(pieces, item.part, strict=True))
        reduced = item.cost * _SCALE - worth
        if program.most_unmade is not None:
            reduced -= unmade * item.size
        bound += min(0, reduced) * item.most
    return bound
