"""Sentences of refusals and warnings: their figures are worked by hand and read as written."""

import copy

import pytest

from tuckmark import published
from tuckmark.notices import Notices
from tuckmark.pipeline import Rejected, default_pipeline
from tuckmark.plan import Angle
from tuckmark.writing import LengthText


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


def test_an_unlikely_linear_density_is_told_beside_the_usual_one() -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["rope"]["linear_density"] = "0.4 kg/m"
    (warning,) = (
        warning
        for warning in default_pipeline().plan(spec)["warnings"]
        if warning["code"] == "linear_density_unlikely"
    )
    # 0.496 x 24^2 = 285.7 g/m, and 0.4 / 0.2857 = 1.40
    assert warning["message"] == (
        "The linear density given, 0.4 kg/m, differs by 40 % from 0.286 kg/m, usual for this "
        "fibre and diameter."
    )


def test_a_rope_too_short_is_told_with_what_there_is() -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["length"] = {"finished": "5 m"}
    with pytest.raises(Rejected) as refused:
        default_pipeline().plan(spec)
    (fault,) = refused.value.faults
    # runs 2164.33 and 2592, 240 clear, eyes 450 and 600: 6046.33
    assert (fault.allowed, fault.given) == ("at least 6047 mm", "5000 mm")


def test_customary_and_assumed_figures_are_all_named_in_one_line() -> None:
    plan = default_pipeline().plan(copy.deepcopy(published.examples()["towing-pendant"]))
    (line,) = (warning for warning in plan["warnings"] if warning["code"] == "assumptions")
    # of confidence C: three fids, the taper, the lock, friction, the table's bedding-in; the
    # fid, the pitch and the straight bury of end b are given or published
    named = {line["source"], *line["more_sources"]}
    assert {plan["sources"][key]["confidence"] for key in named} <= {"B", "C"}
    for words in (
        "bury 1530 mm by common practice",
        "taper of 3, 2, 3, 2, 3 picks by common practice",
        "lock beyond its picks 1.5 d (1 to 2)",
        "friction on itself 0.07 (0.05 to 0.09)",
        "bedding-in 2 % (1 to 3 %)",
    ):
        assert words in line["message"]
    assert "bury 1728 mm" not in line["message"]


@pytest.mark.parametrize(
    ("figure", "written"),
    [
        (1.23456, "1.235"),  # ratios to a thousandth
        (Angle(29.3456), "29.3°"),  # degrees to a tenth
        (Angle(29.35), "29.4°"),
    ],
)
def test_ratios_and_angles_are_written_as_the_plan_rounds_them(
    figure: float | Angle, written: str
) -> None:
    assert Notices(LengthText("metric")).text(figure) == written


def test_a_bury_just_short_of_its_rule_never_reads_as_long_as_the_rule() -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["ends"]["b"]["bury"] = "1727.9 mm"  # 72 x 24 = 1728 mm
    (warning,) = (
        warning
        for warning in default_pipeline().plan(spec)["warnings"]
        if warning["code"] == "bury_between_rules"
    )
    assert "is 1727.9 mm (72 d)" in warning["message"]
    assert "short of 1728 mm (72 d)" in warning["message"]
