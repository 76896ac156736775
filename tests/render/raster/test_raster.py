"""Pictures in dots: the bands meet without a seam, and all is at its place."""

import numpy as np
import pytest
from pictures import grey, plan

from tuckmark.render import drawing, printing, raster, strip
from tuckmark.render.svg import Picture
from tuckmark.render.view import Options, Showing


def pictures() -> dict[str, Picture]:
    one = Showing(plan("bell-rope-back-splice"), Options(width_mm=25, part="strand", end="b"))
    return {"drawing": drawing.draw(plan("towing-pendant")), "strip": strip.pictures(one)[0]}


@pytest.mark.parametrize("name", ["drawing", "strip"])
@pytest.mark.parametrize("band_pixels", [1, 9_973, 100_000])
def test_bands_meet_without_a_seam(
    name: str, band_pixels: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where a band is one row: then every row has its neighbours from other bands.

    The library reckons places in single precision: edges of letters may come out a shade off, one
    dot in some thousands. A band one row off its place changes one dot in a hundred.
    """
    picture = pictures()[name]
    monkeypatch.setattr(raster, "_BAND_PIXELS", 10**9)
    whole = grey(printing.dots(picture, 72, (72,))).astype(int)
    monkeypatch.setattr(raster, "_BAND_PIXELS", band_pixels)
    banded = grey(printing.dots(picture, 72, (72,))).astype(int)
    assert banded.shape == whole.shape
    assert np.mean(np.abs(banded - whole) > 32) < 0.0005
    assert np.abs(banded - whole).max() < 128, "in black and white, they are the same"
    assert np.mean(np.abs(np.roll(whole, 1, axis=0) - whole) > 32) > 0.005
    assert 0.001 < (whole < 128).mean() < 0.5, "something is drawn, on white"


def test_a_box_is_where_its_numbers_say() -> None:
    """At 254 dpi, ten dots to the mm: columns 102 to 203, rows 51 to 75, and the 76th in part."""
    picture = Picture(30.0, 10.0, "t", "d")
    picture.polygon([(10.2, 5.1), (20.4, 5.1), (20.4, 7.65), (10.2, 7.65)])
    dots = grey(printing.dots(picture, 254, (254,))).copy()
    assert dots.shape == (100, 300)
    assert (dots[51:76, 102:204] == 0).all()
    assert (dots[76, 102:204] < 160).all()
    dots[51:77, 102:204] = 255
    assert (dots == 255).all()


def test_nothing_is_left_out_far_from_the_left_edge() -> None:
    """3.5 m at 300 dpi are 41,339 dots: more than the library's own reach of 32,767.

    The same is drawn at both ends, and must come out alike. At x = 10 and 3,490 mm the dots are
    118.11 and 41,220.47: a third of a dot apart, so edges may come out in other shades.
    """
    picture = Picture(3500.0, 20.0, "t", "d")
    for left in (10.0, 3480.0):
        picture.circle((left, 5.0), 2.0)
        picture.polygon([(left - 5, 10.0), (left, 12.0), (left - 5, 14.0)])
        picture.text((left + 3, 12.0), "1234", 7.0, bold=True)
    dots = grey(printing.dots(picture, 300, (300,)))
    assert dots.shape == (236, 41_339)
    near, far = (dots[:, round(x / 25.4 * 300) :][:, :340] < 128 for x in (1.0, 3471.0))
    assert 0.05 < near.mean() < 0.5
    assert near.sum() == pytest.approx(far.sum(), rel=0.01)
    assert (near != far).mean() < 0.01


def test_grey_stays_grey() -> None:
    picture = Picture(10.0, 10.0, "t", "d")
    picture.polygon([(0, 0), (10, 0), (10, 10), (0, 10)], fill="#8c8c8c")
    assert set(np.unique(grey(printing.dots(picture, 72, (72,)))).tolist()) == {0x8C}
