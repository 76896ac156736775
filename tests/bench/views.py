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
from tuckmark.render import raster, typesetting
from tuckmark.render.type import FAMILY
from tuckmark.render.view import CannotShowError, Format, Showing
from tuckmark.render.views import VIEWS, show

ROUNDS: Final = 5
#: empty but for its number, so that no two are the same
EMPTY_PAGE: Final = f'#set page(paper: "a4")\n#set text(font: "{FAMILY}")\n{{}}\n'
DPI: Final = 150
DOTS: Final = (1240, 1754)  # of that page


def median_ms(work: Callable[[int], object]) -> float:
    """Median time of one call over the rounds, in milliseconds, after one to warm up.

    Each call is given its own number: the typesetter remembers what it has made.
    """
    work(0)
    times = []
    for n in range(1, ROUNDS + 1):
        start = time.perf_counter()
        work(n)
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1e3


def one_view(name: str, form: Format, plan: Any) -> float:
    """Time of one view of a plan whose digest differs from call to call."""

    def shown(n: int) -> bytes:
        return show(name, form, Showing({**plan, "digest": f"sha256:{n:064}"}))

    return median_ms(shown)


def rows(plans: list[Any]) -> Iterator[tuple[str, Format, list[float]]]:
    """Each view and format with its time for every plan that it can be made of."""
    for name, view in VIEWS.items():
        for form in view.formats:
            times = []
            for plan in plans:
                try:
                    times.append(one_view(name, form, plan))
                except CannotShowError:
                    continue
            if times:
                yield name, form, times


def main() -> None:
    """Print one line a view and format."""
    plans = [default_pipeline().plan(spec) for spec in published.examples().values()]
    empty_ms = {
        "pdf": median_ms(lambda n: typesetting.pdf(EMPTY_PAGE.format(n))),
        "png": median_ms(lambda n: raster.png(typesetting.pdf(EMPTY_PAGE.format(n)), *DOTS, DPI)),
    }
    print(f"{'milliseconds':22}{'median':>9}{'worst':>9}{'empty':>9}{'ratio':>8}")
    for name, form, times in rows(plans):
        median, worst = statistics.median(times), max(times)
        line = f"{f'{name}, {form}':22}{median:9.2f}{worst:9.2f}"
        if form in empty_ms:
            line += f"{empty_ms[form]:9.2f}{median / empty_ms[form]:8.1f}"
        print(line)


if __name__ == "__main__":
    main()
