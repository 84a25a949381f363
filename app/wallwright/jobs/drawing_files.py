"""Files for a machine that takes drawings: one plain SVG per pen, all with the same page.

Points of the corrected path are thinned to the machine's tolerance, rounded to the decimals that it reads, and written as
absolute M and L, one path per stroke, in drawing order. The page begins at 0,0 and its viewBox is its size. A file that
exceeds the machine's limit is split between two strokes; a stroke that is too long for a file is cut in two.
"""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

import numpy as np
import shapely

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.language import tr
from wallwright.jobs.columns import numbers, parts_of, rows, text
from wallwright.jobs.coordinates import ControllerPath
from wallwright.jobs.drawing_layout import PageLayout, layout_of_document
from wallwright.jobs.drawing_set import EVERY_PEN, MARKS, DrawingFile, DrawingSet
from wallwright.jobs.file_cautions import xml_comment
from wallwright.jobs.file_names import ALL_PENS, REGISTER
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.job import Job
from wallwright.jobs.read_back import PATH, Mismatch, VerifiedFile
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import inverse_kinematics

MARK_ARM = 4.0
"""Half the arm length of the diagonal crosses over register marks, mm; register marks themselves are upright crosses."""
HEAD_BYTES = 1200
"""Upper bound of the size of a file's first lines, comment and ticks, bytes."""
SVG_NAMESPACE = "http://www.w3.org/2000/svg"


def drawing_set(job: Job) -> DrawingSet:
    """Returns the content of a job's files. Raises BadValue where the drawing does not fit on the page."""
    page, path = job.document.machine.controller.page, job.in_plane
    marks = _marks(job)
    layout = layout_of_document(
        job.document, job.hanging_index, np.concatenate([path.values[_drawn(path)], marks.reshape(-1, 2)])
    )
    points, offsets, block = _lines(job, path, layout)
    if page.largest_file:
        points, offsets, block = _cut_long(points, offsets, block, page)
    pen = np.array([b.pen for b in job.motion.blocks], dtype=np.int64)
    ticks, marks = (
        np.round(layout.to_file(lines.reshape(-1, 2)), page.decimals).reshape(-1, 2, 2)
        for lines in (layout.ticks, marks)
    )
    files = _files(job, page, points, offsets, block)
    if len(marks):
        k, n = len(offsets) - 1, len(points)
        files = (DrawingFile(job.file(REGISTER), MARKS, int(pen[0]), 1, 1, k, k + len(marks)), *files)
        points = np.concatenate([points, marks.reshape(-1, 2)])
        offsets = np.concatenate([offsets, n + 2 * np.arange(1, len(marks) + 1)])
        block = np.concatenate([block, np.zeros(len(marks), dtype=np.int64)])
    return DrawingSet(page, job.document.pens, layout, points, offsets, pen[block], ticks, files)


def _marks(job: Job) -> Floats:
    """Returns (2 k, 2, 2) mm in the plane: a diagonal cross at each register mark that the hanging is aligned by."""
    if not job.seeks or job.before is not None:
        return np.zeros((0, 2, 2))
    arms = MARK_ARM / np.sqrt(2) * np.array([[[-1, -1], [1, 1]], [[-1, 1], [1, -1]]])
    wall = (np.array([[m.x, m.y] for m in job.seeks])[:, None, None] + arms).reshape(-1, 2)
    belts = inverse_kinematics(job.rig, wall).belts
    return np.asarray(belts_to_controller(job.document.machine, job.hanging, "plane", belts).reshape(-1, 2, 2))


def _drawn(path: ControllerPath) -> Flags:
    return np.repeat(path.down, np.diff(path.runs))


