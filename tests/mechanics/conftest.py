"""Worked cases: `test_x(inputs, expected)` runs once for each case in `cases/x.yaml`.

An expected figure is text, so that its last printed digit is known; it compares equal to
anything within half of that digit. An expected integer compares exactly.
"""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml

CASES = Path(__file__).parent / "cases"
KINDS = {"published", "derived", "common_practice"}


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "expected" not in metafunc.fixturenames:
        return
    path = CASES / f"{metafunc.function.__name__.removeprefix('test_')}.yaml"
    cases = yaml.safe_load(path.read_text(encoding="utf-8"))
    for case in cases:
        assert case.keys() == {"name", "source", "kind", "inputs", "expected"}, path
        assert case["source"], path
        assert case["kind"] in KINDS, path
    metafunc.parametrize(
        ("inputs", "expected"),
        [(case["inputs"], _as_printed(case["expected"])) for case in cases],
        ids=[case["name"] for case in cases],
    )


def _as_printed(figure: Any) -> Any:
    match figure:
        case dict():
            return {name: _as_printed(part) for name, part in figure.items()}
        case list():
            return [_as_printed(part) for part in figure]
        case str():
            exponent = Decimal(figure).as_tuple().exponent
            assert isinstance(exponent, int), figure
            half_a_digit = 0.5 * 10.0**exponent
            # The last factor lets an exact half through whatever its binary rounding.
            return pytest.approx(float(figure), rel=0, abs=half_a_digit * (1 + 1e-9))
        case int() | None:
            return figure
    raise TypeError(f"write {figure!r} as text: its last digit is its tolerance")
