"""``tuckmark plan --batch``: one spec a line, planned on all cores, answered in order."""

import sys
from collections import deque
from collections.abc import Collection, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import ExitStack
from functools import partial
from itertools import islice
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path
from typing import BinaryIO, Final

from tqdm import tqdm

from tuckmark import batch
from tuckmark.cli.files import BAD, GOOD, STDIN
from tuckmark.pipeline import default_pipeline

_LINES: Final = 32  # handed to a process at a time
_WAITING: Final = 4  # such parts for each process: more would only take memory

Numbered = tuple[int, bytes]
Answers = list[batch.Answer]


def plan_lines(name: str, output: str | None, fields: Collection[str] | None) -> int:
    """Answer every line of a file with a line, as ``POST /v1/batches`` does.

    Args:
        name: the file; ``-`` is standard input.
        output: where to write; None is standard output.
        fields: top-level keys of the plans to keep; None is all.

    Returns:
        The exit code: whether every line has a plan that may be spliced from.

    Raises:
        OSError: a file cannot be read or written.
    """
    good = True
    with ExitStack() as open_files:
        lines: BinaryIO = (
            sys.stdin.buffer if name == STDIN else open_files.enter_context(Path(name).open("rb"))
        )
        size = None if name == STDIN else Path(name).stat().st_size
        written: BinaryIO = (
            open_files.enter_context(Path(output).open("wb")) if output else sys.stdout.buffer
        )
        bar = open_files.enter_context(tqdm(total=size, unit="B", unit_scale=True, disable=None))
        for read, answers in _answered(lines, fields):
            written.writelines(answer.text for answer in answers)
            good = good and all(answer.is_good for answer in answers)
            bar.update(read)
    return GOOD if good else BAD


def _answered(lines: BinaryIO, fields: Collection[str] | None) -> Iterator[tuple[int, Answers]]:
    """Bytes read and the answers to them, in order, a bounded part of the file at a time."""
    processes = cpu_count() or 1
    numbered = enumerate(batch.lines(lines), 1)
    work = partial(_answers, fields=fields)
    waiting: deque[tuple[int, Future[Answers]]] = deque()
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        while part := tuple(islice(numbered, _LINES)):
            waiting.append((sum(len(line) + 1 for _, line in part), pool.submit(work, part)))
            if len(waiting) >= processes * _WAITING:
                yield _next(waiting)
        while waiting:
            yield _next(waiting)


def _next(waiting: deque[tuple[int, Future[Answers]]]) -> tuple[int, Answers]:
    read, future = waiting.popleft()
    return read, future.result()


def _answers(part: tuple[Numbered, ...], fields: Collection[str] | None) -> Answers:
    pipeline = default_pipeline()
    return [batch.answer(pipeline, number, line, fields) for number, line in part]
