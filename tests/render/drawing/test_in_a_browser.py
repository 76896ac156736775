"""A browser measures the words of a drawing in our own fonts: they are as long as the SVG says."""

import base64
import json
import shutil
import subprocess
from importlib import resources
from pathlib import Path

import pytest
from drawn_specs import plan_of
from seen import see

from tuckmark.render import drawing

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--virtual-time-budget=8000",
    "--dump-dom",
)  # fmt: skip
#: a box is counted in whole dots and with the space after the last letter, by which a length that
#: is said makes up for kerning
BOX_MM = 0.2
#: letters are fitted to the dots of the screen
HINTING = 0.002
SLACK_MM = 0.05
MEASURE = """
<script>
document.fonts.ready.then(async () => {
  await Promise.all([...document.fonts].map(face => face.load()));
  const found = [...document.querySelectorAll('svg text')].map(text => {
    const asSaid = text.getBBox();
    text.removeAttribute('textLength');
    text.style.fontKerning = 'none';
    text.style.fontVariantLigatures = 'none';
    return [text.textContent, asSaid.x, asSaid.width, text.getComputedTextLength()];
  });
  const shapes = [...document.querySelectorAll('svg line, svg path, svg circle')];
  const boxes = shapes.map(shape => {
    const box = shape.getBBox();
    return [box.x, box.y, box.x + box.width, box.y + box.height];
  });
  document.body.textContent = 'FOUND' + JSON.stringify({texts: found, boxes}) + 'END';
});
</script>
"""


def face(name: str, weight: int) -> str:
    font = (resources.files("tuckmark.render") / "fonts" / name).read_bytes()
    data = base64.b64encode(font).decode("ascii")
    return (
        f'@font-face {{font-family: "Noto Sans"; font-weight: {weight};'
        f' src: url("data:font/woff2;base64,{data}")}}'
    )


@pytest.mark.skipif(CHROMIUM is None, reason="needs the Debian package chromium")
@pytest.mark.parametrize("name", ["locked_bury_eye", "endless_bury_loop"])
def test_lengths_and_places_are_true(name: str, tmp_path: Path) -> None:
    drawn = drawing.draw(plan_of(name, "longest", "metric"))
    style = face("sans-regular.woff2", 400) + face("sans-bold.woff2", 700)
    page = tmp_path / "page.html"
    page.write_text(
        f"<!doctype html><meta charset=utf-8><style>{style}</style><body>{drawn.svg()}{MEASURE}",
        encoding="utf-8",
    )
    shown = subprocess.run(
        [CHROMIUM, *FLAGS, f"--user-data-dir={tmp_path / 'profile'}", page.as_uri()],
        capture_output=True,
        text=True,
        check=True,
        timeout=90,
    ).stdout
    found = json.loads(shown.partition("FOUND")[2].partition("END")[0].replace("&amp;", "&"))
    words = see(drawn.svg()).words
    assert len(found["texts"]) == len(words) > 60
    for (text, x, width, own_length), word in zip(found["texts"], words, strict=True):
        assert text == word.text
        assert own_length == pytest.approx(word.said_length, rel=HINTING, abs=SLACK_MM), text
        assert width == pytest.approx(word.said_length, abs=BOX_MM), text
        assert x >= 0
        assert x + width <= drawn.width_mm
    for left, top, right, bottom in found["boxes"]:
        assert left >= 0
        assert top >= 0
        assert right <= drawn.width_mm
        assert bottom <= drawn.height_mm
