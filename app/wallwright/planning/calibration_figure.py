"""The test drawing as a document of its own, which is planned and exported like any other."""

from __future__ import annotations

import numpy as np

from wallwright.document import edits
from wallwright.document.calibration import CalibratedNumber, MachineCalibration, Survey
from wallwright.document.document import Document, Fill
from wallwright.document.joining import Joining
from wallwright.document.language import tr
from wallwright.document.placing import placement_corners
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.calibration.test_figures import Box, FigureProposal, fitting_box, propose_figure
from wallwright.statics.controller_kinematics import typed_distance

ARM = 12.0
"""mm: half a cross."""
LETTER = 24.0
"""mm: height of a mark's letter."""
MARGIN = 60.0


def box_for(document: Document, hanging: int) -> Box:
    """Where a test drawing is best: over the artwork, else about the starting point, as far as the zone goes."""
    place = document.hangings[hanging]
    corners = [placement_corners(p) for p in document.placements if p.visible]
    wanted = None
    if corners:
        every = np.concatenate(corners)
        left, top = map(float, every.min(axis=0))
        right, bottom = map(float, every.max(axis=0))
        if len(document.hangings) > 1:  # of artwork that several draw, what is between these anchors
            left, right = max(left, place.left.x), min(right, place.right.x)
        wanted = (left, top, right, bottom) if left < right else None
    if wanted is None:
        reach = 0.4 * place.distance
        x, y = place.datum
        wanted = (x - reach, y - reach, x + reach, y + reach)
    return fitting_box(document.machine, place, document.wall, wanted)


def proposal_for(document: Document, hanging: int, figure: str, box: Box | None = None) -> FigureProposal:
    """Raises BadValue when there is no room."""
    box = box or box_for(document, hanging)
    return propose_figure(document.machine, document.hangings[hanging], document.wall, box, figure)


def with_survey(document: Document, hanging: int, proposal: FigureProposal) -> Document:
    """The document with the proposal's marks and what is to be read between them."""
    measures = tuple(edits.replace(m, value=None) for m in proposal.measures)
    is_typed = document.machine.controller.takes == "drawing"
    distance = typed_distance(document.machine, document.hangings[hanging]) if is_typed else 0.0
    survey = Survey(proposal.figure, proposal.marks, measures, distance)
    return edits.with_field(document, f"hangings.{hanging}.survey", survey)


def figure_document(document: Document, hanging: int, proposal: FigureProposal) -> Document:
    """Wall, machine and hanging as they are, with the marks as the only artwork, drawn with the first pen. Its frame is its
    own: the hanging is the first one there."""
    place = edits.replace(document.hangings[hanging], name=tr("{0}: test drawing", document.hangings[hanging].name))
    xs, ys = [m.x for m in proposal.marks], [m.y for m in proposal.marks]
    left, top = min(xs) - MARGIN, min(ys) - MARGIN
    width, height = max(xs) + MARGIN - left, max(ys) + MARGIN - top
    settings = edits.replace(document.settings, fill=Fill(kind="none"), outside="refuse", joining=Joining())
    empty = edits.replace(
        document, hangings=(place,), pens=document.pens[:1], artworks=(), placements=(), settings=settings, photo=None
    )
    svg = marks_svg(proposal, (left, top, width, height), document.pens[0].colour)
    figure = edits.add_artwork(
        empty,
        "test drawing.svg",
        "image/svg+xml",
        svg,
        (width, height),
        (left + width / 2, top + height / 2),
        width,
    )[0]
    return edits.shift_frame(figure, place.left.x, place.left.y) if hanging else figure


def marks_svg(proposal: FigureProposal, view: tuple[float, float, float, float], colour: str) -> bytes:
    """Crosses with their letters, in mm of the wall. view: left, top, width, height."""
    left, top, width, height = view
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" '
        f'viewBox="{left:.3f} {top:.3f} {width:.3f} {height:.3f}" fill="none" stroke="{colour}" stroke-width="0.3">'
    ]
    for mark in proposal.marks:
        x, y = mark.x, mark.y
        parts.append(f'<path d="M{x - ARM:.4f} {y:.4f}H{x + ARM:.4f}M{x:.4f} {y - ARM:.4f}V{y + ARM:.4f}"/>')
        parts.append(
            f'<text x="{x + ARM:.3f}" y="{y - ARM / 2:.3f}" font-family="sans-serif" font-size="{LETTER:.0f}">'
            f"{mark.name}</text>"
        )
    parts.append("</svg>")
    return "".join(parts).encode()


def learnt_document(
    document: Document, hanging: int, survey: Survey, outcome: CalibrationResult, date: str = ""
) -> Document:
    """The document with what a fit found, and the readings it came from. date: of the calibration, ISO 8601."""
    place = edits.replace(outcome.hanging, survey=survey)
    learnt = place.learnt
    numbers = tuple(CalibratedNumber(f.parameter.name, f.value, f.uncertainty) for f in outcome.parameters)
    note = MachineCalibration(date, learnt.readings if learnt is not None else 0, numbers)
    machine = edits.replace(outcome.machine, calibration=note)
    return edits.with_field(edits.replace(document, machine=machine), f"hangings.{hanging}", place)
