"""The assembly tag: what it says, that it can be read and scanned, and when it is refused."""

import re
import struct
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
import zxingcpp
from pictures import (
    MM_PER_INCH,
    SPLICES,
    UNITS,
    Drawn,
    Json,
    chunks,
    drawn,
    grey,
    overlap,
    plan,
    raster,
    shortest_and_longest,
    within,
)

from tuckmark.pipeline import default_pipeline
from tuckmark.published import examples
from tuckmark.render import qr, tag, views
from tuckmark.render.view import CannotShowError, Format, Options, Showing, printed_address

PUBLIC_URL = "https://plans.lowwater.example"
THERMAL_DPI = 203
#: letters as wide as any, in as many as the schema takes
WIDEST_JOB = {"order": "W" * 80, "item": "W" * 80, "description": "W" * 200}


def showing(made: Json, longer: int = 0, **options: Any) -> Showing:
    address = printed_address(made, PUBLIC_URL)
    return Showing(made, Options(**options), address and address + "x" * longer)


def words(picture: Drawn) -> str:
    return " ".join(text.text for text in picture.texts)


def of(one: Showing) -> Drawn:
    return drawn(tag.picture(one).svg())


def test_it_says_what_a_splicer_and_an_inspector_look_for() -> None:
    """Figures from the golden example of the trade handbook; 480 kN x 0.9 / 10 = 43.2 kN."""
    said = words(of(showing(plan("towing-pendant"))))
    for expected in (
        "LW-2207 / 2",
        "stern pendant, workboat Dunlin",
        "24 mm HMPE, 12-strand single braid",
        "18.000 m",
        "finished, as spliced, between bearing points",
        "End a: locked bury eye, end b: straight bury eye",
        "43.2 kN",
        "432 kN for the assembly \u00f7 design factor 10; breaking strength 480 kN, unspliced",
        "NOTE (1 of 2):",
        "Measured",
        "State",
        "Date",
        "Made by",
    ):
        assert expected in said


def test_the_state_of_the_length_is_said() -> None:
    assert "11.250 m finished, after setting, between pin centres" in words(
        of(showing(plan("stay-after-setting")))
    )


def test_without_figures_it_says_why() -> None:
    said = words(of(showing(plan("messenger-eye-marks-only"))))
    assert "No working limit: no breaking strength is given for the rope." in said
    assert "Finished length not planned: neither a finished length nor" in said


def test_the_worst_warning_comes_first() -> None:
    said = words(of(showing(plan("anchor-line-plait-guidance"))))
    assert "CHECK (1 of 2): Guidance only" in said
    assert "NOTE" not in said


def test_a_plan_without_warnings_says_so() -> None:
    assert "No warnings." in words(of(showing({**plan("towing-pendant"), "warnings": []})))


def test_blanks_are_long_enough_to_write_on() -> None:
    """22 mm, for a date in handwriting: our own measure."""
    for width_mm, height_mm in ((100, 50), (62, 80)):
        picture = of(showing(plan("towing-pendant"), width_mm=width_mm, height_mm=height_mm))
        assert len(picture.strokes) == 4
        assert all(box[2] - box[0] >= 22 for box, _ in picture.strokes)


def test_items_of_a_long_order_can_be_told_apart() -> None:
    made = {**plan("towing-pendant")}
    made["job"] = {**made["job"], "order": "LW-2207-" + "pendants-for-the-harbour-" * 3}
    said = words(of(showing(made)))
    assert "\u2026 / 2 " in said
    made["job"] = {**made["job"], "item": "12 of a row of items that are named at length"}
    assert "12 of a row" in words(of(showing(made, width_mm=200)))


def test_a_warning_without_room_is_told_by_its_title() -> None:
    """Half a sentence helps nobody."""
    said = words(of(showing(plan("stay-after-setting"))))
    assert "CHECK (1 of 4): Design factor at the low end of its range" in said
    said = words(of(showing(plan("anchor-line-plait-guidance"))))
    assert "CHECK (1 of 2): Guidance only" in said
    said = words(of(showing(plan("towing-pendant"), height_mm=60)))
    assert plan("towing-pendant")["warnings"][0]["message"] in said


