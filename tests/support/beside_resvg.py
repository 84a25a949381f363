"""Compares our rendering of SVG with resvg's (package resvg-py).

    python -m tests.support.beside_resvg tests/artwork/documents/gradients.py [NAME ...]

lists the share of differing pixels for every document of a module, worst first, and saves pictures of failures.
"""

from __future__ import annotations

import importlib.util
import io
import sys
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Drawing
from wallwright.artwork.rendering import render

FAILURES = Path(__file__).resolve().parents[1] / "failures"
FAR = 32
"""Difference, of 255, in any channel above which a pixel counts as different."""
MOST = 0.003
"""Largest allowed share of different pixels."""
PAGE = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 200 200"'
    ' width="200" height="200">{}</svg>'
)


def both(svg: str, name: str, width: int = 400, **options) -> tuple[np.ndarray, np.ndarray, Drawing]:
    """Returns (h, w, 3) int of ours and of resvg's on white, and the drawing that was read. The height is resvg's.

    options: for resvg_py.svg_to_bytes. Raises ValueError when resvg refuses the file.
    """
    options = {"skip_system_fonts": "<text" not in svg, "languages": ["en"]} | options
    data = resvg_py.svg_to_bytes(svg_string=svg, background="white", width=width, dpi=96, **options)
    theirs = np.asarray(Image.open(io.BytesIO(bytes(data))).convert("RGB")).astype(int)
    drawing = read_artwork(svg.encode(), "image/svg+xml", name, 0.004)
    height = theirs.shape[0]
    image = render(drawing, width, height)
    image = image.convertToFormat(image.Format.Format_RGBA8888)
    ours = np.frombuffer(image.constBits(), np.uint8).reshape(height, image.bytesPerLine())[:, : 4 * width]
    return ours.reshape(height, width, 4)[..., :3].astype(int), theirs, drawing


def share_that_differs(ours: np.ndarray, theirs: np.ndarray, name: str) -> float:
    """Returns the share of different pixels, 0 to 1; saves both and their difference as a picture if it is too large."""
    off = (np.abs(ours - theirs) > FAR).any(axis=2)
    if off.mean() >= MOST:
        FAILURES.mkdir(exist_ok=True)
        pair = np.concatenate([ours, theirs, np.repeat(off[..., None] * 255, 3, axis=2)], axis=1)
        Image.fromarray(pair.astype(np.uint8)).save(FAILURES / f"{name.replace('/', ' ')[:80]}.png")
    return float(off.mean())


def main(path: str, *names: str) -> None:
    spec = importlib.util.spec_from_file_location("documents", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    shares = {}
    for name, body in module.DOCUMENTS.items():
        if names and name not in names:
            continue
        ours, theirs, drawing = both(body if body.startswith("<svg xmlns") else PAGE.format(body), name)
        shares[name] = share_that_differs(ours, theirs, name)
        if names:
            print(*(f"{f.severity.value}: {f.element}: {f.text}" for f in drawing.findings), sep="\n")
    for name, share in sorted(shares.items(), key=lambda item: -item[1]):
        if share >= MOST or names:
            print(f"{100 * share:7.2f} %  {name}")
    passed = sum(share < MOST for share in shares.values())
    print(f"{passed} of {len(shares)} pass")


if __name__ == "__main__":
    main(*sys.argv[1:])
