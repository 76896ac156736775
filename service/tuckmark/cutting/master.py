"""The programs of ``program`` on HiGHS: its relaxation, and whole numbers over given patterns."""

from collections.abc import Sequence
from dataclasses import dataclass

import highspy

from tuckmark.cutting.program import Program
from tuckmark.cutting.task import Pattern

#: index of a kind, pattern
Column = tuple[int, Pattern]


@dataclass(frozen=True, slots=True)
class Duals:
    """What one more of each would be worth, as floats: hints, made safe by ``columns``."""

    value: float
    pieces: tuple[float, ...]
    reels: tuple[float, ...]
    new: float
    unmade: float


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole-number answer.

    Attributes:
        times: how many reels are cut by each column.
        unmade: assemblies left out, in the order of ``Program.left_out``.
        is_best: whether nothing better can be had from these columns.
    """

    times: tuple[int, ...]
    unmade: tuple[int, ...]
    is_best: bool


class Master:
    """A program over some of its columns; more can be added."""

    def __init__(self, program: Program) -> None:
        self.columns: list[Column] = []
        self._program = program
        self._pieces = len(program.demand)
        self._reels = len(program.task.reels)
        self._solver = highspy.Highs()  # type: ignore[no-untyped-call]
        self._solver.silent()
        for name, value in (("threads", 1), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5)):
            self._solver.setOptionValue(name, value)  # costs are whole: half a step is no step
        self._add_rows()
        for item in program.left_out:
            row = self._pieces + self._reels + 1
            entries = [*enumerate(item.part), (row, item.size)]
            self._add_column(item.cost, item.most, entries)
        for i, cost in enumerate(program.spare):
            self._add_column(cost, highspy.kHighsInf, [(i, -1)])
        self._fixed = self._solver.getNumCol()

    def add(self, column: Column) -> None:
        """One more column."""
        kind = self._program.kinds[column[0]]
        cost = kind.fixed + sum(n * each for n, each in zip(column[1], kind.each, strict=True))
        entries = [
            *enumerate(column[1]),
            (self._pieces + kind.reel, 1),
            (self._pieces + self._reels, kind.new),
        ]
        self._add_column(cost, highspy.kHighsInf, entries)
        self.columns.append(column)

    def relax(self, seconds: float) -> Duals | None:
        """The relaxation's answer; None where the time was up before."""
        self._solver.setOptionValue("time_limit", self._solver.getRunTime() + seconds)
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        duals = list(self._solver.getSolution().row_dual)
        at = self._pieces + self._reels
        return Duals(
            self._solver.getInfo().objective_function_value,
            tuple(duals[: self._pieces]),
            tuple(duals[self._pieces : at]),
            duals[at],
            duals[at + 1],
        )

    def whole(self, start: Sequence[float], enough: int, seconds: float) -> Whole | None:
        """The best whole-number answer within the time, if any.

        Args:
            start: an answer to begin from: assemblies left out, pieces too many, columns.
            enough: a cost that cannot be beaten: at it the search ends.
        """
        for column in range(self._solver.getNumCol()):
            self._solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        solution = highspy.HighsSolution()
        solution.col_value = list(start)
        self._solver.setSolution(solution)
        self._solver.setOptionValue("objective_target", enough + 0.5)
        self._solver.setOptionValue("time_limit", self._solver.getRunTime() + seconds)
        self._solver.run()
        found = self._solver.getSolution()
        if not found.value_valid:
            return None
        values = [round(value) for value in found.col_value]
        return Whole(
            tuple(values[self._fixed :]),
            tuple(values[: len(self._program.left_out)]),
            self._solver.getModelStatus() == highspy.HighsModelStatus.kOptimal,
        )

    def _add_rows(self) -> None:
        program = self._program
        most_new, most_unmade = (
            highspy.kHighsInf if most is None else most
            for most in (program.most_new, program.most_unmade)
        )
        bounds = [
            *((n, n) for n in program.demand),
            *((0, reels.quantity) for reels in program.task.reels),
            (0, most_new),
            (0, most_unmade),
        ]
        for low, high in bounds:
            self._solver.addRow(low, high, 0, [], [])

    def _add_column(self, cost: float, most: float, entries: list[tuple[int, int]]) -> None:
        there = [(row, n) for row, n in entries if n]
        rows, counts = [row for row, _ in there], [float(n) for _, n in there]
        self._solver.addCol(cost, 0, most, len(there), rows, counts)
