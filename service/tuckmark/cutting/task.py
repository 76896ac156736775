"""What is to be cut from what, and how good a cut list is: whole tenths of a millimetre only."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

#: how many pieces of each length, in the order of ``Task.lengths``
Pattern = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """One order: so many of an assembly, each of one piece, or of the two pieces of a join."""

    pieces: tuple[int, ...]
    quantity: int

    @property
    def size(self) -> int:
        """Rope in one assembly."""
        return sum(self.pieces)


@dataclass(frozen=True, slots=True)
class Reels:
    """Reels that are alike: the same length, all new or all remnants."""

    length: int
    remnant: bool
    quantity: int


@dataclass(frozen=True)
class Task:
    """The orders for one rope and the reels there are of it.

    Attributes:
        allowance: rope lost at each piece's cut.
        keep_from: least length of an offcut that is kept; None where none is.
    """

    wanted: tuple[Wanted, ...]
    reels: tuple[Reels, ...]
    allowance: int
    keep_from: int | None

    @cached_property
    def lengths(self) -> tuple[int, ...]:
        """The different lengths of pieces, the longest first."""
        return tuple(sorted({piece for item in self.wanted for piece in item.pieces}, reverse=True))

    @cached_property
    def weights(self) -> tuple[int, ...]:
        """What a piece of each length takes from a reel, its cut included."""
        return tuple(length + self.allowance for length in self.lengths)

    @cached_property
    def parts(self) -> tuple[Pattern, ...]:
        """The pieces of one assembly of each order."""
        return tuple(
            tuple(item.pieces.count(length) for length in self.lengths) for item in self.wanted
        )

    def demand(self, unmade: Pattern) -> Pattern:
        """Pieces of each length when so many assemblies of each order are left out."""
        made = [item.quantity - left for item, left in zip(self.wanted, unmade, strict=True)]
        return tuple(
            sum(n * part[i] for n, part in zip(made, self.parts, strict=True))
            for i in range(len(self.lengths))
        )

    def taken(self, pattern: Pattern) -> int:
        """What a pattern takes from a reel, the cuts included."""
        return sum(n * weight for n, weight in zip(pattern, self.weights, strict=True))

    def offcut(self, reel: int, pattern: Pattern) -> int:
        """What is left of a reel."""
        return self.reels[reel].length - self.taken(pattern)

    def kept(self, offcut: int) -> bool:
        """Whether an offcut is worth keeping."""
        return self.keep_from is not None and offcut >= self.keep_from


@dataclass(frozen=True, slots=True)
class Layout:
    """A cut list.

    Attributes:
        cuts: (index of the reels, pattern) -> how many reels are cut so.
        unmade: assemblies of each order that are left out.
    """

    cuts: Mapping[tuple[int, Pattern], int]
    unmade: Pattern

    def each(self) -> Iterator[tuple[int, Pattern, int]]:
        """Reels, pattern and how many."""
        for (reel, pattern), times in self.cuts.items():
            yield reel, pattern, times


@dataclass(frozen=True, order=True, slots=True)
class Score:
    """How good a cut list is: compared in this order, less is better.

    Attributes:
        unmade: rope in the assemblies that are left out.
        new_rope: whole length of the new reels that are opened.
        waste: reels used, less pieces, less offcuts that are kept.
    """

    unmade: int
    new_rope: int
    waste: int


class Goal(Enum):
    """What is made least, in this order."""

    UNMADE = "unmade"
    NEW_ROPE = "new_rope"
    WASTE = "waste"


@dataclass(frozen=True, slots=True)
class Proof:
    """What one goal came to, and the least that it could have come to."""

    goal: Goal
    value: int
    bound: int


@dataclass(frozen=True, slots=True)
class Solved:
    """A cut list with the proof of each goal, in order."""

    layout: Layout
    proofs: tuple[Proof, ...]


def score(task: Task, layout: Layout) -> Score:
    """What a cut list comes to."""
    new_rope = waste = 0
    for reel, pattern, times in layout.each():
        reels = task.reels[reel]
        offcut = task.offcut(reel, pattern)
        pieces = sum(n * length for n, length in zip(pattern, task.lengths, strict=True))
        new_rope += 0 if reels.remnant else times * reels.length
        waste += times * (reels.length - pieces - (offcut if task.kept(offcut) else 0))
    unmade = sum(n * item.size for n, item in zip(layout.unmade, task.wanted, strict=True))
    return Score(unmade, new_rope, waste)


def holds(task: Task, layout: Layout) -> bool:
    """Whether a cut list can be cut: every piece once, no reel overrun, no reel twice."""
    made = [0] * len(task.lengths)
    used = [0] * len(task.reels)
    for reel, pattern, times in layout.each():
        if times < 0 or min(pattern, default=0) < 0 or task.offcut(reel, pattern) < 0:
            return False
        used[reel] += times
        made = [m + times * n for m, n in zip(made, pattern, strict=True)]
    within = all(
        0 <= left <= item.quantity for left, item in zip(layout.unmade, task.wanted, strict=True)
    )
    enough = all(n <= reels.quantity for n, reels in zip(used, task.reels, strict=True))
    return within and enough and tuple(made) == task.demand(layout.unmade)
