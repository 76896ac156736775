"""A row of the table: one figure, what is aimed at, and every round it comes from."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import Literal


@dataclass(frozen=True)
class Row:
    """One figure.

    Attributes:
        what: what is measured.
        rounds: the figure of each round; their median counts.
        aim: what it should be; None where it is only told.
        way: whether it should be at most, or at least, what is aimed at.
        unit: empty for a ratio.
        notes: what else a reader wants to know.
    """

    what: str
    rounds: Sequence[float]
    aim: float | None = None
    way: Literal["at most", "at least"] = "at most"
    unit: str = ""
    notes: Sequence[str] = field(default=())

    @property
    def figure(self) -> float:
        """The median of the rounds."""
        return median(self.rounds)

    def line(self) -> str:
        """The row as it is printed, its rounds and notes below it."""
        aim = "" if self.aim is None else f"{self.way} {_text(self.aim)}"
        met = ""
        if self.aim is not None:
            good = self.figure <= self.aim if self.way == "at most" else self.figure >= self.aim
            met = "met" if good else "NOT MET"
        figure = f"{_text(self.figure)} {self.unit}".rstrip()
        lines = [f"{self.what:50}{figure:>14}  {aim:14}{met}".rstrip()]
        if len(self.rounds) > 1:
            lines.append(f"    rounds: {', '.join(map(_text, self.rounds))}")
        lines += (f"    {note}" for note in self.notes)
        return "\n".join(lines)


def _text(figure: float) -> str:
    return f"{figure:.3g}" if figure < 100 else f"{figure:.0f}"
