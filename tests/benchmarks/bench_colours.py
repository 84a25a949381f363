"""How near the wall comes to the artwork in colour: photographs and drawings, with three sets of pens.

    python3 packaging/bootstrap.py bench colours [--photos 4] [--drawings 12] [--sets cmyk krb k] [--styles cross-hatch ...]
                                                 [--width 1] [--pictures FOLDER]

Every stroke is painted at its true width, inks on each other multiplied, and seen from afar: light blurred by 8 mm, beside the
original blurred alike. The optimum is the best that any mixture of the pens could be, found by trying mixtures in steps of a
fifteenth, without a share in the program. Photographs are those that come inside scikit-image's wheel (`pip install scikit-image`, or
--photo-folder); drawings those of Debian's openclipart-svg, painted by resvg. Of drawings only what is not white counts.
"""

from __future__ import annotations

import argparse
import importlib.util
import io
import itertools
import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
import resvg_py
from PIL import Image
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage, QPainter, QPen, QPolygonF
from scipy.ndimage import gaussian_filter
from scipy.spatial import cKDTree

from tests.benchmarks.bench_drawings import FOLDER, INSTALL, drawings_of
from tests.benchmarks.common import save, table
from wallwright.artwork.colour import ciede2000, lab_of, rgb_of
from wallwright.artwork.raster.tone import linear, srgb
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.picture import STYLES
from wallwright.planning.clock import Clock
from wallwright.planning.runner import Runner

SETS = {
    "cmyk": ("#00a0e0", "#e0007f", "#ffe600", "#000000"),
    "krb": ("#000000", "#d02020", "#2050b0"),
    "k": ("#000000",),
}
PHOTOS = ("astronaut.png", "coffee.png", "chelsea.png", "rocket.jpg")
SIDE = 600.0
"""mm: the longer side on the wall."""
FINE = 2.5
"""Pixels a mm in which strokes are painted, their edges smoothed: the ink of a line of 1 mm is right to a hundredth."""
BLUR = 8.0
"""mm: standard deviation of what the eye blurs; half a degree from a metre away."""
STEP = 2.0
"""mm between places compared."""
SEEN = 2.0
"""CIEDE2000 from white beyond which a place of a drawing counts."""
LEAST_SHARE, MOST_COVERAGE, SHARES = 0.0, 0.92, 16


def painted(strokes: Any, pens: Sequence[Pen], size: tuple[float, float], corner: np.ndarray) -> np.ndarray:
    """(rows, columns, 3) linear light of strokes on a white wall, inks multiplied. size, corner: mm."""
    columns, rows = (round(side * FINE) for side in size)
    light = np.ones((rows, columns, 3), dtype=np.float32)
    for number, pen in enumerate(pens):
        image = QImage(columns, rows, QImage.Format.Format_Grayscale8)
        image.fill(255)
        painter = QPainter(image)
        painter.scale(FINE, FINE)
        cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
        painter.setPen(QPen(Qt.GlobalColor.black, pen.width, Qt.PenStyle.SolidLine, cap, join))
        for stroke in np.flatnonzero(strokes.pen == number).tolist():
            points = strokes.points[strokes.offsets[stroke] : strokes.offsets[stroke + 1]] - corner
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))
        painter.end()
        pixels = np.frombuffer(image.constBits(), np.uint8).reshape(rows, image.bytesPerLine())[:, :columns]
        share = 1 - pixels[..., None].astype(np.float32) / 255
        light *= 1 - share * (1 - linear(np.array(rgb_of(pen.colour))).astype(np.float32))
    return light


def from_afar(light: np.ndarray, per_mm: tuple[float, float]) -> np.ndarray:
    """(n, m, 3) light blurred, at places STEP apart. per_mm: pixels a mm down and across."""
    blurred = gaussian_filter(light, (BLUR * per_mm[0], BLUR * per_mm[1], 0), mode="nearest", truncate=3)
    rows, columns = (int(n / p / STEP) for n, p in zip(light.shape, per_mm, strict=False))
    row = ((np.arange(rows) + 0.5) * STEP * per_mm[0]).astype(int)
    column = ((np.arange(columns) + 0.5) * STEP * per_mm[1]).astype(int)
    seen: np.ndarray = blurred[np.ix_(row, column)]
    return seen