def _lines(job: Job, path: ControllerPath, layout: PageLayout) -> tuple[Floats, Integers, Integers]:
    """Returns points (n, 2) in file numbers, offsets (k + 1,), and the block of each line (k,)."""
    page = job.document.machine.controller.page
    runs = np.flatnonzero(path.down)
    counts = np.diff(path.runs)[runs]
    geometry = shapely.linestrings(path.values[_drawn(path)], indices=np.repeat(np.arange(len(runs)), counts))
    tolerance = max(page.tolerance, 0.5 / job.document.machine.steps_per_mm)
    thinned, line = shapely.get_coordinates(
        shapely.simplify(geometry, tolerance, preserve_topology=False), return_index=True
    )
    points = np.round(layout.to_file(thinned), page.decimals) + 0.0  # no minus zero
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = (np.diff(points, axis=0) != 0).any(axis=1) | (np.diff(line) > 0)
    # A dot keeps both end points.
    last = np.append(line[1:] != line[:-1], True)
    keep |= last & (np.bincount(line[keep], minlength=len(runs)) < 2)[line]
    points, line = points[keep], line[keep]
    offsets = np.searchsorted(line, np.arange(len(runs) + 1)).astype(np.int64)
    ends = np.array([b.last_run for b in job.motion.blocks])
    return points, offsets, np.searchsorted(ends, runs, side="right").astype(np.int64)


def _bytes_of(points: Floats, offsets: Integers, page: DrawingPage) -> Floats:
    """Returns (k,) an upper bound of each line's size in a file, bytes."""
    digits = len(str(int(np.abs(points).max(initial=1.0)))) + (page.decimals + 1 if page.decimals else 0)
    return np.asarray(len(_begin(page, "#000000")) + 5 + np.diff(offsets) * 2 * (digits + 1), dtype=float)


def _bytes_for_lines(page: DrawingPage) -> float:
    """Returns the bytes available for lines in a file."""
    return max(page.largest_file * 1000 - HEAD_BYTES - 4 * 60, 500.0)


def _cut_long(
    points: Floats, offsets: Integers, block: Integers, page: DrawingPage
) -> tuple[Floats, Integers, Integers]:
    """Cuts lines that are too long for a file; both parts contain the cut point."""
    size, room = _bytes_of(points, offsets, page), _bytes_for_lines(page)
    if not (size > room).any():
        return points, offsets, block
    pieces: list[Floats] = []
    of: list[int] = []
    for k in range(len(size)):
        line = points[offsets[k] : offsets[k + 1]]
        count = min(int(np.ceil(size[k] / room)), len(line) - 1)
        at = np.linspace(0, len(line) - 1, count + 1).astype(int)
        pieces += [line[a : b + 1] for a, b in itertools.pairwise(at.tolist())]
        of += [int(block[k])] * count
    new = np.concatenate([[0], np.cumsum([len(p) for p in pieces])]).astype(np.int64)
    return np.concatenate(pieces), new, np.array(of, dtype=np.int64)


def _files(job: Job, page: DrawingPage, points: Floats, offsets: Integers, block: Integers) -> tuple[DrawingFile, ...]:
    size = _bytes_of(points, offsets, page)
    found = []
    for number, part in enumerate(job.motion.blocks):
        mine = np.flatnonzero(block == number)
        if not len(mine):
            continue
        first, last = int(mine[0]), int(mine[-1]) + 1
        ends = _split(size[first:last], _bytes_for_lines(page)) if page.largest_file else [last - first]
        stem = f"{number + 1}-{_slug(job.document.pens[part.pen].name)}"
        begin = first
        for index, end in enumerate(ends, start=1):
            name = f"{stem}-part-{index}.svg" if len(ends) > 1 else f"{stem}.svg"
            found.append(DrawingFile(job.file(name), number, part.pen, index, len(ends), begin, first + end))
            begin = first + end
    if page.one_file and len(job.motion.blocks) > 1:
        found.append(DrawingFile(job.file(ALL_PENS), EVERY_PEN, -1, 1, 1, 0, len(offsets) - 1))
    return tuple(found)


def _split(size: Floats, room: float) -> list[int]:
    """Returns the end indices of parts, each as full as possible."""
    ends, total = [], 0.0
    for k, one in enumerate(size.tolist()):
        if total and total + one > room:
            ends.append(k)
            total = 0.0
        total += one
    return [*ends, len(size)]


def _slug(name: str) -> str:
    """Returns a pen's name for a file name, in ASCII letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name.replace("ß", "ss")).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "pen"


def _begin(page: DrawingPage, colour: str) -> str:
    """Returns the begin of a line's path element."""
    style = f'fill="none" stroke={quoteattr(colour)} ' if page.attributes == "stroke" else ""
    return f'<path {style}d="M'


