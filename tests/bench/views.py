"""Prints the time of every view of a plan, over all examples: ``python -m tests.bench.views``.

A row is a view in one of its formats; an example's figure is the median over the rounds. A view
that the typesetter makes stands beside the time of an empty page in the same engine. Nothing here
passes or fails: times depend on the machine.
"""

import statistics
import time
from collections.abc import Callable, Iterator
from typing import Any, Final

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.render import typesetting
from tuckmark.render.view import CannotShowError, Showing
from tuckmark.render.views import VIEWS, show

ROUNDS: Final = 5
TYPESET: Final = ("pdf", "png")
EMPTY_PAGE: Final = '#set page(paper: "a4")\n'
DPI: Final = 150


def median_ms(work: Callable[[], object]) -> float:
    """Median time of one call over the rounds, in milliseconds, after one to warm up."""
    work()
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1e3


def rows(plans: list[Any]) -> Iterator[tuple[str, str, list[float]]]:
    """Each view and format with its time for every plan that it can be made of."""
    for name, view in VIEWS.items():
        for form in view.formats:
            times = []
            for plan in plans:
                showing = Showing(plan)
                try:
                    times.append(median_ms(lambda: show(name, form, showing)))  # noqa: B023 - called at once
                except CannotShowError:
                    continue
            if times:
                yield name, form, times


def main() -> None:
    """Print one line a view and format."""
    plans = [default_pipeline().plan(spec) for spec in published.examples().values()]
    empty_ms = {
        "pdf": median_ms(lambda: typesetting.pdf(EMPTY_PAGE)),
        "png": median_ms(lambda: typesetting.png(EMPTY_PAGE, dpi=DPI)),
    }
    print(f"{'milliseconds':22}{'median':>9}{'worst':>9}{'empty':>9}{'ratio':>8}")
    for name, form, times in rows(plans):
        median, worst = statistics.median(times), max(times)
        line = f"{f'{name}, {form}':22}{median:9.2f}{worst:9.2f}"
        if form in TYPESET:
            line += f"{empty_ms[form]:9.2f}{median / empty_ms[form]:8.1f}"
        print(line)


if __name__ == "__main__":
    main()
