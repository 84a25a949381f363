"""Takes a drawing from file to replay: read, placed as large as fits, planned, exported, replayed; measures the result.

Tests use small drawings, the benchmark a folder of real ones. The measurements share no code with the program: double ink,
reversals, feeds and the time of the exported file.
"""

from __future__ import annotations

import functools
import itertools
import math
import time
import traceback
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

from tests.support.controller import Moves, expected_settings, moves_of, replayed
from tests.support.ngc import read_line
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.colour import WHITE
from wallwright.artwork.drawing import Drawing
from wallwright.artwork.media import media_of
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.errors import UserError
from wallwright.document.placing import WHOLE_PAGE, Box
from wallwright.planning.move_in import FreeSpace, machine_with_reserve
from wallwright.planning.plan import Goal, Request, Response
from wallwright.planning.runner import Runner
from wallwright.strokes.strokes import Strokes
from wallwright.window.model.remedies import as_large_as_fits

PENS = {
    2: (Pen("black", "Black", "#202020"), Pen("red", "Red", "#c02020")),
    4: (
        Pen("black", "Black", "#202020"),
        Pen("blue", "Blue", "#1f4e8c"),
        Pen("red", "Red", "#c02020"),
        Pen("orange", "Orange", "#e08a1e"),
    ),
}
MOST_TIMES = 6.0
"""Factor on the time of ink and travel at full speed plus lifts, above which a job is unreasonably slow."""
LEAST_FEED = 6.0
"""Least feed of the exported file with the pen down, mm/min; ink bleeds from a slower pen."""
LONGEST_MOVE = 2.0
"""Longest time of an exported move with the pen down beyond ten times that at full speed, s."""
REPLAY = 0.03
"""Largest relative difference between replay and estimate."""
TURN_BACK = math.radians(175)
"""Turn above which a vertex is a reversal, rad."""
PARALLEL = 0.9
"""Cosine of the angle from which ink counts as along other ink rather than crossing it."""


MITRE = 2.0
"""Reach of a mitred corner beyond its line, in half widths, except for the sharpest."""

PROGRAMS = {2: "belts.ngc", 4: "plane.ngc"}
"""Exported program that is replayed, by number of pens."""
EVERY_LINE = 199
"""Interval of lines that are checked against the grammar."""


class WrongFile(AssertionError):
    """An exported file has wrong content."""


@functools.cache
def _space() -> FreeSpace:
    return FreeSpace.of_hangings(Document(), machine_with_reserve(Document().machine))


def placed(data: bytes, name: str, pens: tuple[Pen, ...], drawing: Drawing, size: float | None = None) -> Document:
    """Returns the default wall and machine with one artwork, its drawn part as large as fits, or its page with the
    longer side of a size, mm."""
    natural = (drawing.width, drawing.height)
    document = edits.replace(Document(), pens=pens)
    document, placement = edits.add_artwork(document, name, media_of(data, name), data, natural)
    if size is None:
        return as_large_as_fits(document, [placement.id], {placement.id: drawn_part(drawing)}, _space())
    scale = size / max(natural)
    return edits.set_placement(document, placement.id, width=scale * natural[0], height=scale * natural[1])


def drawn_part(drawing: Drawing) -> Box:
    """Returns the part of a drawing's page with non-white paint, hidden or not."""
    boxes = []
    for shape in (s for s in drawing.shapes if s.paint.colour != WHITE):
        reach = shape.width / 2 * (MITRE if shape.join == "miter" else 1)
        boxes += [(p.min(axis=0) - reach, p.max(axis=0) + reach) for p in shape.paths if len(p)]
    if not boxes:
        return WHOLE_PAGE
    low, high = np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)
    page = (drawing.width, drawing.height)
    return (*map(float, low / page), *map(float, high / page))


