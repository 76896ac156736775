"""Prints what a batch costs: ``python -m tests.bench.batches``.

10,000 different specs, as many lines each as fit into one request (16 MiB), through the
application as the service runs it: time a line, and the most memory held at once beyond the body.
Then the same lines through ``tuckmark plan --batch`` on all cores. Nothing here passes or fails:
times depend on the machine.
"""

import copy
import os
import resource
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import orjson

from tuckmark import published
from tuckmark.web import create_app
from tuckmark.web.bodies import BATCH_BYTES, NDJSON

LINES: Final = 10_000
MIB: Final = 1024**2


def specs(count: int) -> Iterator[bytes]:
    """So many different specs, in turn like every example that has a finished length."""
    examples = [
        copy.deepcopy(spec)
        for spec in published.examples().values()
        if "finished" in spec.get("length", {})
    ]
    for number in range(count):
        spec = examples[number % len(examples)]
        spec["length"]["finished"] = f"{60_000 + number} mm"
        yield orjson.dumps(spec) + b"\n"


def bodies(lines: list[bytes]) -> Iterator[bytes]:
    """The lines in as few requests as they fit into."""
    body = bytearray()
    for line in lines:
        if len(body) + len(line) > BATCH_BYTES:
            yield bytes(body)
            body.clear()
        body += line
    yield bytes(body)


def answered(body: bytes) -> tuple[int, int]:
    """Answer lines, and bytes in them."""
    client = create_app().test_client()
    response = client.post("/v1/batches", data=body, content_type=NDJSON, buffered=False)
    lines = size = 0
    for part in response.response:
        lines += 1
        size += len(part)
    response.close()
    return lines, size


def main() -> None:
    """Print one figure a line."""
    lines = list(specs(LINES))
    assert len(set(lines)) == LINES
    whole = list(bodies(lines))
    print(f"{LINES} lines, {sum(map(len, whole)) / MIB:.1f} MiB in {len(whole)} requests")
    answered(b"".join(lines[:100]))  # whatever is read once
    start = time.perf_counter()
    results = [answered(body) for body in whole]
    took_s = time.perf_counter() - start
    print(f"answers: {sum(size for _, size in results) / MIB:.1f} MiB")
    print(f"in process: {took_s / LINES * 1e3:.2f} ms a line")
    for count in (LINES // 10, len(whole[0].splitlines())):
        body = b"".join(lines[:count])
        tracemalloc.start()
        answered(body)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        beyond = peak - len(body)  # the service's own copy of it
        print(f"peak memory beyond the body, {count} lines: {beyond / MIB:.2f} MiB")
    with tempfile.TemporaryDirectory() as folder:
        given, written = Path(folder, "specs.ndjson"), Path(folder, "plans.ndjson")
        given.write_bytes(b"".join(lines))
        command = [sys.executable, "-m", "tuckmark.cli", "plan", "--batch", given, "-o", written]
        start = time.perf_counter()
        subprocess.run(command, check=False)  # 1 where a plan says stop
        took_s = time.perf_counter() - start
    largest = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"command line, {os.cpu_count()} cores: {took_s / LINES * 1e3:.2f} ms a line")
    print(f"largest of its processes: {largest:.0f} MiB in all")


if __name__ == "__main__":
    main()
