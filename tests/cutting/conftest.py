"""Cut lists of requests, solved in this process."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tuckmark import published
from tuckmark.cutting.requests import cut_list
from tuckmark.cutting.solving import solved
from tuckmark.pipeline import Rejected, default_pipeline

sys.path.insert(0, str(Path(__file__).parent))  # exhaustive.py can be imported by name

Json = dict[str, Any]
_REPORT = jsonschema.Draft202012Validator(published.schema("cutlist-report"))


@pytest.fixture(scope="session")
def cut() -> Callable[[Json], Json]:
    """The cut list of a request; it keeps the published schema."""

    def cut(request: Json) -> Json:
        report = cut_list(default_pipeline(), request, solved)
        assert [error.message for error in _REPORT.iter_errors(report)] == []
        return report

    return cut


@pytest.fixture(scope="session")
def refused() -> Callable[[Json], dict[str, list[str]]]:
    """Pointers and codes of everything a request is refused for, and with which problem."""

    def refused(request: Json) -> dict[str, list[str]]:
        with pytest.raises(Rejected) as caught:
            cut_list(default_pipeline(), request, solved)
        faults = caught.value.faults
        assert caught.value.count == len(faults)
        return {caught.value.code: [f"{fault.pointer} {fault.code}" for fault in faults]}

    return refused
