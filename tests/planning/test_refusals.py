"""How a geometry that cannot exist is told: a sentence, with what would be accepted."""

import copy

import pytest

from tuckmark import published
from tuckmark.pipeline import Rejected, default_pipeline


def test_a_refused_geometry_is_told_in_a_sentence() -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["ends"]["a"]["eye"]["inside_length"] = "100 mm"
    with pytest.raises(Rejected) as refused:
        default_pipeline().plan(spec)
    (fault,) = refused.value.faults
    assert fault.detail == "The eye is too short to pass round its pin."
    assert fault.pointer == "/ends/a/eye"
    # e = (90 + 24)/2 / sin(45 deg) + 45 = 125.6, and with 30 deg 57/0.5 + 45 = 159
    assert fault.allowed == (
        "an inside length of at least 126 mm (90 degrees); from 159 mm on it keeps within the "
        "rule of 60 degrees"
    )
