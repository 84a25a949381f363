"""How near the wall comes to the artwork in colour: photographs and drawings, with three sets of pens.

    python3 packaging/bootstrap.py bench colours [--photos 4] [--drawings 12] [--solid 0] [--sets cmyk krb k]
        [--styles cross-hatch ...] [--width 1] [--pictures FOLDER] [--keep FOLDER] [--resume] [--strokes FOLDER]
    python3 packaging/bootstrap.py bench colours --blind FOLDER --strokes FOLDER FOLDER

Every stroke is painted at its true width, inks on each other multiplied, and seen from afar: light blurred by 8 mm, beside the
original blurred alike. The optimum is the best that any mixture of the pens could be, found by trying mixtures in steps of a
fifteenth, without a share in the program. Photographs are those that come inside scikit-image's wheel (`pip install scikit-image`, or
--photo-folder); drawings those of Debian's openclipart-svg, painted by resvg. A photograph's own colour profile is followed. Of drawings only what is not white counts.

--solid N takes N drawings in one black pen without any white left: double ink, and what stays white inside when each stroke is
0.15 and 0.3 mm aside; details of the drawing without any ink. --keep leaves the strokes in a folder, one file each; --strokes measures
those of a folder, which another version of the program left there, instead of drawing. --resume keeps what this version has
measured. --blind makes twelve sheets from two folders of strokes: an original, then both results in random order, and a key.
"""

from __future__ import annotations

import argparse
import importlib.util
import io
import itertools
import json
import os
import random
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
import resvg_py
from PIL import Image, ImageCms, ImageOps
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage, QPainter, QPen, QPolygonF
from scipy.ndimage import binary_erosion, gaussian_filter, label
from scipy.spatial import cKDTree

from tests.benchmarks.bench_drawings import FOLDER, INSTALL, drawings_of, version
from tests.benchmarks.common import RESULTS, save, table
from tests.support.whole_way import double_ink
from wallwright.artwork.colour import ciede2000, lab_of, rgb_of
from wallwright.artwork.raster.tone import linear, srgb
from wallwright.document import edits
from wallwright.document.document import Document, Fill, Pen
from wallwright.document.picture import STYLES, PictureSettings
from wallwright.planning.clock import Clock
from wallwright.planning.runner import Runner
from wallwright.strokes.strokes import Strokes

SETS = {
    "cmyk": ("#00a0e0", "#e0007f", "#ffe600", "#000000"),
    "krb": ("#000000", "#d02020", "#2050b0"),
    "k": ("#000000",),
}
PHOTOS = ("astronaut.png", "coffee.png", "chelsea.png", "rocket.jpg")
SIDE = 600.0
"""mm: the longer side on the wall."""
FINE = 2.5
"""Pixels a mm of painted light."""
FINER = 2
"""In each of them so many rows and columns of pixels are painted, without smoothed edges: those of lines that touch would leave
a pale seam."""
AT_ONCE = 200
"""Legs of a line painted at once: Qt takes long for many."""
BLUR = 8.0
"""mm: standard deviation of what the eye blurs; half a degree from a metre away."""
STEP = 2.0
"""mm between places compared."""
SEEN = 2.0
"""CIEDE2000 from white beyond which a place of a drawing counts."""
LEAST_SHARE, MOST_COVERAGE, SHARES = 0.0, 0.92, 16
DARKEST = PictureSettings().darkest
"""Coverage of each pen in the darkest tone that pictures are drawn with, for a second optimum."""
PLACES = 6000
"""Of a picture for which the optimum is sought, evenly chosen."""
LARGEST = 150_000
"""Bytes of a drawing: larger ones take minutes."""
ASIDE = (0.15, 0.3)
"""mm by which strokes lie aside, each in another direction: neighbours then miss each other by up to twice as much."""
DARK, DETAIL = 128, 0.1
"""Grey value below which a drawing has a detail, and the least detail that counts, mm²."""
SHEETS, SHEET_SIDE = 12, 480
SVG = "image/svg+xml"


