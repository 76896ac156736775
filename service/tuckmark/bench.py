"""The bench order of a whole job: measure, cut, mark, splice, set, finish, tag."""

from collections.abc import Sequence
from typing import Final

from tuckmark.identify import COUNTED, Rope
from tuckmark.plan import Length, Lengths, Phase, Step, Tool
from tuckmark.reference import Reference
from tuckmark.units import LengthText, force_text

_ORDER: Final[tuple[Phase, ...]] = ("prepare", "mark", "splice", "set", "finish")
_COUNTED: Final = 10
_KNIFE: Final = "Cut away from your body and your other hand, with the cut-resistant glove on."
_RECOIL: Final = (
    "A rope under load stores energy. Load it with nobody in line with it or in the bight, and "
    "keep everyone clear until it is slack."
)


def in_order(
    rope: Rope,
    whole: Lengths,
    spliced: Sequence[Step],
    reference: Reference,
    write: LengthText,
    *,
    one_rope: bool,
) -> tuple[Step, ...]:
    """Every step of the job, by phase, and within a phase end a before end b.

    Args:
        one_rope: whether it is made of one rope, to be cut to its length; two are as they are.
    """
    steps = [*_preparing(rope, whole, write, one_rope=one_rope), *spliced]
    steps += _setting(reference, whole, write)
    steps += _closing()
    return tuple(sorted(steps, key=lambda step: _ORDER.index(step.phase)))


def all_tools(spliced: Sequence[Tool], reference: Reference) -> tuple[Tool, ...]:
    """What must be at hand for the whole job."""
    common = (
        Tool("measuring tape", "of steel, long enough for the whole rope"),
        Tool("marker", "that does not rub off; try it on an offcut"),
        Tool("tape", "for the bitter ends and beside every cut"),
        Tool("whipping twine", "for the cut ends"),
        Tool("knife", "sharp, made for the fibre"),
        Tool("cut-resistant gloves", "one pair"),
        Tool("eye protection", "one pair"),
        Tool("load gauge and winch", "for the setting load, "
             f"{_setting_share(reference)} of the strength"),
    )  # fmt: skip
    return (*common, *spliced)


def _preparing(rope: Rope, whole: Lengths, write: LengthText, *, one_rope: bool) -> list[Step]:
    tension = force_text(rope.hand_tension.kn, write.metric)
    steps = []
    if rope.pitch is not None:
        ten_mm = _COUNTED * rope.pick_mm(rope.pitch.mm)
        steps.append(
            _measuring(
                f"about {tension}. Count ten picks along one line and measure them",
                f"{_has(rope.pitch)} {write.write(ten_mm)}",
                f"{COUNTED[rope.picks_per_pitch]} tenths of what you measured",
                "rope.pitch",
            )
        )
    if rope.lay_length is not None:
        ten_mm = _COUNTED * rope.lay_length.mm
        steps.append(
            _measuring(
                f"about {tension}. Count ten turns of one strand and measure them",
                f"{_has(rope.lay_length)} {write.write(ten_mm)}",
                "one tenth of what you measured",
                "rope.lay_length",
            )
        )
    if whole.cut is not None and one_rope:
        steps.append(
            Step(
                "prepare",
                "cut_rope",
                f"Under the same tension measure {write.write(whole.cut.mm)} of rope. Tape or "
                "whip it tightly on both sides of the cut, look once more at the figure, and cut "
                "between.",
                tools=("measuring tape", "tape", "knife"),
                caution=_KNIFE,
            )
        )
    return steps


def _measuring(what: str, has: str, share: str, fact: str) -> Step:
    return Step(
        "prepare",
        "measure",
        f"Lay the rope straight under hand tension, {what}: the plan {has}. If they differ by "
        f"more than one part in twenty, put {share} into the spec as {fact} and plan again before "
        "you mark anything.",
        tools=("measuring tape",),
    )


def _has(turn: Length) -> str:
    return "has" if turn.low_mm is None else "assumes"


def _setting(reference: Reference, whole: Lengths, write: LengthText) -> list[Step]:
    expected = ""
    if whole.finished and whole.after_setting and whole.as_spliced:
        expected = (
            f" The plan expects {write.write(whole.as_spliced.mm)} as spliced and "
            f"{write.write(whole.after_setting.mm)} after setting, measured between "
            f"{whole.between.replace('_', ' ')}."
        )
    return [
        Step(
            "set",
            "check",
            "Before any load: look at every splice. Throats closed, no loose strand, no lump, "
            "the tip where it belongs. Measure the finished length and write it down.",
            tools=("measuring tape",),
        ),
        Step(
            "set",
            "load",
            f"Load the assembly slowly for the first time to {_setting_share(reference)} of its "
            "strength, hold it there, and slacken it.",
            tools=("load gauge and winch",),
            caution=_RECOIL,
        ),
        Step(
            "set",
            "smooth",
            "Smooth every splice once more from the throat outward, measure the finished length "
            f"again, and write it down.{expected}",
            tools=("measuring tape",),
        ),
    ]


def _closing() -> list[Step]:
    return [
        Step(
            "finish",
            "tag",
            "Tag the assembly with its order, rope, finished length and state, date and maker. "
            "Have a competent person prove the first splice of a kind before it is used.",
        )
    ]


def _setting_share(reference: Reference) -> str:
    share = reference.rule("setting.load_share")
    low, high = share.bounds
    return f"{low * 100:g} to {high * 100:g} %"
