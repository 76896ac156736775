"""Figures taken in one process: stages, loading, refusals, batches; and batches on two."""

import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from statistics import median
from typing import Any, Final

import msgspec
import orjson
from tests.bench.clock import alternating, ratios
from tests.bench.rows import Row
from tests.bench.specs import distinct, seen_before

from tuckmark import batch, document, packing, planner, published, reading, spec
from tuckmark.pipeline import ENGINE, Pipeline, Rejected, canonical_json, default_pipeline
from tuckmark.quantities import ReadQuantity
from tuckmark.render import plan_json
from tuckmark.web.representations import json_bytes

SPECS: Final = 480  # twenty of each example in one round
_LINES: Final = 10_000
_FEW_LINES: Final = 100
_ROUNDS: Final = 5
_PART: Final = 100  # lines handed to a process at a time


def rows() -> Iterator[Row]:
    """Every figure that needs no server."""
    bodies = distinct()
    yield Row("quantities' texts seen before", [seen_before(bodies)], 0.5)
    pipeline = default_pipeline()
    yield from _by_example(pipeline)
    yield from _whole_way(pipeline, bodies[:SPECS])
    yield from _stages(pipeline, bodies[:SPECS])
    yield _loading(bodies[:SPECS])
    yield _refusals(pipeline)
    yield from _batches(pipeline)


def _by_example(pipeline: Pipeline) -> Iterator[Row]:
    """Each example's median over the rounds, from bytes to bytes; the median and worst of them."""
    bodies = {name: orjson.dumps(spec) for name, spec in published.examples().items()}

    def whole(body: bytes) -> None:
        json_bytes(pipeline.plan(document.read(body)))

    times = alternating([partial(whole, body) for body in bodies.values()])
    by_name = {name: median(found) * 1e3 for name, found in zip(bodies, times, strict=True)}
    dearest = max(by_name, key=by_name.__getitem__)
    yield Row(
        f"a plan, median of {len(by_name)} examples", [median(by_name.values())], 1, unit="ms"
    )
    yield Row(f"a plan, the dearest example ({dearest})", [by_name[dearest]], 1, unit="ms")


def _whole_way(pipeline: Pipeline, bodies: Sequence[bytes]) -> Iterator[Row]:
    asked = [reading.read(document.read(body)) for body in bodies]

    def plan() -> None:
        for typed, quantities in asked:
            planner.plan(typed, quantities, "", pipeline.reference, pipeline.families)

    def whole() -> None:
        for body in bodies:
            json_bytes(pipeline.plan(document.read(body)))

    alone, all_of_it = alternating((plan, whole))
    notes = [
        f"{name}: {', '.join(f'{s / len(bodies) * 1e6:.0f}' for s in times)} us"
        for name, times in (("plan", alone), ("bytes to bytes", all_of_it))
    ]
    yield Row("bytes to bytes / plan() alone", ratios(all_of_it, alone), 1.5, notes=notes)


@dataclass(frozen=True)
class _Way:
    """One document at every stage of its way."""

    body: bytes
    value: Any
    asked: spec.Spec
    quantities: tuple[ReadQuantity, ...]
    canonical: bytes
    made: Any
    shown: Any


def _ways(pipeline: Pipeline, bodies: Sequence[bytes]) -> list[_Way]:
    ways = []
    for body in bodies:
        value = document.read(body)
        asked, quantities = reading.read(value)
        canonical = canonical_json(value)
        made = planner.plan(asked, quantities, "", pipeline.reference, pipeline.families)
        shown = plan_json.as_json(made, asked.display, pipeline.reference, ENGINE, None)
        ways.append(_Way(body, value, asked, quantities, canonical, made, shown))
    return ways