def optimum(wanted: np.ndarray, pens: Sequence[Pen]) -> np.ndarray:
    """(n,) CIEDE2000 of the best mixture for each of (n, 3) CIELAB colours, Neugebauer's primaries summed one by one."""
    inks = linear(np.array([rgb_of(p.colour) for p in pens]))
    shares = np.linspace(LEAST_SHARE, MOST_COVERAGE, SHARES)
    mixed = np.array(list(itertools.product(shares, repeat=len(pens))))
    light = np.zeros((len(mixed), 3))
    for overprint in itertools.product((False, True), repeat=len(pens)):
        there = np.array(overprint)
        light += np.prod(np.where(there, mixed, 1 - mixed), axis=1)[:, None] * np.prod(inks[there], axis=0)
    lab = lab_of(srgb(light))
    _, near = cKDTree(lab).query(wanted, k=min(12, len(lab)))
    several = np.stack([ciede2000(wanted, lab[near[:, i]]) for i in range(near.shape[1])])
    best: np.ndarray = several.min(axis=0)
    return best


def document_of(
    data: bytes, media: str, natural: tuple[float, float], pens: Sequence[Pen], style: str
) -> tuple[Document, Any]:
    document = edits.set_field(Document(), "pens", tuple(pens))
    scale = SIDE / max(natural)
    document, placed = edits.add_artwork(
        document, "a", media, data, natural, (1000.0, 800.0), natural[0] * scale, natural[1] * scale
    )
    if placed.picture is not None:
        picture = edits.replace(placed.picture, style=STYLES[style](), pens=tuple(p.id for p in pens))
        document = edits.set_placement(document, placed.id, picture=picture)
    return document, document.placements[0]


def measure(
    name: str,
    original: np.ndarray,
    data: bytes,
    media: str,
    set_name: str,
    style: str,
    width: float,
    folder: Path | None,
) -> dict[str, Any]:
    """One line of the table. original: (rows, columns, 3) uint8 on white."""
    pens = [Pen(str(i), str(i), colour, width) for i, colour in enumerate(SETS[set_name])]
    natural = (original.shape[1] * 25.4 / 96, original.shape[0] * 25.4 / 96)
    document, placement = document_of(data, media, natural, pens, style)
    begun = time.perf_counter()
    strokes = Runner().preview(document, lambda stage, done, saving=None: None, Clock()).strokes
    seconds = time.perf_counter() - begun
    size = (placement.width, placement.height)
    corner = np.array([placement.x - size[0] / 2, placement.y - size[1] / 2])
    light = painted(strokes, pens, size, corner)
    drawn = from_afar(light, (FINE, FINE))
    per_mm = (original.shape[0] / size[1], original.shape[1] / size[0])
    wanted = from_afar(linear(original).astype(np.float32), per_mm)[: drawn.shape[0], : drawn.shape[1]]
    drawn = drawn[: wanted.shape[0], : wanted.shape[1]]
    a, b = lab_of(srgb(wanted.astype(float))), lab_of(srgb(drawn.astype(float)))
    counts = np.ones(len(a), dtype=bool)
    if media == "image/svg+xml":
        white = np.tile([100.0, 0, 0], (len(a), 1))
        counts = (ciede2000(a, white) > SEEN) | (ciede2000(b, white) > SEEN)
    if not counts.any():
        counts[:] = True
    found, best = ciede2000(a[counts], b[counts]), optimum(a[counts], pens)
    if folder is not None:
        _save_pair(folder / f"{Path(name).stem}_{set_name}_{style}_{width:g}.png", original, light, size)
    return {
        "picture": Path(name).stem[:28],
        "pens": set_name,
        "style": style if media != "image/svg+xml" else "",
        "mean": float(found.mean()),
        "95 %": float(np.percentile(found, 95)),
        "optimum": float(best.mean()),
        "m of line": round(float(strokes.lengths().sum()) / 1000),
        "strokes": len(strokes),
        "s": seconds,
    }


