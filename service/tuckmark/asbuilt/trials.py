"""Trial splices: whether they can be calibrated by, and what each of them lost over its tails."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from tuckmark import planner, spec
from tuckmark.asbuilt.measured import Trial
from tuckmark.asbuilt.spread import Sample
from tuckmark.families.base import Family
from tuckmark.faults import Collected, Fault, Refused
from tuckmark.figure_tree import length_in
from tuckmark.pipeline import Pipeline
from tuckmark.plan import Figures, Length, Lengths, Plan
from tuckmark.reference import Reference
from tuckmark.same_rope import KIND, MEASURED, facts_of

_Kept = TypeVar("_Kept", spec.End, spec.Join)

#: what trials must agree in: the pitch as well, which tells how much of a tail a lock takes
_ONE_ROPE: Final = {**KIND, "pitch": MEASURED["pitch"]}
#: facts that stand in a spec wherever it says them; the others it may say by leaving them out
_WRITTEN: Final = ("construction", "fibre", "size", "pitch")


class Counted(Struct, frozen=True):
    """The pitch that picks were counted for, and where in the request they stand."""

    pitch: spec.Measured
    pointer: str


class Outcome(Struct, frozen=True):
    """What one trial came to.

    Attributes:
        buried: tail inside the body, of both ends together; less sure where a lock took some of it.
        lost_mm: how much shorter it came out than the rope left for its body.
        off_mm: half of the 95 % range of that, by the measurement alone.
        reckoned: what the geometry of the braid expects to be lost.
        pitch_assumed: whether a lock took a part of the tail by a pitch that nobody measured.
    """

    trial: Trial
    buried: Length
    lost_mm: float
    off_mm: float
    reckoned: Length
    pitch_assumed: bool
    stopped: bool

    def rough(self, most: float) -> bool:
        """Whether the measurement tells nothing, a tail taking at most a share of itself."""
        return self.off_mm > most * self.buried.mm

    @property
    def sample(self) -> Sample:
        """Tail and loss, to estimate a share from."""
        return Sample(self.buried.mm, self.lost_mm, self.off_mm)


def refuse_unfit(trials: Sequence[Trial], pipeline: Pipeline) -> None:
    """Refuse trials that say nothing of a buried tail, or of one rope.

    Raises:
        Refused: ``measured_after_load``, ``state_needed``, ``splice_not_calibratable``,
            ``other_rope``.
    """
    known: dict[str, object] = {}
    faults = [
        fault
        for trial in trials
        for fault in (
            *_state(trial),
            *_splices(trial, pipeline.families),
            *_other_rope(trial, known, pipeline.reference),
        )
    ]
    Collected(*faults).raise_any()


def outcome(trial: Trial, counted: Counted | None, pipeline: Pipeline) -> Outcome:
    """What a trial lost, the pitch of its rope being what was counted.

    Args:
        counted: the pitch as the picks of all trials give it; None where none were counted.

    Raises:
        Refused: no plan exists for the trial, told where it stands in the request.
    """
    plan = _planned(trial, _as_made(trial), pipeline)
    if counted is not None:
        asked = _with_pitch(_as_made(trial), plan, counted.pitch)
        plan = _planned(trial, asked, pipeline, pitch_at=counted.pointer)
    found, buried = plan.lengths, _together(_buried(plan), "buried")
    pitch_known = counted is not None or trial.asked.rope.pitch is not None
    lost_mm = _without_shortening_mm(found) - trial.throat_to_throat.mm
    return Outcome(
        trial=trial,
        buried=buried,
        lost_mm=lost_mm,
        off_mm=(off_mm(trial.cut) ** 2 + off_mm(trial.throat_to_throat) ** 2) ** 0.5,
        reckoned=_together(_buried(plan), "shortening"),
        pitch_assumed=buried.low_mm is not None and not pitch_known,
        stopped=not plan.usable,
    )


def off_mm(measured: spec.Measured) -> float:
    """How far a measurement may be off: as it says, else half of the step it is written to."""
    return measured.resolution_mm if measured.tolerance_mm is None else measured.tolerance_mm


def calibratable(families: Mapping[str, Family]) -> tuple[str, ...]:
    """Splices whose length depends on what is lost over a buried tail."""
    return tuple(name for name, family in families.items() if "bury_shortening" in family.reads)


def _state(trial: Trial) -> Iterator[Fault]:
    wanted = trial.asked.length.state if trial.asked.length else "as_spliced"
    if trial.state == "after_setting":
        yield Fault(
            f"{trial.pointer}/state",
            "measured_after_load",
            "Once loaded the body has bedded in, and what the splice alone took can no longer be "
            "told.",
            allowed=("as_spliced",),
            given="after_setting",
            hint="Measure throat to throat before any load; make a new trial splice for it.",
        )
    elif trial.state is None and wanted == "after_setting":
        yield Fault(
            trial.pointer,
            "state_needed",
            "This spec asks for a length after setting, so it must be said that the trial was "
            "measured before any load.",
            allowed=("as_spliced",),
            hint="Add state as_spliced if it was.",
        )


def _splices(trial: Trial, families: Mapping[str, Family]) -> Iterator[Fault]:
    can = calibratable(families)
    made = dict(_splices_of(trial.asked))
    plain = [at for at, splice in made.items() if splice == "plain"]
    for at, splice in made.items():
        if splice in can or (splice == "plain" and len(plain) < len(made)):
            continue
        yield Fault(
            f"{trial.pointer}/spec{at}/splice",
            "splice_not_calibratable",
            f"What is lost over a buried tail cannot be told from a trial with {splice}.",
            allowed=can,
            given=splice,
            hint="Make the trial with one of these splices, the other end plain or one of them "
            "too.",
        )


def _splices_of(asked: spec.Spec) -> Iterator[tuple[str, str]]:
    if asked.join is not None:
        yield "/join", asked.join.splice
    elif asked.ends is not None:
        yield asked.ends.pointer("a"), asked.ends.a.splice
        if asked.ends.b_given:
            yield asked.ends.pointer("b"), asked.ends.b.splice


def _other_rope(trial: Trial, known: dict[str, object], reference: Reference) -> Iterator[Fault]:
    """Facts that differ from those of earlier trials; the others are added to what is known."""
    for name, value in facts_of(trial.asked.rope, reference, _ONE_ROPE).items():
        if value != known.setdefault(name, value):
            rope = f"{trial.pointer}/spec/rope"
            yield Fault(
                f"{rope}/{name}" if name in _WRITTEN else rope,
                "other_rope",
                f"The {name.replace('_', ' ')} differs from that of an earlier trial: trials of "
                "one rope belong together.",
                hint="Calibrate each rope by its own trials.",
            )


def _as_made(trial: Trial) -> spec.Spec:
    """The trial's spec with the rope that was cut in place of the length that was wanted."""
    asked, join = trial.asked, trial.asked.join
    if join is not None:
        ropes = tuple(replace(rope, length_mm=None) for rope in join.ropes)
        join = replace(join, ropes=ropes, circumference=None, measured=None)
    return replace(
        asked,
        rope=replace(asked.rope, bury_shortening=None),
        join=join,
        job=replace(asked.job, quantity=1),
        length=spec.TargetLength(available_mm=trial.cut.mm, between="throats"),
    )


