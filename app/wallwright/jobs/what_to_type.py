"""Instructions for a machine that takes drawings: numbers to type, files in order, start position of the pen.

Sheet, report, commands and window all show this structure. Lengths in mm; positions right of and below the hanging's left
anchor.
"""

from __future__ import annotations

import math
from typing import Literal

import msgspec
import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.drawing_page import Alteration, Ask
from wallwright.document.language import MINUS, N_, duration, format_number, tr
from wallwright.jobs.drawing_layout import start_in_plane
from wallwright.jobs.drawing_set import EVERY_PEN, MARKS, DrawingFile, DrawingSet
from wallwright.jobs.file_names import ALL_PENS, REGISTER
from wallwright.jobs.job import Job
from wallwright.statics.calibration.proof import ARTWORK as PROOF_ARTWORK
from wallwright.statics.calibration.proof import STAY
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics

Place = tuple[float, float]


class TypedNumber(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A number that the page asks for."""

    ask: Ask
    value: float


class FileToDraw(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A file to draw."""

    file: str
    pen: str
    colour: str
    part: int
    parts: int
    strokes: int
    ink_m: float
    total_s: float
    speed_mm_s: float
    """Speed to set before this file."""


class StartPosition(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Position of the pen before each file."""

    by: Literal["own", "hand"]
    """own: the machine goes there itself; hand: the person puts it there."""
    right: float
    down: float
    from_left: float
    from_right: float
    """Tape distances from the middle of each anchor."""
    machine_right: float
    machine_down: float
    """Position assumed by the machine."""


class WhatToType(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All instructions for one hanging."""

    is_known: bool
    """False: the proof drawing comes first."""
    typed: tuple[TypedNumber, ...]
    """Numbers to type, the same for every file, in the page's order."""
    origin: Literal["anchor", "middle", "start", "wall"]
    point: Literal["corner", "middle"]
    is_wall: bool
    """Whether left and top are the position of the left anchor on the page."""
    switch_off: tuple[Alteration, ...]
    always: tuple[Alteration, ...]
    files: tuple[FileToDraw, ...]
    all_pens: str
    """Name of the file with all pens; "" when there is none."""
    register: str
    """Name of the file drawn first to align the hanging by register marks; "" when there are none."""
    start: StartPosition
    page: tuple[float, float, float, float]
    """Left, top, right, bottom of what the machine places, as shown on its page."""
    drawing: tuple[float, float, float, float]
    """Left, top, right, bottom of the drawing on the wall."""
    strips: tuple[Place, ...]
    """Positions of the four ticks, which can be drawn on strips of paper."""
    right_anchor: Place
    is_proof: bool = False
    """Whether this is the proof drawing, which tests the page's behaviour."""


def what_to_type(job: Job) -> WhatToType | None:
    """Returns the instructions of a job for a machine that takes drawings; None for others."""
    drawing, controller = job.drawing, job.document.machine.controller
    if drawing is None:
        return None
    page, layout, left = controller.page, drawing.layout, job.hanging.left
    low, high = job.strokes.points.min(axis=0), job.strokes.points.max(axis=0)
    ticks = _on_the_wall(job, layout.ticks.mean(axis=1)) if len(layout.ticks) else np.zeros((0, 2))
    lx, ly, rx, ry = layout.box
    return WhatToType(
        page.is_known,
        tuple(TypedNumber(ask, _round(value, 4)) for ask, value in layout.typed.items()),
        page.origin,
        page.point,
        page.placing == "wall",
        page.switch_off,
        page.always,
        tuple(_file(job, drawing, file) for file in drawing.files if file.block >= 0),
        job.file(ALL_PENS) if any(file.block == EVERY_PEN for file in drawing.files) else "",
        job.file(REGISTER) if any(file.block == MARKS for file in drawing.files) else "",
        _start(job),
        (_round(lx), _round(ly), _round(rx), _round(ry)),
        (_round(low[0] - left.x), _round(low[1] - left.y), _round(high[0] - left.x), _round(high[1] - left.y)),
        tuple((_round(x - left.x), _round(y - left.y)) for x, y in ticks.tolist()),
        (_round(job.hanging.right.x - left.x), _round(job.hanging.right.y - left.y)),
        [artwork.name for artwork in job.document.artworks] == [PROOF_ARTWORK],
    )


def _round(value: float, places: int = 1) -> float:
    return round(float(value), places) + 0.0


def _on_the_wall(job: Job, plane: Floats) -> Floats:
    """Returns (n, 2) where the machine draws points (n, 2) of its plane, mm in the wall frame; nan where it cannot."""
    belts = controller_to_belts(job.document.machine, job.hanging, "plane", plane)
    return forward_kinematics(job.rig, belts).pen


def _file(job: Job, drawing: DrawingSet, file: DrawingFile) -> FileToDraw:
    pen = job.document.pens[file.pen]
    part = next(p for p in job.estimate.per_pen if p.pen == file.pen)
    a, b = drawing.offsets[file.first], drawing.offsets[file.last]
    step = np.hypot(*np.diff(drawing.points[a:b], axis=0).T)
    step[drawing.offsets[file.first + 1 : file.last] - a - 1] = 0.0  # from one line to the next
    metres = float(step.sum()) / drawing.layout.per_mm / 1000
    seconds = part.drawing_s + part.travel_s + part.lifting_s
    limit = job.document.machine.limits.draw_speed
    return FileToDraw(
        file.name,
        pen.name,
        pen.colour,
        file.part,
        file.parts,
        file.last - file.first,
        _round(metres, 3),
        _round(seconds * min(metres / max(part.ink_m, 1e-9), 1.0)),
        min(limit, pen.speed or limit),
    )


def _start(job: Job) -> StartPosition:
    believed = start_in_plane(job.document.machine, job.hanging)
    pen = _on_the_wall(job, believed[None])[0]
    left, right = job.hanging.left, job.hanging.right
    return StartPosition(
        job.document.machine.controller.page.start,
        _round(pen[0] - left.x),
        _round(pen[1] - left.y),
        _round(np.hypot(pen[0] - left.x, pen[1] - left.y)),
        _round(np.hypot(pen[0] - right.x, pen[1] - right.y)),
        _round(believed[0]),
        _round(believed[1]),
    )


ORIGINS = {
    "anchor": N_("the left anchor"),
    "middle": N_("the point halfway between the anchors"),
    "start": N_("the machine's start"),
    "wall": N_("the wall's top left corner"),
}
OFF = {
    "fill": N_("filling of closed shapes"),
    "close": N_("closing of open paths"),
    "sort": N_("sorting of paths"),
    "simplify": N_("simplifying of paths"),
}
"""Names of the alterations of paths."""


def label(number: TypedNumber, what: WhatToType) -> str:
    """Returns a number's label."""
    if what.is_wall and number.ask in ("left", "top"):
        return {
            "left": tr("Left anchor, right of the page's left edge"),
            "top": tr("Left anchor, below the page's top edge"),
        }[number.ask]
    edge = what.point == "corner"
    origin = tr(ORIGINS[what.origin])
    return {
        "distance": tr("Distance between the anchors"),
        "width": tr("Width of the drawing"),
        "height": tr("Height of the drawing"),
        "left": tr("Drawing's left edge, right of {0}", origin)
        if edge
        else tr("Drawing's middle, right of {0}", origin),
        "top": tr("Drawing's top edge, below {0}", origin) if edge else tr("Drawing's middle, below {0}", origin),
        "scale": tr("Scale"),
    }[number.ask]


def value_text(number: TypedNumber) -> str:
    """Returns a number as typed."""
    if number.ask == "scale":
        return tr("{0} (that is {1} %)", format_number(number.value), format_number(100 * number.value))
    return f"{format_number(number.value).replace(MINUS, '-')} mm"  # machines' pages expect a hyphen


def typed_lines(what: WhatToType) -> list[tuple[str, str]]:
    """Returns label and value of each number to type."""
    return [(label(number, what), value_text(number)) for number in what.typed]


MEASURE_PROOF = N_(
    "When it is drawn, measure four distances by tape, in mm. First cross, the one beside the line: from the left anchor "
    "________, from the right anchor ________. Second cross: from the left anchor ________, from the right anchor ________. "
    "Enter them under “Job › Proof drawing”."
)


def file_lines(what: WhatToType) -> list[tuple[str, str, str, str]]:
    """Returns name, pen, speed and time of each file, in drawing order."""
    return [
        (
            f.file,
            f.pen if f.parts == 1 else tr("{0}, part {1} of {2}", f.pen, f.part, f.parts),
            f"{format_number(f.speed_mm_s)} mm/s",
            duration(f.total_s),
        )
        for f in what.files
    ]


def remarks(what: WhatToType) -> list[str]:
    """Returns further instructions in order, one or two sentences each."""
    found = []
    if not what.is_known:
        found.append(
            tr(
                "Nobody has tried yet what this page does with a drawing. Draw the proof drawing first and enter its four "
                "tape readings."
            )
        )
    apart = math.hypot(*what.right_anchor)
    typed = next((number.value for number in what.typed if number.ask == "distance"), apart)
    if abs(typed - apart) > 1.0:
        found.append(
            tr(
                "Type {0} mm as the distance although the anchors are {1} mm apart: the machine was calibrated with this "
                "number, and the files are made for it.",
                format_number(typed),
                format_number(apart, ".1f"),
            )
        )
    found.append(start_sentence(what.start))
    if not what.typed:
        found.append(tr("The machine's page asks no numbers; choose the file only."))
    if what.switch_off:
        found.append(tr("On its page, switch off: {0}.", ", ".join(tr(OFF[a]) for a in what.switch_off)))
    if what.always:
        found.append(
            tr("Its page cannot leave out: {0}. Look at the first strokes.", ", ".join(tr(OFF[a]) for a in what.always))
        )
    if what.is_proof:
        return [*found, tr(STAY), tr(MEASURE_PROOF)]
    if what.strips:
        places = "; ".join(f"{format_number(x, '.0f')}, {format_number(y, '.0f')}" for x, y in what.strips)
        found.append(
            tr(
                "Every file draws four ticks of 5 mm outside the artwork, so that all colours meet. Stick a strip of paper "
                "where they come and take it off at the end: {0} mm (right of and below the left anchor).",
                places,
            )
        )
    if what.register:
        found.append(
            tr(
                "Draw {0} first, with the same numbers: a small diagonal cross beside each upright one of the hanging "
                "before. Enter how far they are apart and export again.",
                what.register,
            )
        )
    if len(what.files) > 1:
        found.append(
            tr(
                "Type the same numbers for every file: all files have the same page. Change the pen between two files and "
                "leave belts and anchors as they are."
            )
        )
    if what.all_pens:
        found.append(tr("{0} holds all pens in one file; draw it or the single files, not both.", what.all_pens))
    left, top, right, bottom = (format_number(v, ".0f") for v in what.page)
    found.append(
        tr(
            "On its page the drawing then reaches from {0} to {1} mm right of the left anchor and from {2} to {3} mm below "
            "it. It looks bent there; on the wall it comes out straight.",
            left,
            right,
            top,
            bottom,
        )
    )
    left, top, right, bottom = (format_number(v, ".0f") for v in what.drawing)
    found.append(
        tr(
            "On the wall it sits from {0} to {1} mm right of the left anchor and from {2} to {3} mm below it.",
            left,
            right,
            top,
            bottom,
        )
    )
    return found


def start_sentence(start: StartPosition) -> str:
    """Returns a sentence on the pen's position before a file is drawn."""
    place = tr(
        "{0} mm right of and {1} mm below the left anchor ({2} mm by tape from the left anchor, {3} mm from the right one)",
        format_number(start.right),
        format_number(start.down),
        format_number(start.from_left),
        format_number(start.from_right),
    )
    if start.by == "hand":
        return tr("Put the pen at its start before each file: {0}.", place)
    return tr(
        "After the machine's own start, before each file, the pen must stand {0}. If it is more than 2 mm off, let "
        "the machine find its stop again.",
        place,
    )


def as_text(what: WhatToType) -> str:
    """Returns all instructions as plain text."""
    lines = [tr("What to type"), *(f"  {name}: {value}" for name, value in typed_lines(what))]
    lines.append(tr("Files in order"))
    lines += [f"  {number}. " + ", ".join(row) for number, row in enumerate(file_lines(what), start=1)]
    return "\n".join([*lines, *(f"- {remark}" for remark in remarks(what))])
