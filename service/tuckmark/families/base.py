"""What a splice family is, what it is asked and what it answers.

A family turns one end of a spec into marks, steps and the shares of rope that
``lengths.py`` adds up. It reads no file, no clock and no global: everything it
knows comes in with the request.
"""

from collections.abc import Callable
from typing import Literal

from msgspec import Struct, field

from tuckmark import spec
from tuckmark.faults import Fault, Refused
from tuckmark.identify import Rope
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.notices import Notices
from tuckmark.plan import Figures, Length, Mark, Step, Tool
from tuckmark.reference import Figure, Reference
from tuckmark.writing import LengthText


class EndRequest(Struct, frozen=True):
    """One end to plan, with all a family may look at.

    Attributes:
        name: ``a`` or ``b``.
        pointer: where in the document this end's spec stands.
        far_end: whether the rope's other end can be passed through this one when it is made.
        write: writes lengths in the display units, for steps and messages.
    """

    name: spec.EndName
    pointer: str
    end: spec.End
    rope: Rope
    use: spec.Use
    reference: Reference
    notices: Notices
    write: LengthText
    far_end: Literal["free", "closed"] = "free"

    @property
    def eye(self) -> spec.Eye:
        """The eye asked for.

        Raises:
            ValueError: there is none, which the schema lets pass only where a splice has no eye.
        """
        if self.end.eye is None:
            raise ValueError(f"{self.end.splice} without an eye")
        return self.end.eye

    def mark_id(self, name: str) -> str:
        """The id of this end's mark."""
        return f"{self.name}.{name}"

    def refuse(self, error: InfeasibleError, at: str, allowed: str, hint: str) -> Refused:
        """A geometry that cannot exist, told to the user of this end."""
        return Refused(
            (
                Fault(
                    f"{self.pointer}{at}", error.code, _sentence(error), allowed=allowed, hint=hint
                ),
            )
        )


def _sentence(error: InfeasibleError) -> str:
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}."


class EyeUse(Struct, frozen=True):
    """An eye, as the total length needs it.

    Attributes:
        perimeter_mm: rope between the throat marks.
        inside_length: throat to bearing point, with what an uncertain rope does to it.
        bearing_known: whether the point where the load bears is known.
        pin_diameter_mm: of the pin the eye goes on, where one is named.
    """

    perimeter_mm: float
    inside_length: Length
    bearing_known: bool
    pin_diameter_mm: float | None


class RopeUse(Struct, frozen=True):
    """The rope one end uses, as the total length needs it.

    Attributes:
        tail_mm: bitter end to tail throat.
        eye: between the throats; None where there is none.
        interlock_mm: taken up between the throats by an interlock.
        shortening: body lost over the buried tail, with its range.
        end_allowance_mm: left past the finished length at a plain end.
        run_mm: from the throat to where the tool comes out: body that must be there.
        rest_mm: from the throat to where the splice ends when made; None: as far as the run.
        reckoned: False where the splice is guidance only, so that no length may rest on it.
    """

    tail_mm: float = 0.0
    eye: EyeUse | None = None
    interlock_mm: float = 0.0
    shortening: Length = field(default_factory=lambda: Length(0.0))
    end_allowance_mm: float = 0.0
    run_mm: float = 0.0
    rest_mm: float | None = None
    reckoned: bool = True

    @property
    def eye_mm(self) -> float:
        """Rope between the throat marks of the eye."""
        return self.eye.perimeter_mm if self.eye else 0.0


class EndResult(Struct, frozen=True):
    """What a family answers for one end.

    Attributes:
        figures: what the plan prints under ``ends``, after the splice's name.
        splice_efficiency: share of the unspliced strength that the splice keeps.
        bend_efficiency: of the eye on its pin; None where none is known.
        carries_load: False for an end that is only finished, plain or turned back.
    """

    rope_use: RopeUse
    figures: Figures
    splice_efficiency: Figure | None = None
    bend_efficiency: float | None = None
    marks: tuple[Mark, ...] = ()
    steps: tuple[Step, ...] = ()
    tools: tuple[Tool, ...] = ()
    carries_load: bool = True


class JoinRequest(Struct, frozen=True):
    """A join or loop to plan, with all a family may look at."""

    join: spec.Join
    rope: Rope
    use: spec.Use
    reference: Reference
    notices: Notices
    write: LengthText
    pointer: str = "/join"

    def side(self, name: spec.EndName) -> EndRequest:
        """One of the two ends that meet, asked for as an end of its own rope."""
        join = self.join
        return EndRequest(
            name=name,
            pointer=self.pointer,
            end=spec.End(
                splice=join.splice,
                bury_mm=join.bury_mm,
                bury_fids=join.bury_fids,
                bury_diameters=join.bury_diameters,
                stitching=join.stitching,
                taper=join.taper,
                tucks=join.tucks,
                thinning=join.thinning,
            ),
            rope=self.rope,
            use=self.use,
            reference=self.reference,
            notices=self.notices,
            write=self.write,
        )


class JoinResult(Struct, frozen=True):
    """What a family answers for a join or loop.

    Attributes:
        uses: the rope used at each of the two ends that are joined, a and b.
        least_body_mm: the shortest length that can come out.
        strength_of: what the strength figures are of, such as one leg of the loop.
        closed: True for a loop, whose two ends are ends of one rope.
    """

    uses: tuple[RopeUse, RopeUse]
    figures: Figures
    least_body_mm: float
    strength_of: str
    closed: bool
    splice_efficiency: Figure | None = None
    marks: tuple[Mark, ...] = ()
    steps: tuple[Step, ...] = ()
    tools: tuple[Tool, ...] = ()


class BuryLimits(Struct, frozen=True):
    """What the rules think of a buried tail, each length with the source of its rule.

    Attributes:
        floor: below it no rule is kept, and a plan stops.
        least: what a finished splice must have; below it a plan warns or stops.
    """

    floor: Length
    least: Length


class Family(Struct, frozen=True):
    """One splice family: one module, one schema fragment, one line in the registry.

    Attributes:
        name: its identifier in a spec.
        title: what it is, in a few words.
        ropes: constructions it can be made in.
        marks: names of the marks it sets.
        sources: keys of the sources its rules come from.
        confidence: of its weakest rule.
        reads: facts of the rope that its plan depends on, beside size, fibre and construction.
        minimal_spec: a smallest document that plans.
        plan_end: for a splice at an end; None for a join.
        plan_join: for a join or loop; None for a splice at an end.
            Both raise ``Refused`` where no plan exists.
        bury_limits: the rules for its buried tail, by the figures of its plan; None where no rule
            of its own is published.
    """

    name: str
    title: str
    ropes: tuple[str, ...]
    marks: tuple[str, ...]
    sources: tuple[str, ...]
    confidence: str
    minimal_spec: dict[str, object]
    reads: tuple[str, ...] = ()
    plan_end: Callable[[EndRequest], EndResult] | None = None
    plan_join: Callable[[JoinRequest], JoinResult] | None = None
    bury_limits: Callable[[EndRequest, Figures], BuryLimits] | None = None

    def listing(self) -> dict[str, object]:
        """The family as ``/v1/families`` shows it."""
        return {
            "family": self.name,
            "title": self.title,
            "place": "end" if self.plan_end else "join",
            "ropes": list(self.ropes),
            "marks": list(self.marks),
            "sources": list(self.sources),
            "confidence": self.confidence,
            "reads": list(self.reads),
            "minimal_spec": self.minimal_spec,
        }