# --- how it looks ---------------------------------------------------------------------------


@pytest.mark.parametrize("longer", [300, 1500])
@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("family", SPLICES)
def test_every_family_fits_the_usual_size_with_the_longest_names(
    family: str, units: str, longer: int
) -> None:
    for diameter in (None, *shortest_and_longest(family)):
        made = {**plan(family, units, diameter)}
        for job in (made["job"], {**made["job"], **WIDEST_JOB}):
            check(of(showing({**made, "job": job}, longer)))


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_example_fits_the_usual_size(name: str) -> None:
    for units in UNITS:
        made = plan(name, units)
        for one in (showing(made), Showing(made)):
            check(of(one))


@pytest.mark.parametrize("size", [(150, 40), (100, 60), (90, 60), (75, 80), (62, 100), (200, 200)])
def test_other_sizes_are_as_clean(size: tuple[int, int]) -> None:
    for name in ("towing-pendant", "core-carried-halyard", "anchor-line-plait-guidance"):
        check(of(showing(plan(name), width_mm=size[0], height_mm=size[1])))


def check(picture: Drawn) -> None:
    code = code_box(picture)
    for n, text in enumerate(picture.texts):
        assert text.size >= 2.5, text
        assert within(picture, text.box), text
        assert text.box[0] >= 2, text
        for other in picture.texts[n + 1 :]:
            assert not overlap(text.box, other.box), (text, other)
        for box, _ in picture.strokes:
            assert not overlap(text.box, box), (text, box)
        if code is not None:
            assert not overlap(text.box, code), text
    assert all(width >= 0.25 for _, width in picture.strokes)


def code_box(picture: Drawn) -> tuple[float, float, float, float] | None:
    """Where the code stands, its quiet zone not counted."""
    return max(picture.polygons, key=lambda box: box[2] - box[0], default=None)


# --- the code -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["towing-pendant", "buoy-strop-thimble-seat", "bell-rope-back-splice"]
)
def test_the_code_is_read_from_a_thermal_print(name: str) -> None:
    one = showing(plan(name))
    pixels = raster(views.show("tag", "pdf", one), THERMAL_DPI)
    (found,) = zxingcpp.read_barcodes(pixels)
    assert found.text == one.address
    assert str(one.address).startswith(PUBLIC_URL + "/v1/plans/1")


def test_the_code_is_read_from_the_png_in_black_and_white() -> None:
    one = showing(plan("towing-pendant"), dpi=THERMAL_DPI)
    file = views.show("tag", "png", one)
    assert struct.unpack_from(">II", chunks(file)[b"IHDR"]) == (799, 400)  # 100 x 50 mm at 203 dpi
    assert round(100 * THERMAL_DPI / MM_PER_INCH) == 799
    dark = grey(file) < 128
    (found,) = zxingcpp.read_barcodes((~dark).astype("uint8") * 255)
    assert found.text == one.address


@pytest.mark.parametrize(("longer", "there"), [(0, True), (400, True), (700, False)])
def test_the_code_is_left_out_where_its_squares_would_be_too_small(
    longer: int, there: bool
) -> None:
    picture = of(showing(plan("towing-pendant"), longer))
    said = words(picture)
    assert (code_box(picture) is not None) is there
    assert ("No QR code: its squares would be under 0.35 mm here." in said) is not there
    digest = plan("towing-pendant")["digest"].removeprefix("sha256:")[:16]
    assert (digest in said) is not there


def test_squares_are_never_under_the_least_that_scans() -> None:
    """Each code's least square, from the picture, is 0.35 mm or more; 7 squares make a finder."""
    for longer in range(0, 700, 50):
        svg = tag.picture(showing(plan("towing-pendant"), longer)).svg()
        picture = drawn(svg)
        code = code_box(picture)
        if code is None:
            continue
        finder = float(re.findall(r"[ \d]h([\d.]+)v", svg)[0])  # the first run of dark squares
        assert finder / 7 >= 0.35 - 1e-3


