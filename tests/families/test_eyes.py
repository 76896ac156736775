"""What an uncertain diameter does to an eye whose throats are marked for the nominal rope."""

import math
from types import SimpleNamespace
from typing import Any

import pytest

from tuckmark import spec
from tuckmark.families import eyes
from tuckmark.mechanics import eye as geometry
from tuckmark.plan import Length

ROPE = Length(24.0, 21.6, 26.4)


def moved_mm(eye: spec.Eye, inside_mm: float, **interlock: float) -> tuple[float, float]:
    request: Any = SimpleNamespace(rope=SimpleNamespace(diameter=ROPE), eye=eye)
    use = eyes.use_of(request, geometry.flat_eye(inside_mm, ROPE.mm), **interlock)
    return use.inside_length.moved["diameter"]


def test_a_flat_eye_is_shorter_by_a_quarter_of_what_the_crown_grows() -> None:
    # E stays; 2 e = E - pi d/2, so that 2.4 mm of diameter move e by pi x 2.4/4 = 1.885
    flat = spec.Eye(form="flat", inside_length=spec.Measured(600.0, 0.5))
    assert moved_mm(flat, 600.0) == pytest.approx((1.885, -1.885), abs=5e-4)
    # an interlock of 72 mm grows by a tenth, 7.2, and takes half of that off the inside length
    moved = moved_mm(flat, 600.0, interlock_mm=72.0)
    assert moved == pytest.approx((1.885 + 3.6, -1.885 - 3.6), abs=5e-4)


def test_rope_too_thick_for_its_marks_closes_the_eye() -> None:
    # E = 1.3 + 12 pi = 39.0 is less than pi x 26.4/2 = 41.5: nothing of the 0.65 is left
    tight = spec.Eye(form="flat", inside_length=spec.Measured(0.65, 0.005))
    thin_mm = (1.3 + math.pi * (24.0 - 21.6) / 2) / 2
    assert moved_mm(tight, 0.65) == pytest.approx((thin_mm - 0.65, -0.65), abs=1e-9)
