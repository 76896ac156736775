"""Documents near the published examples, always the same ones, as JSON texts.

Texts, not values: ``4.0`` and ``4e0`` must reach every validator as they are written.
"""

import copy
import json
import random
import re
from collections.abc import Iterator
from typing import Any

from tuckmark import published

STRAY: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 4, 0.5, 1e300, [], {}, [1], [{}], ""),
    *("24 mm", "24mm", "0 mm", "5/8 in", "9/8 in", "1 1/4 in", "1 9/8 in", "5 ft 11 15/16 in"),
    *("5 ft 12 in", "24 mm\n", " 24 mm", "24  mm", "2,4 m", "-3 degC", "30 degC", "40 kN"),
    *("hmpe", "HMPE", "plain", "thimble", "locked_bury_eye", "both", "\u00e9", "\u0000", "a" * 61),
    *({"value": 24, "unit": "mm"}, {"value": 0, "unit": "mm"}, {"value": "24", "unit": "mm"}),
    *({"value": 24}, {"value": 24, "unit": "mm", "tolerance": 1}, {"value": 1e7, "unit": "mm"}),
)
NAMES = (
    *("splice", "bury", "bury_fids", "eye", "taper", "lock", "circumference", "diameter", "tucks"),
    *("both", "a", "b", "join", "ends", "finished", "available", "form", "pin_diameter", "$schema"),
    *("__proto__", "constructor", "colour"),
)
LETTERS = ' 0123456789./-+,eEmcinftkNdg"\n\t\u00a0\u00e9\uff12\U0001f9f5'
FORMS = ("{}", "{}.0", "{}e0", "{}.000", "{}E+0", "{}.0e0")
_MARKED = re.compile(r'"whole number (-?[0-9]+)"')


def mutants(count: int, seed: int = 20_807) -> Iterator[str]:
    """So many examples with something put in, put elsewhere, taken out or written otherwise."""
    draw = random.Random(seed)  # noqa: S311 - chooses test documents, guards nothing
    specs = [spec for _, spec in sorted(published.examples().items())]
    for _ in range(count):
        document = copy.deepcopy(draw.choice(specs))
        for _ in range(draw.choice((0, 1, 1, 1, 2, 3))):
            draw.choice(CHANGES)(document, draw)
        yield written(document, draw)


def written(document: Any, draw: random.Random) -> str:
    """The document as JSON, its whole numbers sometimes as 4.0 or 4e0."""
    plain = draw.random() < 0.5
    text = json.dumps(_marked(document), ensure_ascii=plain)
    return _MARKED.sub(lambda match: draw.choice(FORMS).format(match[1]), text)


def _marked(value: Any) -> Any:
    """The same, its whole numbers as texts that can be found again."""
    if isinstance(value, dict):
        return {name: _marked(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_marked(item) for item in value]
    return f"whole number {value}" if type(value) is int else value


def _holder(document: dict[str, Any], draw: random.Random) -> dict[str, Any]:
    """Some object of the document."""
    here = document
    while inner := [value for value in here.values() if isinstance(value, dict) and value]:
        if draw.random() < 0.3:
            break
        here = draw.choice(inner)
    return here


def _put(document: dict[str, Any], draw: random.Random) -> None:
    here = _holder(document, draw)
    here[draw.choice([*here, *NAMES])] = copy.deepcopy(draw.choice(STRAY))


def _take(document: dict[str, Any], draw: random.Random) -> None:
    here = _holder(document, draw)
    if here:
        del here[draw.choice(list(here))]


def _exchange(document: dict[str, Any], draw: random.Random) -> None:
    """A part of another example in the place of this one's."""
    other = copy.deepcopy(draw.choice(list(published.examples().values())))
    name = draw.choice(["rope", "ends", "join", "length", "use", "display", "job"])
    if name in other:
        document[name] = other[name]
    else:
        document.pop(name, None)


def _misspell(document: dict[str, Any], draw: random.Random) -> None:
    """One character of some text put in, changed or taken out."""
    here = _holder(document, draw)
    texts = [name for name, value in here.items() if isinstance(value, str) and value]
    if texts:
        name = draw.choice(texts)
        place = draw.randrange(len(here[name]) + 1)
        kept = place + draw.choice((0, 1))
        here[name] = here[name][:place] + draw.choice([*LETTERS, ""]) + here[name][kept:]


def _number(document: dict[str, Any], draw: random.Random) -> None:
    """Some number moved to or beyond a bound."""
    here = _holder(document, draw)
    numbers = [name for name, value in here.items() if type(value) in (int, float)]
    if numbers:
        moved = (0, -1, 1, 0.2, 0.3, 12, 13, 50, 50.5, 1000, 10_000, 10_001, 1e-7, 2**53)
        here[draw.choice(numbers)] = draw.choice(moved)


CHANGES = (_put, _put, _take, _exchange, _misspell, _misspell, _number)
