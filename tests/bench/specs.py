"""Distinct specs from the published examples: every length and force differs from spec to spec."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from itertools import count, islice
from typing import Final

import orjson

from tuckmark import published

COUNT: Final = 5_040  # as many of each of the examples
#: a quantity as a text, or in an object, but for temperatures; feet and inches stay as they are
_TEXT: Final = re.compile(r'(?<=")\d[\d ./]*(?= (?:mm|cm|m|in|ft|k?N|tf|kgf|lbf|k?g/m)")')
_VALUE: Final = re.compile(r'(?<="value":)[\d.]+(?=,"unit":"(?!deg))')
_ANY: Final = re.compile(r'"\d[^"]* (?:mm|cm|m|in|ft|k?N|tf|kgf|lbf|k?g/m|deg[CF])"')
_STEP: Final = 1e-4  # so that none grows by more than 2.1 %
_DECIMALS: Final = 6  # as many as the grammar allows


def specs() -> Iterator[bytes]:
    """Specs without end, in turn like every example; the first of each is a little larger."""
    texts = [orjson.dumps(spec).decode() for spec in published.examples().values()]
    for n in count(1):
        factor = 1 + n * _STEP
        for text in texts:
            grown = _TEXT.sub(partial(_scaled, factor), text)
            yield _VALUE.sub(partial(_scaled, factor), grown).encode()


def distinct(number: int = COUNT) -> list[bytes]:
    """So many specs, all different."""
    found = list(islice(specs(), number))
    assert len(set(found)) == number, "some example has no quantity that could differ"
    return found


def seen_before(bodies: list[bytes], remembered: int = 4096) -> float:
    """Share of the quantities' texts that a memory of so many texts would have held."""
    held: dict[str, None] = {}
    hits = total = 0
    for body in bodies:
        for text in _ANY.findall(body.decode()):
            total += 1
            hits += text in held
            held.pop(text, None)
            held[text] = None
            if len(held) > remembered:
                del held[next(iter(held))]
    return hits / total


def _scaled(factor: float, match: re.Match[str]) -> str:
    value = float(sum(map(Fraction, match[0].split())))
    return f"{value * factor:.{_DECIMALS}f}".rstrip("0").rstrip(".")
