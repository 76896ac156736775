"""Random jobs, the ranges that their facts are stated with, and rope drawn from those ranges.

A range holds 95 %: on each side of the nominal value, which is the median, half a normal
distribution whose 1.96 sigma is the end of the range.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

from tuckmark import planner, reading
from tuckmark.pipeline import default_pipeline
from tuckmark.plan import Plan

from .making import Facts

Spec = dict[str, Any]
Range = tuple[float, float, float]

#: pitch in diameters where it is not measured, assumption: HMPE, and other synthetics
PITCH_D = {"hmpe": (8, 9.7, 12), "other": (6.5, 8.5, 10)}
#: tail used by a lock beyond its picks, common practice
LOCK_D = (1, 1.5, 2)
#: lengthening of the body after the first load, common practice
BEDDING_IN = {
    "hmpe": (0.01, 0.02, 0.03),
    "polyester": (0.02, 0.035, 0.05),
    "nylon": (0.05, 0.075, 0.1),
}
#: linear density within, from a diameter in inches on: CI 1308-96, notes 1 and 2
DENSITY = ((9 / 16, 0.05), (3 / 8, 0.08), (3 / 16, 0.10))

FAMILIES = (
    "locked_bury_eye",
    "straight_bury_eye",
    "interlocked_eye",
    "end_to_end_bury",
    "endless_bury_loop",
)
PITCHES = ("assumed", "as read", "with tolerance")
STATES = ("as_spliced", "after_setting")


@dataclass(frozen=True)
class Job:
    """A spec, its plan, and the ranges its facts are stated with: low, nominal, high."""

    spec: Spec
    plan: Plan
    ranges: dict[str, Range]

    @property
    def family(self) -> str:
        """The splice of end a, or of the join."""
        return str((self.spec.get("join") or self.spec["ends"]["a"])["splice"])

    @property
    def pitch(self) -> str:
        """How the pitch is known, one of ``PITCHES``."""
        given = self.spec["rope"].get("pitch")
        return (
            "assumed"
            if given is None
            else ("as read" if isinstance(given, str) else "with tolerance")
        )


def random_job(chance: random.Random, family: str, pitch: str) -> Job:
    """A job of one family, long enough for its splices and not longer than common."""
    fibre = chance.choice(list(BEDDING_IN))
    size_mm = chance.randint(6, 60)
    rope: Spec = {
        "construction": "single_braid_12",
        "fibre": fibre,
        "size": {"diameter": f"{size_mm} mm"},
        "coating": "coated",
    }
    ranges = {
        "diameter_mm": _diameter(size_mm),
        "lock_allowance_d": LOCK_D,
        "bedding_in": BEDDING_IN[fibre],
    }
    pitch_d = PITCH_D["hmpe" if fibre == "hmpe" else "other"]
    if pitch == "assumed":
        ranges["pitch_mm"] = (pitch_d[0] * size_mm, pitch_d[1] * size_mm, pitch_d[2] * size_mm)
    else:
        pitch_mm = round(chance.uniform(7.5, 11) * size_mm)
        off_mm = 0.5  # read to the millimetre
        rope["pitch"] = f"{pitch_mm} mm"
        if pitch == "with tolerance":
            off_mm = round(chance.uniform(0.01, 0.04) * pitch_mm, 1)
            rope["pitch"] = {"value": pitch_mm, "unit": "mm", "tolerance": off_mm}
        ranges["pitch_mm"] = (pitch_mm - off_mm, pitch_mm, pitch_mm + off_mm)
    state = chance.choice(STATES)
    spec: Spec = {"schema_version": "1.0", "rope": rope}
    finished = f"{round(chance.uniform(350, 1500) * size_mm)} mm"
    if family == "endless_bury_loop":
        spec["join"] = {"splice": family, "circumference": finished, "measured": "centre_line"}
    elif family == "end_to_end_bury":
        spec["join"] = {"splice": family, "ropes": [{}, {}]}
        spec["length"] = {"state": state, "finished": finished}
    else:
        spec["ends"] = {"a": _end(chance, family, size_mm)}
        other = chance.choice((None, family, "locked_bury_eye", "straight_bury_eye"))
        spec["ends"]["b"] = _end(chance, other, size_mm) if other else {"splice": "plain"}
        spec["length"] = {"state": state, "finished": finished}
    return Job(spec, planned(spec), ranges)


def planned(spec: Spec) -> Plan:
    """The plan of a spec that has one, its figures not yet rounded."""
    pipeline = default_pipeline()
    assert pipeline.judge.accepts(spec)
    return planner.plan(reading.to_spec(spec), (), "", pipeline.reference, pipeline.families)


def evenly(chance: random.Random, ranges: dict[str, Range], count: int) -> Iterator[Facts]:
    """As many ropes, each fact spread evenly over its distribution, in an order of its own."""
    columns = {}
    for name, its in ranges.items():
        shares = [(n + chance.random()) / count for n in range(count)]
        chance.shuffle(shares)
        columns[name] = [drawn(its, share) for share in shares]
    for values in zip(*columns.values(), strict=True):
        yield Facts(**dict(zip(columns, values, strict=True)))


def drawn(its: Range, share: float) -> float:
    """The value that a share of all ropes stays below."""
    low, nominal, high = its
    sigmas = NormalDist().inv_cdf(share)
    return nominal + sigmas / 1.96 * ((high - nominal) if sigmas > 0 else (nominal - low))


def _diameter(mm: float) -> Range:
    """By linear density, the square of the diameter; between two classes the wider one."""
    share = next((share for inches, share in DENSITY if mm >= inches * 25.4), 0.0)
    return (math.sqrt(1 - share) * mm, mm, math.sqrt(1 + share) * mm)


def _end(chance: random.Random, family: str, size_mm: int) -> Spec:
    inside_mm = round(chance.uniform(12, 30) * size_mm)
    eye: Spec = {"form": "flat", "inside_length": f"{inside_mm} mm"}
    if chance.random() < 0.5:
        eye |= {"form": "pin", "pin_diameter": f"{round(inside_mm / chance.uniform(3, 5))} mm"}
    return {"splice": family, "eye": eye}
