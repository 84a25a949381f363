"""Renders the program's icon, packaging/desktop/wallwright.svg, in the formats of each system.

python packaging/app_icon.py FOLDER     wallwright.png (256 pixels), wallwright.ico (Windows), wallwright.icns (macOS)
python packaging/app_icon.py            resources/icons/wallwright.png, which windows show
"""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path

from PIL import Image
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

PACKAGING = Path(__file__).resolve().parent
DRAWING = PACKAGING / "desktop" / "wallwright.svg"
IN_WINDOWS = PACKAGING.parent / "resources" / "icons" / "wallwright.png"
WINDOW_PIXELS = 128
SIZES = (16, 24, 32, 48, 64, 128, 256)
"""Sizes of the images in a Windows icon, pixels."""


def painted(pixels: int) -> Image.Image:
    """Returns the icon as a square image."""
    image = QImage(pixels, pixels, QImage.Format.Format_ARGB32)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    QSvgRenderer(str(DRAWING)).render(painter)
    painter.end()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")
    picture = Image.open(BytesIO(data.data()))
    picture.load()
    return picture


def write(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    pictures = [painted(size) for size in SIZES]
    pictures[-1].save(folder / "wallwright.png", optimize=True)
    pictures[-1].save(folder / "wallwright.ico", sizes=[(s, s) for s in SIZES], append_images=pictures[:-1])
    painted(1024).save(folder / "wallwright.icns")


def main(arguments: list[str]) -> int:
    if len(arguments) > 1 or arguments[:1] in (["-h"], ["--help"]):
        print((__doc__ or "").strip())
        return 2
    if arguments:
        write(Path(arguments[0]))
    else:
        painted(WINDOW_PIXELS).save(IN_WINDOWS, optimize=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
