"""A calibration as its published JSON: the piece of spec to paste in, and how sure it is."""

import math
from typing import Final

from tuckmark.asbuilt.calibration import SHARE_PLACES, Calibration, Pitch
from tuckmark.asbuilt.spread import Estimate
from tuckmark.asbuilt.trials import Outcome
from tuckmark.plan import GIVEN, Length
from tuckmark.reference import Reference
from tuckmark.render.figures import FigureWriter, Object
from tuckmark.writing import rounded

CALIBRATION_VERSION: Final = "1.0"
_SOURCE: Final = "derived_trial_shortening"
_QUANTILES: Final = "nist_e_handbook_1_3_6_7"
_HOW: Final = (
    "Of each trial: length lost = cut, less the rope its plan puts into tails, eyes and ends, less "
    "throat to throat.",
    "Shortening = sum of (length lost x buried tail) / sum of (buried tail squared).",
)
_BY_MEASUREMENT: Final = (
    "The range is what the measurements leave open, and of a locked tail what the lock hides, at "
    "95 %."
)
_BY_SCATTER: Final = (
    "The range is the scatter of the trials: Student's t for one trial less than there are, at 95 "
    "%, on the standard deviation of what the estimate leaves; of locked tails also what the lock "
    "hides."
)


def as_json(calibration: Calibration, reference: Reference, engine: str) -> Object:
    """The answer in its published shape and key order.

    Args:
        calibration: what the trials say.
        reference: for the titles of sources.
        engine: version of the computation.
    """
    writer = _Writer(calibration.write)
    rope: Object = {"bury_shortening": calibration.value}
    if calibration.pitch is not None:
        rope["pitch"] = calibration.pitch.piece
    shortening, outcomes = calibration.shortening, calibration.outcomes
    by_scatter = shortening.basis == "scatter"
    tail = Length(outcomes[0].buried.mm)
    body: Object = {
        "calibration_version": CALIBRATION_VERSION,
        "spec": {"rope": rope},
        "bury_shortening": writer.shortening(shortening),
        "pitch": writer.pitch(calibration.pitch),
        "leaves_open": {
            "buried": writer.length(tail),
            "off": writer.length(Length(shortening.half_width * tail.mm)),
        },
        "reckoned": writer.reckoned(outcomes),
        "trials": [writer.trial(outcome) for outcome in outcomes],
        "warnings": [writer.warning(warning) for warning in calibration.warnings],
        "how": [*_HOW, _BY_SCATTER if by_scatter else _BY_MEASUREMENT],
        "made_with": {"engine": engine, "tables": reference.version},
    }
    body["sources"] = writer.sources(reference)
    body["links"] = {
        "request_schema": "/schema/v1/calibration-request.json",
        "schema": "/schema/v1/calibration-report.json",
        "sources": "/v1/sources",
    }
    return body


class _Writer(FigureWriter):
    def shortening(self, estimate: Estimate) -> Object:
        low, high = estimate.bounds
        found = {
            "value": rounded(estimate.value, SHARE_PLACES),
            "low": rounded(low, SHARE_PLACES),
            "high": rounded(high, SHARE_PLACES),
            **_basis(estimate),
        }
        if estimate.basis == "scatter":
            self.name(_QUANTILES)
        return self.with_source(found, _SOURCE)

    def pitch(self, pitch: Pitch | None) -> Object | None:
        if pitch is None:
            return None
        estimate = pitch.estimate
        found = self.length(Length(estimate.value, *estimate.bounds)) or {}
        return self.with_source({**found, **_basis(estimate)}, GIVEN)

    def reckoned(self, outcomes: tuple[Outcome, ...]) -> Object:
        """What geometry would have expected, to compare with."""
        buried_mm = sum(outcome.buried.mm for outcome in outcomes)
        expected = [(outcome.reckoned.mm, *outcome.reckoned.bounds_mm) for outcome in outcomes]
        value, low, high = (
            rounded(sum(lengths) / buried_mm, SHARE_PLACES)
            for lengths in zip(*expected, strict=True)
        )
        return self.with_source(
            {"value": value, "low": low, "high": high}, "derived_braid_geometry"
        )

    def trial(self, outcome: Outcome) -> Object:
        sample = outcome.sample
        low_mm, high_mm = outcome.buried.bounds_mm
        off = math.hypot(outcome.off_mm, sample.share * (high_mm - low_mm) / 2) / outcome.buried.mm
        return {
            "pointer": outcome.trial.pointer,
            "buried": self.length(outcome.buried),
            "lost": {
                "mm": rounded(outcome.lost_mm, 1),
                "low_mm": rounded(outcome.lost_mm - outcome.off_mm, 1),
                "high_mm": rounded(outcome.lost_mm + outcome.off_mm, 1),
            },
            "share": rounded(sample.share, SHARE_PLACES),
            "low": rounded(sample.share - off, SHARE_PLACES),
            "high": rounded(sample.share + off, SHARE_PLACES),
        }


def _basis(estimate: Estimate) -> Object:
    return {"trials": estimate.trials, "basis": estimate.basis}