def _stages(pipeline: Pipeline, bodies: Sequence[bytes]) -> Iterator[Row]:
    ways, reference = _ways(pipeline, bodies), pipeline.reference
    stages = {
        "parse": lambda way: document.read(way.body),
        "validate": lambda way: pipeline.judge.verdict(way.value),
        "load": lambda way: reading.read(way.value),
        "canonical": lambda way: canonical_json(way.value),
        "plan": lambda way: planner.plan(
            way.asked, way.quantities, "", reference, pipeline.families
        ),
        "pack": lambda way: packing.pack(way.canonical),
        "write figures": lambda way: plan_json.as_json(
            way.made, way.asked.display, reference, ENGINE, None
        ),
        "write bytes": lambda way: json_bytes(way.shown),
    }

    def over_all(stage: Any) -> None:
        for way in ways:
            stage(way)

    times = alternating([partial(over_all, stage) for stage in stages.values()])
    totals = [sum(round_) for round_ in zip(*times, strict=True)]
    for name, found in zip(stages, times, strict=True):
        microseconds = sorted(found)[len(found) // 2] / len(bodies) * 1e6
        aim = 0.1 if name == "validate" else None
        yield Row(
            f"share of: {name}", ratios(found, totals), aim, notes=(f"{microseconds:.1f} us",)
        )


def _loading(bodies: Sequence[bytes]) -> Row:
    """The typed load against making the same objects from their values by plain constructors."""
    values = [document.read(body) for body in bodies]
    recipes = [_recipe(reading.to_spec(value)) for value in values]

    def load() -> None:
        for value in values:
            reading.to_spec(value)

    def construct() -> None:
        for recipe in recipes:
            _made(recipe)

    loading, plain = alternating((load, construct))
    notes = ("loading also converts every quantity and notes where it stood",)
    return Row("typed load / plain constructors", ratios(loading, plain), 1.5, notes=notes)


def _recipe(value: Any) -> Any:
    """An object as its class and the recipes of its fields."""
    if isinstance(value, msgspec.Struct):
        names = type(value).__struct_fields__
        return type(value), {name: _recipe(getattr(value, name)) for name in names}
    return value


def _made(recipe: Any) -> Any:
    if isinstance(recipe, tuple) and len(recipe) == 2 and isinstance(recipe[0], type):
        kind, named = recipe
        return kind(**{name: _made(value) for name, value in named.items()})
    return recipe


def _refusals(pipeline: Pipeline) -> Row:
    """The dearest refusal of the invalid corpus against a plan of a document as large."""
    corpus = [case for cases in published.corpus().values() for case in cases]
    invalid = [case.document.encode() for case in corpus if not case.valid]
    bodies = [_as_large(text) for text in invalid]
    plans = distinct(len(published.examples()))

    def refuse(body: bytes) -> None:
        try:
            pipeline.plan(document.read(body))
        except (Rejected, document.UnreadableError):
            return
        raise AssertionError("a document of the invalid corpus was planned")

    def plan() -> None:
        for body in plans:
            json_bytes(pipeline.plan(document.read(body)))

    times = alternating([plan, *(partial(refuse, body) for body in bodies)], rounds=_ROUNDS)
    one_plan = [seconds / len(plans) for seconds in times[0]]
    worst = max(times[1:], key=lambda found: sorted(found)[len(found) // 2])
    which = invalid[times[1:].index(worst)]
    return Row(
        f"dearest refusal of {len(invalid)} / a plan",
        ratios(worst, one_plan),
        1.0,
        notes=(f"the dearest: {which[:300]}",),
    )


def _as_large(text: bytes) -> bytes:
    """As many bytes as a usual plan request: white space changes no verdict."""
    usual = len(next(iter(distinct(1))))
    return text + b" " * max(0, usual - len(text))


def _batches(pipeline: Pipeline) -> Iterator[Row]:
    lines = distinct(SPECS)

    def batched() -> None:
        for n, line in enumerate(lines, 1):
            batch.answer(pipeline, n, line)

    def singly() -> None:
        for line in lines:
            json_bytes(pipeline.plan(document.read(line)))

    per_line, single = alternating((batched, singly))
    yield Row("a line of a batch / a plan by itself", ratios(per_line, single), 1.1)
    many = distinct(_LINES)
    few = many[:_FEW_LINES]
    per_few, per_many = [], []
    for _ in range(_ROUNDS):
        for some, found in ((few, per_few), (many, per_many)):
            start = time.thread_time()
            for n, line in enumerate(some, 1):
                batch.answer(pipeline, n, line)
            found.append((time.thread_time() - start) / len(some))
    yield Row(f"a line of {_LINES} / a line of {_FEW_LINES}", ratios(per_many, per_few), 1.1)
    yield _two_processes(many)


def _two_processes(lines: Sequence[bytes]) -> Row:
    """As ``tuckmark plan --batch`` does it: parts handed to processes, answers in order."""
    parts = [lines[start : start + _PART] for start in range(0, len(lines), _PART)]
    context = get_context("spawn")
    ratio = []
    with ProcessPoolExecutor(1, context) as one, ProcessPoolExecutor(2, context) as two:
        for pool in (one, two):
            list(pool.map(_answered, parts[:8]))  # they start, and load what they need
        for _ in range(_ROUNDS):
            took = []
            for pool in (one, two):
                start = time.perf_counter()
                list(pool.map(_answered, parts))
                took.append(time.perf_counter() - start)
            ratio.append(took[0] / took[1])
    return Row(f"two processes / one, {len(lines)} lines", ratio, 1.8, "at least")


def _answered(part: Sequence[bytes]) -> int:
    pipeline = default_pipeline()
    return sum(len(batch.answer(pipeline, n, line).text) for n, line in enumerate(part, 1))