def write_drawing(
    drawing: DrawingSet, file: DrawingFile, ignored: IgnoredLimits, progress: Callable[[float], None]
) -> Iterator[bytes]:
    """Yields a file in pieces. ignored: limits that the job ignores. Cautions are in a comment, which XML readers do not
    draw."""
    page, layout = drawing.page, drawing.layout
    yield svg_head(page, layout).encode()
    yield xml_comment(ignored).encode()
    tick = _begin(page, drawing.pens[int(drawing.line_pen[file.first])].colour)
    for a, b in drawing.ticks:
        yield f'{tick}{_pair(a, page)}L{_pair(b, page)}"/>\n'.encode()
    k = file.first
    while k < file.last:  # pen by pen, since their colours differ
        end = k + int(np.argmax(np.append(drawing.line_pen[k : file.last] != drawing.line_pen[k], True)))
        start = text(_begin(page, drawing.pens[int(drawing.line_pen[k])].colour))
        for first, last in parts_of(drawing.offsets, k, end):
            progress((first - file.first) / (file.last - file.first))
            runs = drawing.offsets[first : last + 1]
            begins, ends = (np.zeros(int(runs[-1] - runs[0]), dtype=bool) for _ in range(2))
            begins[runs[:-1] - runs[0]] = ends[runs[1:] - 1 - runs[0]] = True
            x, y = drawing.points[runs[0] : runs[-1]].T
            yield rows(
                len(x),
                start.where(begins),
                text("L").where(~begins),
                numbers(x, page.decimals),
                text(","),
                numbers(y, page.decimals),
                text('"/>\n').where(ends),
            )
        k = end
    yield b"</svg>\n"


def svg_head(page: DrawingPage, layout: PageLayout) -> str:
    """Returns the first line of a file: the page's size in file numbers, and stated in the unit that the machine uses."""
    unit = "mm" if page.unit == "mm" else ""
    own, stated = (
        [_short(v * layout.per_mm * share, page.decimals) for v in (layout.width, layout.height)]
        for share in (1.0, layout.stated)
    )
    return (
        f'<svg xmlns="{SVG_NAMESPACE}" version="1.1" width="{stated[0]}{unit}" height="{stated[1]}{unit}" '
        f'viewBox="0 0 {own[0]} {own[1]}">\n'
    )


def _short(value: float, decimals: int) -> str:
    """Formats a size: whole where the machine reads whole numbers, else finer than any coordinate."""
    if decimals == 0:
        return f"{value:.0f}"
    return f"{value:.{decimals + 2}f}".rstrip("0").rstrip(".")


def _pair(point: Floats, page: DrawingPage) -> str:
    return ",".join(f"{v:.{page.decimals}f}" for v in point)


def verify_drawing(path: Path, drawing: DrawingSet, file: DrawingFile) -> VerifiedFile:
    """Reads a file back and compares page, ticks and every point with their source. Raises Mismatch."""
    wanted = drawing.points[drawing.offsets[file.first] : drawing.offsets[file.last]]
    counts = np.diff(drawing.offsets)[file.first : file.last]
    lengths: list[int] = []
    data: list[str] = []
    page = ""
    try:
        for event, element in ElementTree.iterparse(path, events=("start", "end")):
            if event == "start":
                page = page or element.get("viewBox", "")
                continue
            if element.tag == PATH:
                numbers_ = element.get("d", "")
                lengths.append(numbers_.count("L") + 1)
                data.append(numbers_[1:])
            element.clear()
        found = np.array(",".join(data).replace("L", ",").split(","), dtype=float).reshape(-1, 2)
    except (ElementTree.ParseError, LookupError, ValueError) as error:
        raise Mismatch(str(error)) from error
    ticks = drawing.ticks
    if f'viewBox="{page}"' not in svg_head(drawing.page, drawing.layout):
        raise Mismatch(tr("its page has another size"))
    if not np.array_equal(lengths, [2] * len(ticks) + counts.tolist()):
        raise Mismatch(
            tr(
                "it holds {0} strokes with {1} points instead of {2} with {3}",
                len(lengths) - len(ticks),
                len(found) - 2 * len(ticks),
                len(counts),
                len(wanted),
            )
        )
    worst = float(np.abs(found - np.concatenate([ticks.reshape(-1, 2), wanted])).max(initial=0.0))
    if not worst <= 1e-6:
        raise Mismatch(tr("a point is off by {0:.4f} mm", worst))
    return VerifiedFile(len(wanted), len(counts), worst)
