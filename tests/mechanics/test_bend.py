import math
from typing import Any

import pytest

from tuckmark.mechanics import bend

CaseData = dict[str, Any]
WIRE = 0.5


def test_eye_on_pin_efficiency(inputs: CaseData, expected: CaseData) -> None:
    half_angle_rad = math.radians(inputs["included_angle_deg"] / 2)
    share = bend.eye_on_pin_efficiency(inputs["pin_ratio"], half_angle_rad, WIRE)
    assert share == expected["share"]


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_pin_and_rule_must_be_positive_and_finite(wrong: float) -> None:
    with pytest.raises(ValueError, match="pin_ratio must be positive"):
        bend.eye_on_pin_efficiency(wrong, 0.0, WIRE)
    with pytest.raises(ValueError, match="coefficient must be positive"):
        bend.eye_on_pin_efficiency(1.0, 0.0, wrong)