def _save_pair(path: Path, original: np.ndarray, light: np.ndarray, size: tuple[float, float]) -> None:
    """The original beside what is drawn, and that from afar, each 600 pixels wide."""
    path.parent.mkdir(parents=True, exist_ok=True)
    shape = (600, max(1, round(600 * size[1] / size[0])))
    near = gaussian_filter(light, (FINE * 0.5, FINE * 0.5, 0))
    far = gaussian_filter(light, (FINE * BLUR / 2, FINE * BLUR / 2, 0))
    pictures = [Image.fromarray(original)]
    pictures += [Image.fromarray(srgb(p.astype(float)).clip(0, 255).astype(np.uint8)) for p in (near, far)]
    sheet = Image.new("RGB", (3 * shape[0] + 20, shape[1]), "white")
    for number, picture in enumerate(pictures):
        sheet.paste(picture.resize(shape, Image.Resampling.LANCZOS), (number * (shape[0] + 10), 0))
    sheet.save(path)


def photo_folder(given: Path | None) -> Path:
    """Where the photographs are. Raises SystemExit when they are nowhere."""
    if given is not None:
        return given
    spec = importlib.util.find_spec("skimage")
    if spec is None or spec.origin is None:
        raise SystemExit(
            "The photographs are not here: `pip install scikit-image`, or name their folder with --photo-folder."
        )
    return Path(spec.origin).parent / "data"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--photos", type=int, default=len(PHOTOS))
    options.add_argument("--photo-folder", type=Path)
    options.add_argument("--drawings", type=int, default=12)
    options.add_argument("--seed", type=int, default=3)
    options.add_argument("--sets", nargs="+", default=list(SETS), choices=list(SETS))
    options.add_argument("--styles", nargs="+", default=["cross-hatch"], choices=list(STYLES))
    options.add_argument("--width", type=float, default=1.0, help="of the pens, mm")
    options.add_argument("--pictures", type=Path, help="folder for pictures of original and wall")
    options.add_argument("--name", default="colours", help="of the file with the results")
    given = options.parse_args()
    rows = []
    if given.photos:
        for name in PHOTOS[: given.photos]:
            data = (photo_folder(given.photo_folder) / name).read_bytes()
            original = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
            media = "image/png" if name.endswith("png") else "image/jpeg"
            for set_name, style in itertools.product(given.sets, given.styles):
                rows.append(measure(name, original, data, media, set_name, style, given.width, given.pictures))
                print(rows[-1], flush=True)
    drawings: list[dict[str, Any]] = []
    if given.drawings:
        if not FOLDER.is_dir():
            raise SystemExit(INSTALL)
        for name in drawings_of(FOLDER, given.seed)[: given.drawings]:
            data = (FOLDER / name).read_bytes()
            try:
                png = resvg_py.svg_to_bytes(svg_string=data.decode("utf-8"), background="white", width=800)
                original = np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGB"))
                found = [
                    measure(name, original, data, "image/svg+xml", s, "", given.width, given.pictures)
                    for s in given.sets
                ]
            except Exception as error:  # a drawing that one of both cannot read is none to compare
                print(f"{name}: {error}"[:200], flush=True)
                continue
            drawings += found
            print(*found, sep="\n", flush=True)
    for title, part in (("Photographs", rows), ("Drawings", drawings)):
        if part:
            table(title, part)
            table(
                f"{title}, mean",
                [_mean(part, *key) for key in sorted({(r["pens"], r["style"]) for r in part})],
            )
    save(given.name, photographs=rows, drawings=drawings)


def _mean(rows: list[dict[str, Any]], pens: str, style: str) -> dict[str, Any]:
    mine = [r for r in rows if (r["pens"], r["style"]) == (pens, style)]
    mean = {key: float(np.mean([r[key] for r in mine])) for key in ("mean", "95 %", "optimum", "s", "m of line")}
    return {"pens": pens, "style": style, "pictures": len(mine), **mean}


if __name__ == "__main__":
    main()