def test_without_an_address_a_line_says_so() -> None:
    said = words(of(Showing(plan("towing-pendant"))))
    assert qr.why_no_qr(None, packable=True) in said


# --- what is refused ------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(100, 30), (50, 50), (62, 40), (12, 200), (40, 20)])
def test_too_small_a_tag_names_the_least_that_does(size: tuple[int, int]) -> None:
    one = showing(plan("towing-pendant"), width_mm=size[0], height_mm=size[1])
    with pytest.raises(CannotShowError) as caught:
        tag.picture(one)
    refused = caught.value
    assert refused.code == "tag_too_small"
    assert refused.parameter in ("width_mm", "height_mm")
    if refused.allowed is None:
        assert "100 x 50 mm" in refused.detail
        return
    least = int(str(refused.allowed).split()[0])
    fits = replace(one.options, **{refused.parameter: least})
    check(of(replace(one, options=fits)))
    short = replace(one.options, **{refused.parameter: least - 1})
    with pytest.raises(CannotShowError):
        tag.picture(replace(one, options=short))


@pytest.mark.parametrize("longer", [0, 200])
@pytest.mark.parametrize("job", [{}, WIDEST_JOB], ids=["short", "wide"])
@pytest.mark.parametrize(
    ("option", "other"), [("height_mm", 12), ("height_mm", 62), ("width_mm", 20), ("width_mm", 60)]
)
def test_what_a_size_holds_every_larger_one_does(
    option: str, other: int, job: dict[str, str], longer: int
) -> None:
    """So that the least may be looked for by halves."""
    made = plan("dock-line-double-braid")
    made = {**made, "job": {**made["job"], **job}}
    fixed = {"height_mm": other} if option == "width_mm" else {"width_mm": other}
    held = [
        is_held(showing(made, longer, **fixed, **{option: size})) for size in range(20, 201, 12)
    ]
    assert held == sorted(held)


def is_held(one: Showing) -> bool:
    with suppress(CannotShowError):
        return bool(tag.picture(one))
    return False


def test_the_least_is_found_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """181 heights and 189 widths by halves: at most 8 trials of each, and the first."""
    tried = []
    placed = tag._placed

    def counted(*arguments: Any) -> Any:
        tried.append(arguments)
        return placed(*arguments)

    monkeypatch.setattr(tag, "_placed", counted)
    one = showing(plan("towing-pendant"), width_mm=12, height_mm=20)
    with pytest.raises(CannotShowError):
        tag.picture(one)
    assert len(tried) <= 17


def test_a_stopped_plan_has_no_tag() -> None:
    spec = {**examples()["towing-pendant"]}
    spec["ends"] = {**spec["ends"], "b": {**spec["ends"]["b"], "stitching": "none"}}
    with pytest.raises(CannotShowError) as caught:
        views.show("tag", "pdf", Showing(default_pipeline().plan(spec)))
    assert caught.value.code == "plan_stopped"


@pytest.mark.parametrize("form", ["pdf", "svg", "png"])
def test_same_plan_same_bytes(form: Format) -> None:
    one = showing(plan("towing-pendant"))
    assert views.show("tag", form, one) == views.show("tag", form, one)


def test_hostile_words_stay_words() -> None:
    made = {**plan("towing-pendant")}
    made["job"] = {
        **made["job"],
        "order": "</text><script>",
        "description": '#read("/etc/passwd") \u202egnirts \u6c34\u624b',
    }
    svg = tag.picture(showing(made)).svg()
    assert "<script>" not in svg
    assert "&lt;script&gt;" in svg
    assert "\u202e" not in svg
    check(drawn(svg))
    assert views.show("tag", "pdf", showing(made)).startswith(b"%PDF")
