"""From trial splices of one rope to its own shortening and pitch, each with its 95 % range."""

import math
from collections.abc import Sequence
from functools import partial
from typing import Any, Final

from msgspec import Struct

from tuckmark import plan, spec
from tuckmark.asbuilt.measured import Trial
from tuckmark.asbuilt.spread import Estimate, Sample, estimate
from tuckmark.asbuilt.trials import Counted, Outcome, off_mm, outcome, refuse_unfit
from tuckmark.bench import NOTED_FROM
from tuckmark.compare import above
from tuckmark.faults import Collected, Fault
from tuckmark.notices import Notices
from tuckmark.pipeline import Pipeline
from tuckmark.units import MM_PER_INCH
from tuckmark.writing import LengthText, decimal_text, rounded

#: so fine that a tail as long as any plan has is off by less than a printed step
SHARE_PLACES: Final = 6
_MM_PLACES: Final = 2
_INCH_PLACES: Final = 4
_QUANTILES: Final = "nist_e_handbook_1_3_6_7"


class Pitch(Struct, frozen=True):
    """The pitch by the picks that were counted.

    Attributes:
        value: in ``unit``, rounded as it is to be pasted; so is ``tolerance``.
        pointer: of the first picks in the request.
        estimate: in mm.
    """

    value: float
    unit: str
    tolerance: float
    pointer: str
    estimate: Estimate

    @property
    def measured(self) -> spec.Measured:
        """As a spec carries it."""
        mm = MM_PER_INCH if self.unit == "in" else 1.0
        return spec.Measured(self.value * mm, self.tolerance * mm, self.tolerance * mm)

    @property
    def piece(self) -> dict[str, Any]:
        """As it is pasted into a spec."""
        return {"value": self.value, "unit": self.unit, "tolerance": self.tolerance}


class Calibration(Struct, frozen=True):
    """What the trials say of the rope.

    Attributes:
        write: writes lengths in the units of the first trial's spec.
        value: the shortening, rounded as it is to be pasted.
    """

    write: LengthText
    value: float
    shortening: Estimate
    pitch: Pitch | None
    outcomes: tuple[Outcome, ...]
    warnings: tuple[plan.Warning, ...]


def calibrate(trials: Sequence[Trial], pipeline: Pipeline) -> Calibration:
    """The rope's shortening, and its pitch where picks were counted.

    Args:
        trials: one to twenty, of one rope.
        pipeline: tables and families.

    Raises:
        Refused: a trial cannot be used, or what comes out cannot be; told where it stands.
    """
    refuse_unfit(trials, pipeline)
    display = trials[0].asked.display
    write = LengthText(display.units, display.inch_fraction)
    pitch = _pitch(trials, pipeline, metric=write.metric)
    counted = Counted(pitch.measured, pitch.pointer) if pitch else None
    collected = Collected()
    made = [collected.attempt(partial(outcome, trial, counted, pipeline)) for trial in trials]
    collected.raise_any()
    outcomes = [found for found in made if found is not None]
    tails_off = _tails_off(outcomes)
    shortening = estimate([found.sample for found in outcomes], pipeline.reference, tails_off)
    most = pipeline.reference.rule("shortening.most").value
    _refuse_impossible(outcomes, shortening, most, write)
    said = Notices(write)
    _warn(outcomes, shortening, pitch, most, said)
    if pitch is not None:
        _compare_pitches(trials, pitch, write, said)
    return Calibration(
        write=write,
        value=rounded(shortening.value, SHARE_PLACES),
        shortening=shortening,
        pitch=pitch,
        outcomes=tuple(outcomes),
        warnings=said.all(),
    )


def _tails_off(outcomes: Sequence[Outcome]) -> float:
    """Half of the 95 % range of all buried tails, as a share of them: one lock is as the next."""
    low_mm, high_mm = (sum(found.buried.bounds_mm[side] for found in outcomes) for side in (0, 1))
    return (high_mm - low_mm) / 2 / sum(found.buried.mm for found in outcomes)


def _pitch(trials: Sequence[Trial], pipeline: Pipeline, *, metric: bool) -> Pitch | None:
    """One turn of a strand by all picks that were counted, as long picks as the trials have."""
    counted = [trial for trial in trials if trial.picks is not None]
    if not counted:
        return None
    per_turn = pipeline.reference.rule("picks.per_pitch").value
    found = estimate(
        [
            Sample(trial.picks.count / per_turn, trial.picks.length.mm, off_mm(trial.picks.length))
            for trial in counted
            if trial.picks is not None
        ],
        pipeline.reference,
    )
    unit, mm, places = ("mm", 1.0, _MM_PLACES) if metric else ("in", MM_PER_INCH, _INCH_PLACES)
    step = 10.0**-places
    return Pitch(
        value=rounded(found.value / mm, places),
        unit=unit,
        tolerance=max(rounded(found.half_width / mm, places), step),
        pointer=f"{counted[0].pointer}/picks",
        estimate=found,
    )