def painted(strokes: Any, pens: Sequence[Pen], size: tuple[float, float], corner: np.ndarray) -> np.ndarray:
    """(rows, columns, 3) linear light of strokes on a white wall, inks multiplied where they lie on each other. size, corner: mm."""
    columns, rows = (round(side * FINE) for side in size)
    inks = np.zeros((rows * FINER, columns * FINER), dtype=np.uint16)
    for number, pen in enumerate(pens):
        image = QImage(columns * FINER, rows * FINER, QImage.Format.Format_Grayscale8)
        image.fill(255)
        painter = QPainter(image)
        painter.scale(FINE * FINER, FINE * FINER)
        cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
        painter.setPen(QPen(Qt.GlobalColor.black, pen.width, Qt.PenStyle.SolidLine, cap, join))
        for stroke in np.flatnonzero(strokes.pen == number).tolist():
            points = strokes.points[strokes.offsets[stroke] : strokes.offsets[stroke + 1]] - corner
            for first in range(0, len(points) - 1, AT_ONCE):
                part = points[first : first + AT_ONCE + 1].tolist()
                painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in part]))
        painter.end()
        pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
        inks |= (pixels[:, : image.width()] == 0).astype(np.uint16) << number
    filters = np.array([linear(np.array(rgb_of(pen.colour))) for pen in pens])
    there = np.arange(1 << len(pens))[:, None, None] >> np.arange(len(pens))[:, None] & 1
    of_inks = np.prod(np.where(there == 1, filters, 1.0), axis=1).astype(np.float32) / FINER**2
    light = np.zeros((rows, columns, 3), dtype=np.float32)
    for row, column in itertools.product(range(FINER), repeat=2):
        light += of_inks[inks[row::FINER, column::FINER]]
    return light


def from_afar(light: np.ndarray, per_mm: tuple[float, float]) -> np.ndarray:
    """(n, m, 3) light of squares STEP wide, blurred. per_mm: pixels a mm down and across."""
    rows, columns = (int(n / p / STEP) for n, p in zip(light.shape, per_mm, strict=False))
    part = (0.0, 0.0, columns * STEP * per_mm[1], rows * STEP * per_mm[0])
    means = [
        np.asarray(Image.fromarray(channel).resize((columns, rows), Image.Resampling.BOX, part))
        for channel in np.ascontiguousarray(np.moveaxis(light, 2, 0))
    ]
    seen: np.ndarray = gaussian_filter(np.stack(means, axis=2), (BLUR / STEP, BLUR / STEP, 0), mode="nearest")
    return seen


def optimum(wanted: np.ndarray, pens: Sequence[Pen], most: float = MOST_COVERAGE) -> np.ndarray:
    """(n,) CIEDE2000 of the best mixture for each of (n, 3) CIELAB colours, Neugebauer's primaries summed one by one."""
    lab, tree = _mixtures(tuple(pen.colour for pen in pens), most)
    _, near = tree.query(wanted, k=min(12, len(lab)))
    several = np.stack([ciede2000(wanted, lab[near[:, i]]) for i in range(near.shape[1])])
    best: np.ndarray = several.min(axis=0)
    return best


@lru_cache(maxsize=8)
def _mixtures(colours: tuple[str, ...], most: float) -> tuple[np.ndarray, cKDTree]:
    """CIELAB of mixtures in steps, (n, 3), and a tree of them."""
    inks = linear(np.array([rgb_of(colour) for colour in colours]))
    shares = np.linspace(LEAST_SHARE, most, SHARES)
    mixed = np.array(list(itertools.product(shares, repeat=len(colours))))
    light = np.zeros((len(mixed), 3))
    for overprint in itertools.product((False, True), repeat=len(colours)):
        there = np.array(overprint)
        light += np.prod(np.where(there, mixed, 1 - mixed), axis=1)[:, None] * np.prod(inks[there], axis=0)
    lab = lab_of(srgb(light))
    return lab, cKDTree(lab)


def document_of(
    data: bytes, media: str, natural: tuple[float, float], pens: Sequence[Pen], style: str
) -> tuple[Document, Any]:
    """style: of a picture; "solid": a drawing in solid colours; "": a drawing as it comes."""
    document = edits.set_field(Document(), "pens", tuple(pens))
    if style == "solid":
        full = edits.replace(document.settings, fill=Fill("hatch", coverage=100.0))
        document = edits.set_field(document, "settings", full)
    scale = SIDE / max(natural)
    document, placed = edits.add_artwork(
        document, "a", media, data, natural, (1000.0, 800.0), natural[0] * scale, natural[1] * scale
    )
    if placed.picture is not None:
        picture = edits.replace(placed.picture, style=STYLES[style](), pens=tuple(p.id for p in pens))
        document = edits.set_placement(document, placed.id, picture=picture)
    elif style == "solid":
        document = edits.set_placement(document, placed.id, colours="solid")
    return document, document.placements[0]


