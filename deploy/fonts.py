"""Makes the embedded fonts and their table of advances from the full ones.

    python deploy/fonts.py FOLDER    where NotoSans-Regular.ttf and NotoSans-Bold.ttf lie,
                                     such as that of the Debian package fonts-noto-core

Kept are Latin with its diacritics, Greek, Cyrillic and the punctuation between them.
"""

import json
import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

_RANGES = (
    (0x0020, 0x007E), (0x00A0, 0x024F), (0x0300, 0x036F), (0x0370, 0x03FF), (0x0400, 0x052F),
    (0x1E00, 0x1EFF), (0x2010, 0x205E), (0x2070, 0x209C), (0x20A0, 0x20BF), (0x2116, 0x2122),
    (0x2150, 0x215E), (0xFFFD, 0xFFFD),
)  # fmt: skip
_FEATURES = ["kern", "mark", "mkmk", "ccmp", "locl", "frac", "numr", "dnom", "tnum", "lnum"]
_TARGET = Path(__file__).parent.parent / "service" / "tuckmark" / "render" / "fonts"


def main(folder: Path) -> None:
    """Write every font and the table of advances."""
    advances = {}
    for weight in ("regular", "bold"):
        font = TTFont(folder / f"NotoSans-{weight.capitalize()}.ttf", recalcTimestamp=False)
        options = subset.Options(
            layout_features=_FEATURES, hinting=False, notdef_outline=True, name_IDs=["*"]
        )
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=[code for low, high in _RANGES for code in range(low, high + 1)])
        cutter.subset(font)
        font.save(_TARGET / f"sans-{weight}.ttf")
        font.flavor = "woff2"
        font.save(_TARGET / f"sans-{weight}.woff2")
        metrics = font["hmtx"]
        advances[weight] = {
            chr(code): metrics[name][0] for code, name in sorted(font.getBestCmap().items())
        }
    text = json.dumps(advances, ensure_ascii=True, indent=None, separators=(",", ":"))
    (_TARGET / "advances.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
