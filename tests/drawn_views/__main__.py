"""Write the demo's pictures: `python -m tests.drawn_views [name …]`; says what each block must
show.
"""

import sys
from pathlib import Path

from PIL import Image

from tests.drawn_views.catalogue import VIEWS
from tests.drawn_views.drawing import drawn

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"


def in_sixteen_greys(picture: Image.Image) -> Image.Image:
    """The picture with a palette of 16 greys, which keeps its lines smooth and its file small."""
    palette = Image.new("P", (1, 1))
    palette.putpalette([value for k in range(16) for value in (round(k * 17),) * 3])
    return picture.convert("RGB").quantize(16, palette=palette, dither=Image.Dither.NONE)


def main() -> None:
    """Draw all views, or those that are named."""
    PICTURES.mkdir(exist_ok=True)
    for name in sys.argv[1:] or VIEWS:
        file = PICTURES / f"{name}.png"
        scene = VIEWS[name].scene()
        in_sixteen_greys(drawn(scene)).save(file, optimize=True, bits=4)
        print(f"{file.name}: {file.stat().st_size:,} bytes")


if __name__ == "__main__":
    main()