@dataclass(frozen=True)
class Case:
    """One line of the table: a picture in a style, with some pens."""

    name: str
    media: str
    original: np.ndarray
    """(rows, columns, 3) uint8 on white."""
    data: bytes
    set_name: str
    style: str
    width: float

    @property
    def tag(self) -> str:
        of_set = () if self.style == "solid" else (self.set_name,)
        of_style = (self.style,) if self.style else ()
        return "_".join([Path(self.name).stem, *of_set, *of_style, f"{self.width:g}"])

    @property
    def pens(self) -> list[Pen]:
        return [Pen(str(i), str(i), colour, self.width) for i, colour in enumerate(SETS[self.set_name])]


@dataclass(frozen=True)
class Drawn:
    strokes: Strokes
    corner: np.ndarray
    """(2,) mm on the wall."""
    size: tuple[float, float]
    seconds: float


def draw(case: Case, keep: Path | None) -> Drawn:
    natural = (case.original.shape[1] * 25.4 / 96, case.original.shape[0] * 25.4 / 96)
    document, placed = document_of(case.data, case.media, natural, case.pens, case.style)
    begun = time.perf_counter()
    strokes = Runner().preview(document, lambda stage, done, saving=None: None, Clock()).strokes
    seconds = time.perf_counter() - begun
    corner = np.array([placed.x - placed.width / 2, placed.y - placed.height / 2])
    if keep is not None:
        keep.mkdir(parents=True, exist_ok=True)
        parts = {key: getattr(strokes, key) for key in ("points", "offsets", "pen", "is_fill")}
        np.savez(keep / f"{case.tag}.npz", box=[*corner, placed.width, placed.height], seconds=seconds, **parts)
    return Drawn(strokes, corner, (placed.width, placed.height), seconds)


def load(case: Case, folder: Path) -> Drawn | None:
    path = folder / f"{case.tag}.npz"
    if not path.exists():
        return None
    with np.load(path) as kept:
        count = len(kept["pen"])
        source = np.zeros(count, dtype=np.int32)
        strokes = Strokes(kept["points"], kept["offsets"].astype(np.int64), kept["pen"], source, kept["is_fill"])
        box = kept["box"]
        return Drawn(strokes, box[:2], (float(box[2]), float(box[3])), float(kept["seconds"]))