def whole_way(
    data: bytes,
    name: str,
    folder: Path,
    size: float | None = None,
    pens: tuple[int, ...] = tuple(PENS),
    light: bool = False,
) -> dict[str, Any]:
    """Returns figures of a drawing's plans by number of pens, or where and why it failed. Propagates MemoryError only.

    size: longer side on the wall, mm; default: as large as fits. light: for thousands of drawings: a short search for the
    order, and files of only one of the plans, chosen by the drawing's name.

    "failure": stage, kind ("refused": with a sentence for a person; "fault": any other exception), text, pens.
    """
    record: dict[str, Any] = {"plans": {}, "seconds": {}, "failure": None}
    stage = ["read"]
    try:
        start = time.perf_counter()
        drawing = read_artwork(data, media_of(data, name), name, 1.0)
        record["seconds"]["first reading"] = time.perf_counter() - start
        record["findings"] = [f"{f.severity.value}: {f.element}: {f.text}" for f in drawing.findings]
        runner = Runner()
        before: tuple[Document, Response] | None = None
        for count in pens:
            stage[:] = ["place", count]
            document = placed(data, name, PENS[count], drawing, size)
            if light:
                document = edits.set_field(document, "settings.order.effort", "quick")

            def progress(now: str, done: float, saving: object = None, count=count) -> None:
                stage[:] = [now, count]

            preview = runner.run(Request(0, document, Goal.PREVIEW), progress)
            _add(record["seconds"], preview.timings)
            if before is not None and _are_same(before, (document, preview)):
                # The same strokes with the same pens: checks the other program of the same job instead.
                document, answer = before
            else:
                is_written = not light or count == pens[zlib.crc32(name.encode()) % len(pens)]
                goal = Goal.EXPORT if is_written else Goal.PLAN
                request = Request(count, document, goal, folder=str(folder / f"{count}-pens"))
                answer = runner.run(request, progress)
                _add(record["seconds"], answer.timings)
            before = document, answer
            stage[:] = ["measure", count]
            start = time.perf_counter()
            record["plans"][str(count)] = figures(document, answer, (PROGRAMS[count],))
            _add(record["seconds"], {"measure": time.perf_counter() - start})
    except MemoryError:
        raise
    except UserError as trouble:
        record["failure"] = _failure(stage, "refused", str(trouble), "")
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        text = f"{type(error).__name__}: {error} ({Path(last.filename).name}:{last.lineno})"
        record["failure"] = _failure(stage, "fault", text, traceback.format_exc())
    return record


def _add(seconds: dict[str, float], more: dict[str, float]) -> None:
    for name, value in more.items():
        seconds[name] = seconds.get(name, 0.0) + value


def _are_same(one: tuple[Document, Response], other: tuple[Document, Response]) -> bool:
    """Whether two documents have the same strokes, each drawn with a pen of the same colour and width."""
    found = []
    for document, answer in (one, other):
        strokes = answer.preview.strokes
        kind = [(p.colour, p.width, p.speed) for p in document.pens]
        found.append((strokes, [kind[i] for i in strokes.pen]))
    (a, pens_a), (b, pens_b) = found
    return pens_a == pens_b and np.array_equal(a.points, b.points) and np.array_equal(a.offsets, b.offsets)


def _failure(stage: list, kind: str, text: str, trace: str) -> dict[str, Any]:
    return {"stage": stage[0], "pens": stage[1] if len(stage) > 1 else None, "kind": kind, "text": text, "trace": trace}


def figures(document: Document, answer: Response, programs: tuple[str, ...]) -> dict[str, Any]:
    """Returns figures of a plan. programs: the files to replay, if exported. Raises WrongFile."""
    plan, limits, lift = answer.plan, document.machine.limits, document.machine.lift
    estimate, strokes = plan.estimate, plan.strokes
    files = {Path(f).name: Path(f) for f in answer.files}
    ink = float(strokes.lengths().sum()) / 1000
    travel = sum(p.travel_m for p in estimate.per_pen)
    lifting = len(strokes) * (lift.raise_time + lift.lower_time)
    least = 1000 * ink / limits.draw_speed + 1000 * travel / limits.travel_speed + lifting
    found = {
        "strokes": len(strokes),
        "points": len(strokes.points),
        "ink m": ink,
        "estimate s": estimate.total_s,
        "times the least": estimate.total_s / max(least, 1e-9),
        "lifts per m": len(strokes) / max(ink, 1e-9),
        "double ink": double_ink(strokes, [p.width for p in document.pens]),
        "reversals per m": reversals(strokes) / max(ink, 1e-9),
        "files MB": sum(f.stat().st_size for f in files.values()) / 1e6,
    }
    numbers = [plan.motion.time, plan.motion.speed, plan.motion.belts, plan.motion.tension, plan.motion.swing]
    numbers.append(np.array([estimate.total_s, estimate.energy_wh, *estimate.mean_load, *estimate.work_j]))
    is_finite = all(np.isfinite(n).all() for n in numbers)
    found |= {"least feed": math.inf, "longest move s": 0.0}
    for name in [n for n in programs if n in files]:
        text = files[name].read_text()
        for line in text.splitlines()[::EVERY_LINE]:
            read_line(line)
        moves = moves_of(text)
        feed, late = slowest(moves, limits.draw_speed)
        found["least feed"] = min(found["least feed"], feed)
        found["longest move s"] = max(found["longest move s"], late)
        push, corner = expected_settings(text)
        # The pen is raised once before the first stop, where the job's time begins.
        seconds = replayed(moves, push, corner) - lift.raise_time
        found[f"replay {name}"] = seconds / max(estimate.total_s, 1e-9)
    found["absurd"] = [
        reason
        for reason, holds in (
            ("a number is not finite", not is_finite),
            (f"over {MOST_TIMES:g} times ink, travel and lifts", found["times the least"] > MOST_TIMES),
            (f"a feed under {LEAST_FEED:g} mm/min", found["least feed"] < LEAST_FEED),
            ("the pen stands in a move", found["longest move s"] > LONGEST_MOVE),
        )
        if holds
    ]
    return found


