"""The bench order of a whole job: measure, cut, mark, splice, set, finish, tag."""

from collections.abc import Container, Sequence
from typing import Final, Literal

from tuckmark.compare import above
from tuckmark.identify import COUNTED, Rope
from tuckmark.plan import GIVEN, Force, Length, Lengths, Phase, Step, Strength, Tool
from tuckmark.reference import Reference
from tuckmark.writing import LengthText, force_text

#: what the job is made from: a piece to be cut to its length, a piece that there is, two ropes
Piece = Literal["to_cut", "as_it_is", "two_ropes"]
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
    holds: Strength,
    spliced: Sequence[Step],
    reference: Reference,
    write: LengthText,
    *,
    piece: Piece,
    read: Container[str],
) -> tuple[Step, ...]:
    """Every step of the job, by phase, and within a phase end a before end b.

    Args:
        read: facts of the rope that the work depends on; no other is measured for it.
    """
    steps = [*_preparing(rope, whole, write, piece=piece, read=read), *spliced]
    steps += _setting(rope, whole, holds, reference, write)
    steps += _closing()
    return tuple(sorted(steps, key=lambda step: _ORDER.index(step.phase)))


def all_tools(
    spliced: Sequence[Tool], holds: Strength, reference: Reference, write: LengthText
) -> tuple[Tool, ...]:
    """What must be at hand for the whole job."""
    setting = f"for the setting load, {_setting_share(reference)} of the strength"
    if force := _setting_force(holds, reference, write):
        setting += f": {force}"
    common = (
        Tool("measuring tape", "of steel, long enough for the whole rope"),
        Tool("marker", "that does not rub off; try it on an offcut"),
        Tool("tape", "for the bitter ends and beside every cut"),
        Tool("whipping twine", "for the cut ends"),
        Tool("knife", "sharp, made for the fibre"),
        Tool("cut-resistant gloves", "one pair"),
        Tool("eye protection", "one pair"),
        Tool("load gauge and winch", setting),
    )
    return (*common, *spliced)


def _preparing(
    rope: Rope, whole: Lengths, write: LengthText, *, piece: Piece, read: Container[str]
) -> list[Step]:
    tension = _tension(rope, write)
    straight = f"Lay the rope straight under {tension}. "
    steps = []
    if rope.pitch is not None and "pitch" in read:
        ten_mm = _COUNTED * rope.pick_mm(rope.pitch.mm)
        steps.append(
            _measuring(
                straight + "Count ten picks along one line and measure them",
                f"{_has(rope.pitch)} {write.write(ten_mm)}",
                f"{COUNTED[rope.picks_per_pitch]} tenths of what you measured",
                "rope.pitch",
            )
        )
    if rope.lay_length is not None:
        ten_mm = _COUNTED * rope.lay_length.mm
        steps.append(
            _measuring(
                straight + "Count ten turns of one strand and measure them",
                f"{_has(rope.lay_length)} {write.write(ten_mm)}",
                "one tenth of what you measured",
                "rope.lay_length",
            )
        )
    if whole.cut is not None and piece != "two_ropes":
        under = "the same tension" if steps else tension
        steps.append(_cutting(write.write(whole.cut.mm), under, piece))
    return steps


def _cutting(length: str, tension: str, piece: Piece) -> Step:
    whip = (
        "Tape or whip it tightly on both sides of the cut, look once more at the figure, and cut "
        "between."
    )
    text = f"Lay the rope straight under {tension}, and measure {length} from a clean end. {whip}"
    if piece == "as_it_is":
        text = (
            f"Use the whole piece. Lay it straight under {tension}, and measure it. If it is "
            f"longer than {length}, cut it to that: {whip[:1].lower()}{whip[1:]} If it is "
            "shorter, put what you measured into the spec and plan again."
        )
    return Step(
        "prepare",
        "cut_rope",
        text,
        tools=("measuring tape", "tape", "knife"),
        caution=_KNIFE,
    )


#: share from which on a measured turn is to be put into the spec, as the bench is told
NOTED_FROM: Final = 1 / 20


def _measuring(what: str, has: str, share: str, fact: str) -> Step:
    return Step(
        "prepare",
        "measure",
        f"{what}: the plan {has}. If they differ by "
        f"more than one part in twenty, put {share} into the spec as {fact} and plan again before "
        "you mark anything.",
        tools=("measuring tape",),
    )


def _has(turn: Length) -> str:
    return "has" if turn.source == GIVEN else "assumes"


def _setting(
    rope: Rope, whole: Lengths, holds: Strength, reference: Reference, write: LengthText
) -> list[Step]:
    where = f" {_along(whole.between)}," if whole.finished else ""
    expected = ""
    if whole.finished and whole.after_setting and whole.as_spliced:
        expected = (
            f" The plan expects {write.write(whole.as_spliced.mm)} as spliced and "
            f"{write.write(whole.after_setting.mm)} after setting."
        )
    return [
        Step(
            "set",
            "check",
            "Before any load: look at every splice. Throats closed, no loose strand, no lump, "
            f"every tail where its marks put it. Measure the finished length{where} under "
            f"{_tension(rope, write)}, and write it down.",
            tools=("measuring tape",),
        ),
        Step(
            "set",
            "load",
            _loading(holds, reference, write),
            tools=("load gauge and winch",),
            caution=_RECOIL,
        ),
        Step(
            "set",
            "smooth",
            "Smooth every splice once more from the throat outward, measure the finished length "
            f"again in the same way, and write it down.{expected}",
            tools=("measuring tape",),
        ),
    ]


def _loading(holds: Strength, reference: Reference, write: LengthText) -> str:
    share, force = _setting_share(reference), _setting_force(holds, reference, write)
    rest = "Hold it there until it has stopped lengthening, and slacken it slowly."
    if holds.assembly is None or force is None:
        why = holds.reasons["assembly"]
        return (
            f"Load the assembly slowly for the first time to {share} of its breaking strength. "
            f"No force is named here, because {why}: find it out before you load. {rest}"
        )
    leg = " in each leg" if holds.of.startswith("one leg") else ""
    text = (
        f"Load the assembly slowly for the first time with {force}{leg}: {share} of the "
        f"{force_text(holds.assembly.kn, write.metric)} that {holds.of} is reckoned to hold."
    )
    limit, most_kn = holds.working_limit, _setting_kn(holds.assembly, reference)[1]
    if limit is not None and above(most_kn, limit.kn):
        text += (
            f" This goes above the working limit of {force_text(limit.kn, write.metric)}: on "
            "purpose, and this once only."
        )
    return f"{text} {rest}"


def _setting_force(holds: Strength, reference: Reference, write: LengthText) -> str | None:
    """The setting load in figures; None where the assembly's strength is not known."""
    if holds.assembly is None:
        return None
    return " to ".join(
        force_text(kn, write.metric) for kn in _setting_kn(holds.assembly, reference)
    )


def _setting_kn(strength: Force, reference: Reference) -> tuple[float, float]:
    low, high = reference.rule("setting.load_share").bounds
    return low * strength.kn, high * strength.kn


def _tension(rope: Rope, write: LengthText) -> str:
    return f"hand tension, about {force_text(rope.hand_tension.kn, write.metric)}"


def _along(between: str) -> str:
    """Where the finished length is measured, in words."""
    line = between.replace("_", " ")
    return f"along the {line}" if between.startswith("centre_line") else f"between the {line}"


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