def measure(case: Case, drawn: Drawn, folder: Path | None) -> dict[str, Any]:
    """One line of the table of colours."""
    original, size = case.original, drawn.size
    light = painted(drawn.strokes, case.pens, size, drawn.corner)
    seen = from_afar(light, (FINE, FINE))
    per_mm = (original.shape[0] / size[1], original.shape[1] / size[0])
    wanted = from_afar(linear(original).astype(np.float32), per_mm)[: seen.shape[0], : seen.shape[1]]
    seen = seen[: wanted.shape[0], : wanted.shape[1]]
    a, b = lab_of(srgb(wanted.astype(float))).reshape(-1, 3), lab_of(srgb(seen.astype(float))).reshape(-1, 3)
    counts = np.ones(len(a), dtype=bool)
    if case.media == SVG:
        white = np.tile([100.0, 0, 0], (len(a), 1))
        counts = (ciede2000(a, white) > SEEN) | (ciede2000(b, white) > SEEN)
    if not counts.any():
        counts[:] = True
    found = ciede2000(a[counts], b[counts])
    some = a[counts][:: max(1, int(counts.sum()) // PLACES)]
    best, at_darkest, full = (optimum(some, case.pens, most) for most in (MOST_COVERAGE, DARKEST, 1.0))
    if folder is not None:
        _save_pair(folder / f"{case.tag}.png", original, light, size)
    return {
        "picture": Path(case.name).stem[:28],
        "pens": case.set_name,
        "style": case.style,
        "mean": float(found.mean()),
        "95 %": float(np.percentile(found, 95)),
        "optimum": float(best.mean()),
        "its 95 %": float(np.percentile(best, 95)),
        f"at {100 * DARKEST:.0f} %": float(at_darkest.mean()),
        "at 100 %": float(full.mean()),
        "m of line": round(float(drawn.strokes.lengths().sum()) / 1000),
        "strokes": len(drawn.strokes),
        "s": drawn.seconds,
    }


def measure_solid(case: Case, drawn: Drawn, folder: Path | None) -> dict[str, Any]:
    """One line of the table of solid drawings: shares of the ink, of the inside, and details without ink."""
    strokes, size = drawn.strokes, drawn.size
    ink = painted(strokes, case.pens, size, drawn.corner)[..., 0] < 0.5
    grey = np.asarray(Image.fromarray(case.original).convert("L").resize(ink.shape[::-1], Image.Resampling.LANCZOS))
    number, count = label(grey < DARK)
    large = np.flatnonzero(np.bincount(number.ravel(), minlength=count + 1)[1:] >= DETAIL * FINE**2) + 1
    inside = binary_erosion(grey < DARK, iterations=3)
    white = []
    angle = np.random.default_rng(1).uniform(0, 2 * np.pi, len(strokes))
    for aside in ASIDE:
        away = np.repeat(aside * np.column_stack([np.cos(angle), np.sin(angle)]), np.diff(strokes.offsets), axis=0)
        moved = replace(strokes, points=strokes.points + away)
        left = painted(moved, case.pens, size, drawn.corner)[..., 0][inside]
        white.append(float(left.mean()) if len(left) > 100 else 0.0)
    return {
        "picture": Path(case.name).stem[:28],
        "double ink": double_ink(strokes, [case.width]),
        "white": white[0],
        "white at 0.3": white[1],
        "lost": len(np.setdiff1d(large, np.unique(number[ink]))),
        "details": len(large),
        "strokes": len(strokes),
        "s": drawn.seconds,
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


def cases(given: argparse.Namespace) -> list[tuple[str, Callable[[], list[Case]]]]:
    """Kind and maker of the cases of each picture: an original that is too large to be held is made when its turn comes."""
    found: list[tuple[str, Callable[[], list[Case]]]] = []
    for name in PHOTOS[: given.photos]:
        found.append(("Photographs", lambda name=name: _photo_cases(name, given)))
    if (given.drawings or given.solid) and not FOLDER.is_dir():
        raise SystemExit(INSTALL)
    small = drawings_of(FOLDER, given.seed, LARGEST)
    for name in small[: given.drawings]:
        found.append(("Drawings", lambda name=name: _drawing_cases(name, given.sets, "", given.width)))
    for name in small[: given.solid]:
        found.append(("Solid", lambda name=name: _drawing_cases(name, ["k"], "solid", given.width)))
    return found


def _photo_cases(name: str, given: argparse.Namespace) -> list[Case]:
    data = (photo_folder(given.photo_folder) / name).read_bytes()
    image = Image.open(io.BytesIO(data))
    if profile := image.info.get("icc_profile"):  # as every viewer shows it
        image = ImageCms.profileToProfile(
            image, ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
        )
    original = np.asarray(image.convert("RGB"))
    media = "image/png" if name.endswith("png") else "image/jpeg"
    both = itertools.product(given.sets, given.styles)
    return [Case(name, media, original, data, set_name, style, given.width) for set_name, style in both]


def _drawing_cases(name: str, sets: Sequence[str], style: str, width: float) -> list[Case]:
    data = (FOLDER / name).read_bytes()
    png = resvg_py.svg_to_bytes(svg_string=data.decode("utf-8"), background="white", width=800)
    original = np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGB"))
    return [Case(name, SVG, original, data, set_name, style, width) for set_name in sets]


def run(given: argparse.Namespace) -> dict[str, list[dict[str, Any]]]:
    """Rows of each kind. Each is appended to the log when it is there."""
    log = RESULTS / f"{given.name}.jsonl"
    source = str(given.strokes[0]) if given.strokes else version()
    known = {}
    if given.resume and log.exists():
        lines = [json.loads(line) for line in log.read_text().splitlines()]
        known = {(line["kind"], line["tag"]): line["row"] for line in lines if line["of"] == source}
    RESULTS.mkdir(exist_ok=True)
    rows: dict[str, list[dict[str, Any]]] = {}
    for kind, make in cases(given):
        try:
            mine = make()
        except Exception as error:  # a drawing that the judge cannot read is none to compare
            print(str(error)[:200], flush=True)
            continue
        for case in mine:
            row = known.get((kind, case.tag))
            if row is None:
                try:
                    drawn = load(case, given.strokes[0]) if given.strokes else draw(case, given.keep)
                except Exception as error:  # one that the program refuses
                    print(f"{case.tag}: {error}"[:200], flush=True)
                    continue
                if drawn is None:
                    continue
                row = (measure_solid if kind == "Solid" else measure)(case, drawn, given.pictures)
                with log.open("a", encoding="utf-8") as file:
                    file.write(json.dumps({"of": source, "kind": kind, "tag": case.tag, "row": row}) + "\n")
            rows.setdefault(kind, []).append(row)
            print(row, flush=True)
    return rows


def blind(given: argparse.Namespace) -> None:
    """Sheets of pictures that both folders have and that differ, at most one of each, and key.json: which of both came first."""
    chance = random.Random()
    chosen: list[tuple[str, Case]] = []
    every = cases(given)
    chance.shuffle(every)
    for kind, make in every:
        of_kind = sum(k == kind for k, _ in chosen)
        if kind == "Solid" or of_kind >= (SHEETS // 3 if kind == "Photographs" else SHEETS - SHEETS // 3):
            continue
        try:
            mine = [case for case in make() if case.set_name != "k" and _differ(case, given.strokes)]
        except Exception:  # one that the judge cannot read
            continue
        if mine:
            chosen.append((kind, chance.choice(mine)))
    chance.shuffle(chosen)
    key = {}
    given.blind.mkdir(parents=True, exist_ok=True)
    for number, (_, case) in enumerate(chosen, 1):
        order = [0, 1]
        chance.shuffle(order)
        pictures = [Image.fromarray(case.original)]
        for folder in order:
            drawn = load(case, given.strokes[folder])
            assert drawn is not None
            light = painted(drawn.strokes, case.pens, drawn.size, drawn.corner)
            light = gaussian_filter(light, (FINE * 0.8, FINE * 0.8, 0))
            pictures.append(Image.fromarray(srgb(light.astype(float)).clip(0, 255).astype(np.uint8)))
        sheet = Image.new("RGB", (3 * SHEET_SIDE + 20, SHEET_SIDE), "white")
        for place, picture in enumerate(pictures):
            fitted = ImageOps.contain(picture, (SHEET_SIDE, SHEET_SIDE), Image.Resampling.LANCZOS)
            sheet.paste(fitted, (place * (SHEET_SIDE + 10), 0))
        sheet.save(given.blind / f"{number:02d}.png")
        key[f"{number:02d}"] = {"picture": case.tag, "order": [str(given.strokes[folder]) for folder in order]}
    (given.blind / "key.json").write_text(json.dumps(key, indent=1))


def _differ(case: Case, folders: Sequence[Path]) -> bool:
    """Whether both folders have strokes of a case, and not the same."""
    one, other = (load(case, folder) for folder in folders)
    return one is not None and other is not None and not np.array_equal(one.strokes.points, other.strokes.points)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--photos", type=int, default=len(PHOTOS))
    options.add_argument("--photo-folder", type=Path)
    options.add_argument("--drawings", type=int, default=12)
    options.add_argument("--solid", type=int, default=0, help="drawings in one black pen, nothing left white")
    options.add_argument("--seed", type=int, default=3)
    options.add_argument("--sets", nargs="+", default=list(SETS), choices=list(SETS))
    options.add_argument("--styles", nargs="+", default=["cross-hatch"], choices=list(STYLES))
    options.add_argument("--width", type=float, default=1.0, help="of the pens, mm")
    options.add_argument("--pictures", type=Path, help="folder for pictures of original and wall")
    options.add_argument("--keep", type=Path, help="folder in which the strokes are left")
    options.add_argument("--strokes", type=Path, nargs="+", help="folder of strokes to measure; two for --blind")
    options.add_argument("--blind", type=Path, help="folder for sheets to judge without knowing which is which")
    options.add_argument("--resume", action="store_true", help="keep what this version has measured already")
    options.add_argument("--name", default="colours", help="of the files with the results")
    given = options.parse_args()
    if given.blind:
        blind(given)
        return
    rows = run(given)
    for kind, part in rows.items():
        table(kind, part)
        keys = sorted({(r["pens"], r["style"]) for r in part}) if kind != "Solid" else []
        if keys:
            table(f"{kind}, mean", [_mean(part, *key) for key in keys])
        else:
            table(f"{kind}, together", [_together(part)])
    save(given.name, **rows)


def _mean(rows: list[dict[str, Any]], pens: str, style: str) -> dict[str, Any]:
    mine = [r for r in rows if (r["pens"], r["style"]) == (pens, style)]
    keys = ("mean", "95 %", "optimum", "its 95 %", f"at {100 * DARKEST:.0f} %", "at 100 %", "s", "m of line")
    return {
        "pens": pens,
        "style": style,
        "pictures": len(mine),
        **{key: float(np.mean([r[key] for r in mine])) for key in keys},
    }


def _together(rows: list[dict[str, Any]]) -> dict[str, Any]:
    white = [r["white"] for r in rows]
    return {
        "drawings": len(rows),
        "double ink": float(np.mean([r["double ink"] for r in rows])),
        "white": float(np.mean(white)),
        "white at 0.3": float(np.mean([r["white at 0.3"] for r in rows])),
        "worst white": max(white),
        "lost": sum(r["lost"] for r in rows),
        "details": sum(r["details"] for r in rows),
    }


if __name__ == "__main__":
    main()
