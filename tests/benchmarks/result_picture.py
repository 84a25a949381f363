"""The demo's artwork beside the drawing of its exported file, for the README.

    python tests/benchmarks/result_picture.py FILE.png

The belts of the exported program move the body in MuJoCo, which shares no code with the program; the line is as wide as the
pen. The artwork is rendered by resvg.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from PIL import Image

from tests.benchmarks.drawing_pictures import ink_picture, resvg_picture
from tests.support.hanging_body import HangingBody
from tests.support.ngc import on_the_way, read_program
from wallwright.document.document import Document
from wallwright.document.placing import placement_box
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Plan, Request
from wallwright.planning.runner import Runner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

STEP = 20.0
"""Belt length between two points at which equilibrium is computed, mm."""
SIZE = 640
"""Width of each picture, pixels."""
MARGIN = 24


def main() -> None:
    document = demo_document()
    with tempfile.TemporaryDirectory() as folder:
        plan = Runner().run(Request(1, document, Goal.EXPORT, folder=folder)).require_plan()
        lines = drawn_lines((Path(folder) / "belts.ngc").read_text(), document, plan)
    drawn = ink_picture(lines, document)
    left, top, right, bottom = placement_box(document.placements[0])
    artwork = resvg_picture(document.artworks[0].data, (bottom - top) / (right - left))
    pictures = [Image.fromarray(p) for p in (artwork, drawn)]
    height = round(SIZE * pictures[0].height / pictures[0].width)
    sheet = Image.new("RGB", (2 * SIZE + 3 * MARGIN, height + 2 * MARGIN), "white")
    for i, picture in enumerate(pictures):
        sheet.paste(picture.resize((SIZE, height), Image.Resampling.LANCZOS), (MARGIN + i * (SIZE + MARGIN), MARGIN))
    sheet.quantize(128).save(sys.argv[1], optimize=True)


def drawn_lines(text: str, document: Document, plan: Plan) -> Strokes:
    """Returns the strokes drawn on the wall by the belts of a program."""
    machine, hanging = document.machine, document.hangings[0]
    rig = CableRobotModel.of(machine, hanging)
    body = HangingBody(rig.anchors, rig.exits, rig.centre, machine.body.mass, rig.stiffness)
    pen, tilt = np.array(hanging.start_point), 0.0
    lines: list[list[np.ndarray]] = [[]]
    before = (0.0, 0.0, False)
    for left, right, is_down in on_the_way(read_program(text), STEP):
        if (left, right, is_down) == before:
            continue  # moves share their end points
        before = left, right, is_down
        # From a little below, where both belts are stretched.
        pen, tilt, _ = body.settle((left, right), pen + [0.0, 1.5 * STEP], tilt)
        if is_down:
            lines[-1].append(pen)
        elif lines[-1]:
            lines.append([])
    drawn = [np.array(line) for line in lines if len(line) > 1]
    pens = [plan.strokes.pen[k] for k in plan.motion.stroke[np.flatnonzero(plan.motion.down)]]
    assert len(drawn) == len(pens), "each stroke is drawn once"
    return Strokes.pack(drawn, np.array(pens))


if __name__ == "__main__":
    main()