def _with_pitch(asked: spec.Spec, plan: Plan, pitch: spec.Measured) -> spec.Spec:
    """The same marks on a rope of the pitch that was counted."""

    def marked(end: _Kept, figures: Figures) -> _Kept:
        if "bury" not in figures:
            return end
        bury_mm = length_in(figures, "bury").mm
        return replace(end, bury_mm=bury_mm, bury_fids=None, bury_diameters=None)

    rope = replace(asked.rope, pitch=pitch)
    if asked.join is not None and plan.join is not None:
        return replace(asked, rope=rope, join=marked(asked.join, plan.join))
    if asked.ends is None or plan.ends is None:
        raise ValueError("the schema lets no spec pass without ends or join")
    ends = replace(
        asked.ends,
        a=marked(asked.ends.a, plan.ends["a"]),
        b=marked(asked.ends.b, plan.ends["b"]),
    )
    return replace(asked, rope=rope, ends=ends)


def _planned(
    trial: Trial, asked: spec.Spec, pipeline: Pipeline, *, pitch_at: str | None = None
) -> Plan:
    """The plan of a trial; a fault of it is told where its cause stands in the request."""
    moved = {"/length/available": f"{trial.pointer}/cut"}
    if pitch_at is not None:
        moved["/rope/pitch"] = pitch_at
    try:
        return planner.plan(asked, (), "", pipeline.reference, pipeline.families)
    except Refused as refused:
        faults = (
            replace(fault, pointer=moved.get(fault.pointer, f"{trial.pointer}/spec{fault.pointer}"))
            for fault in refused.faults
        )
        raise Refused(tuple(faults)) from refused


def _buried(plan: Plan) -> list[Figures]:
    """The figures of every tail that is buried: both of a join lie alike."""
    if plan.join is not None:
        return [plan.join, plan.join]
    return [figures for figures in (plan.ends or {}).values() if "buried" in figures]


def _together(tails: Sequence[Figures], figure: str) -> Length:
    """A figure of all tails: what one is off, the others are off alike."""
    lengths = [length_in(figures, figure) for figures in tails]
    whole_mm = sum(length.mm for length in lengths)
    low_mm, high_mm = (sum(length.bounds_mm[side] for length in lengths) for side in (0, 1))
    return Length(whole_mm, low_mm, high_mm) if low_mm < high_mm else Length(whole_mm)


def _without_shortening_mm(found: Lengths) -> float:
    """What would be throat to throat if the tails took nothing."""
    if found.finished is None or found.allowance_mm is None:
        raise ValueError("a plan from the rope available has every length")
    return found.finished.mm + found.allowance_mm.shortening