def _refuse_impossible(
    outcomes: Sequence[Outcome], shortening: Estimate, most: float, write: LengthText
) -> None:
    """Nothing is lost less than nothing, nor more than a spec takes: then a measurement is wrong.

    Raises:
        Refused: ``measured_too_roughly``, ``shortening_outside_range``.
    """
    collected = Collected(*(_rough(found, most, write) for found in outcomes if found.rough(most)))
    collected.raise_any()
    collected.faults += [
        _impossible(found, most, write)
        for found in outcomes
        if found.lost_mm + found.off_mm < 0 or found.lost_mm - found.off_mm > most * found.buried.mm
    ]
    if not collected.faults and not 0 <= shortening.value <= most:
        collected.faults.append(
            Fault(
                "/trials",
                "shortening_outside_range",
                f"The trials come to {decimal_text(shortening.value, 4)} of the buried tail.",
                allowed=f"0 to {most:g}",
                hint="Measure finer: what is lost is hidden by how far the measurements may be "
                "off.",
            )
        )
    collected.raise_any()


def _rough(found: Outcome, most: float, write: LengthText) -> Fault:
    return Fault(
        f"{found.trial.pointer}/cut",
        "measured_too_roughly",
        f"Cut and throat to throat may be {write.write(found.off_mm)} off together, as they are "
        "written: more than a buried tail can take.",
        allowed=f"less than {write.write(most * found.buried.mm)} off together",
        hint="Write them to the millimetre they were read to, or give their tolerance.",
    )


def _impossible(found: Outcome, most: float, write: LengthText) -> Fault:
    longest_mm = found.lost_mm + found.trial.throat_to_throat.mm
    shortest_mm = longest_mm - most * found.buried.mm
    return Fault(
        f"{found.trial.pointer}/throat_to_throat",
        "shortening_outside_range",
        f"This trial lost {decimal_text(found.lost_mm / found.buried.mm, 3)} of its buried tail, "
        "which cannot be: a length was misread, or the splice was not made at its marks.",
        allowed=f"{write.write_up(shortest_mm)} to {write.write(longest_mm)}, with this cut",
        given=write.write(found.trial.throat_to_throat.mm),
        hint="Check cut, throat to throat and the marks of the trial; all along the rope under "
        "hand tension.",
    )


def _warn(
    outcomes: Sequence[Outcome],
    shortening: Estimate,
    pitch: Pitch | None,
    most: float,
    said: Notices,
) -> None:
    for found in outcomes:
        if found.stopped:
            said.add("trial_plan_stopped", f"{found.trial.pointer}/spec")
    assumed = [found for found in outcomes if found.pitch_assumed]
    if assumed:
        low_mm, high_mm = assumed[0].buried.bounds_mm
        said.add(
            "trial_pitch_assumed",
            f"{assumed[0].trial.pointer}/spec/rope",
            value=plan.Length(assumed[0].buried.mm),
            source="assumption_braid_pitch",
            least=said.text(plan.Length(low_mm)),
            most=said.text(plan.Length(high_mm)),
        )
    shares = [found.sample.share for found in outcomes]
    if shortening.disagree:
        odd = max(outcomes, key=lambda found: abs(found.sample.share - shortening.value))
        said.add(
            "trials_disagree",
            odd.trial.pointer,
            value=shortening.chi_square,
            limit=shortening.by_chance,
            source=_QUANTILES,
            least=decimal_text(min(shares), 4),
            most=decimal_text(max(shares), 4),
        )
    if pitch is not None and pitch.estimate.disagree:
        said.add(
            "pick_counts_disagree",
            pitch.pointer,
            value=pitch.estimate.chi_square,
            limit=pitch.estimate.by_chance,
            source=_QUANTILES,
        )
    low, high = shortening.bounds
    if low < 0 or high > most:
        said.add(
            "shortening_range_past_limits",
            "/trials",
            least=decimal_text(low, 4),
            most=decimal_text(high, 4),
        )
    if shortening.trials == 1:
        said.add("one_trial_only", "/trials/0", source="derived_trial_shortening")


def _compare_pitches(
    trials: Sequence[Trial], counted: Pitch, write: LengthText, said: Notices
) -> None:
    """The pitch that was counted against the one that the specs give: they agree in it."""
    giving = (trial for trial in trials if trial.asked.rope.pitch is not None)
    trial = next(giving, None)
    if trial is not None and (given := trial.asked.rope.pitch) is not None:
        apart_mm = abs(counted.estimate.value - given.mm)
        explained_mm = math.hypot(counted.estimate.half_width, off_mm(given))
        if above(apart_mm, max(explained_mm, NOTED_FROM * given.mm)):
            said.add(
                "counted_pitch_differs",
                f"{trial.pointer}/spec/rope/pitch",
                value=plan.Length(counted.estimate.value),
                limit=plan.Length(given.mm),
                counted=write.write_finely(counted.estimate.value),
                given=write.write_finely(given.mm),
            )