def slowest(moves: Moves, speed: float) -> tuple[float, float]:
    """Returns, for moves with the pen down, the least feed, mm/min, and the longest time beyond ten times that at a
    speed, mm/s. Raises WrongFile."""
    if not np.isfinite(moves.displacement).all() or not np.isfinite(moves.feed).all():
        raise WrongFile("a number of the program is not finite")
    if not moves.down.any():
        return math.inf, 0.0
    length, feed = np.hypot(*moves.displacement[moves.down].T), moves.feed[moves.down]
    late = length / np.maximum(feed, 1e-12) - 10 * length / speed
    return 60 * float(feed.min()), max(float(late.max()), 0.0)


def reversals(strokes: Strokes) -> int:
    """Returns the number of vertices at which a stroke turns back on itself."""
    legs = np.diff(strokes.points, axis=0)
    own = strokes.stroke_of_point
    real = (own[1:] == own[:-1]) & (np.hypot(*legs.T) > 1e-6)
    legs, of = legs[real], own[1:][real]
    turn = np.abs(np.angle(_complex(legs[1:]) * np.conj(_complex(legs[:-1]))))
    return int(np.count_nonzero((turn > TURN_BACK) & (of[1:] == of[:-1])))


def double_ink(strokes: Strokes, widths: list[float]) -> float:
    """Returns the share of the ink's length along earlier ink of the same pen, within half its width.

    Sampled every half width; crossings and smooth bends are not counted.
    """
    total = twice = 0.0
    for pen, width in enumerate(widths):
        mine = strokes.take(np.flatnonzero(strokes.pen == pen))
        step = width / 2
        if mine.lengths().sum() < step:
            continue
        points, heading, place, stroke = _sampled(mine, step)
        total += len(points) * step
        if len(points) < 2:
            continue
        pairs = cKDTree(points).query_pairs(0.999 * step, output_type="ndarray")
        early, late = pairs.min(axis=1), pairs.max(axis=1)
        cos = (heading[early] * heading[late]).sum(axis=1)
        near = (stroke[early] == stroke[late]) & (place[late] - place[early] < 3 * width)
        counts = (np.abs(cos) > PARALLEL) & ~(near & (cos > 0))
        twice += len(np.unique(late[counts])) * step
    return twice / total if total else 0.0


def _sampled(strokes: Strokes, step: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Returns points in the middle of pieces of length step along strokes: (m, 2) mm, (m, 2) directions, (m,) arc
    lengths, mm, and (m,) indices of the strokes."""
    own = strokes.stroke_of_point
    first = np.flatnonzero(own[1:] == own[:-1])
    legs = strokes.points[first + 1] - strokes.points[first]
    lengths = np.hypot(*legs.T)
    real = lengths > 0
    first, legs, lengths = first[real], legs[real], lengths[real]
    whole = strokes.lengths()
    begins = np.concatenate([[0.0], np.cumsum(whole)[:-1]])
    count = np.floor(whole / step + 0.5).astype(np.int64)
    number = np.repeat(np.arange(len(strokes)), count)
    place = step * (np.arange(len(number)) - np.repeat(np.cumsum(count) - count, count) + 0.5)
    place = np.minimum(place, whole[number])
    ends = np.cumsum(lengths)
    leg = np.clip(np.searchsorted(ends, begins[number] + place), 0, len(ends) - 1)
    unit = legs[leg] / lengths[leg, None]
    along = begins[number] + place - (ends[leg] - lengths[leg])
    return strokes.points[first[leg]] + unit * along[:, None], unit, place, number


def _complex(vectors: np.ndarray) -> np.ndarray:
    return vectors[:, 0] + 1j * vectors[:, 1]


def wrong(record: dict[str, Any]) -> list[str]:
    """Returns the problems in a record: unreasonable times, and a replay that differs from the estimate."""
    found = []
    for count, plan in record["plans"].items():
        found += [f"{count} pens: {reason}" for reason in plan["absurd"]]
        replays = {k: v for k, v in plan.items() if k.startswith("replay") and abs(v - 1) > REPLAY}
        found += [f"{count} pens: {k} takes {v:.3f} of the estimate" for k, v in replays.items()]
    return list(itertools.chain(found))
