"""The calibration test drawing as a separate document, which is planned and exported like any other."""

from __future__ import annotations

import numpy as np

from wallwright.document import edits
from wallwright.document.calibration import CalibratedNumber, MachineCalibration, Survey
from wallwright.document.document import Document, Fill
from wallwright.document.errors import BadValue
from wallwright.document.joining import Joining
from wallwright.document.language import tr
from wallwright.document.placing import placement_corners
from wallwright.jobs.drawing_layout import layout_of_document, page_area, scale_centre
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.figure_proposal import (
    Box,
    FigureProposal,
    fitting_box,
    moved_into,
    on_the_wall,
    propose_figure,
)
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.controller_kinematics import belts_to_controller, typed_distance
from wallwright.statics.pose import inverse_kinematics

ARM = 12.0
"""Arm length of a cross, mm."""
LETTER = 24.0
"""Height of a mark's letter, mm."""
CAPITAL = 0.72
"""Height of a capital letter over the font size: typical of sans-serif fonts."""
MARGIN = 60.0
LEAST_SIDE = 600.0
"""Smallest side of a test drawing around small artwork, mm, if the draw zone has room: crosses are then at least 200 mm
apart, and a reading error of half a millimetre matters less."""


def box_for(document: Document, hanging: int) -> Box:
    """Returns the best box for a test drawing: over the artwork, else around the starting point, as far as the zone
    extends."""
    place = document.hangings[hanging]
    corners = [placement_corners(p) for p in document.placements if p.visible]
    wanted = None
    if corners:
        every = np.concatenate(corners)
        left, top = map(float, every.min(axis=0))
        right, bottom = map(float, every.max(axis=0))
        if len(document.hangings) > 1:  # of artwork that several draw, the part between these anchors
            left, right = max(left, place.left.x), min(right, place.right.x)
        wanted = (left, top, right, bottom) if left < right else None
    if wanted is None:
        reach = 0.4 * place.distance
        x, y = place.start_point
        wanted = (x - reach, y - reach, x + reach, y + reach)
    page = page_room(document, hanging)
    if page is not None:
        wanted = moved_into(wanted, on_the_wall(page, place))
    found = fitting_box(document.machine, place, document.wall, wanted, page)
    return _grown(document, hanging, found, page)


def _grown(document: Document, hanging: int, box: Box, page: Box | None) -> Box:
    """Returns the box enlarged to sides of LEAST_SIDE about its centre, as far as the draw zone and the page have room."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    half = [max(high - low, LEAST_SIDE) / 2 for low, high in ((box[0], box[2]), (box[1], box[3]))]
    wanted = (x - half[0], y - half[1], x + half[0], y + half[1])
    place = document.hangings[hanging]
    if page is not None:
        wanted = moved_into(wanted, on_the_wall(page, place))
    larger = fitting_box(document.machine, place, document.wall, wanted, page)
    is_larger = larger[0] <= box[0] and larger[1] <= box[1] and larger[2] >= box[2] and larger[3] >= box[3]
    return larger if is_larger else box


def page_room(document: Document, hanging: int) -> Box | None:
    """Returns the area where marks have room for their letters on the page of a machine that takes drawings, mm in its
    plane; None: unlimited. Raises BadValue if its page is too small."""
    if document.machine.controller.takes != "drawing":
        return None
    area = page_area(document.machine, document.hangings[hanging], document.wall)
    if area is None:
        return None
    left, top, right, bottom = area
    if min(right - left, bottom - top) < 4 * MARGIN:
        raise BadValue(tr("The machine's page is too small for a test drawing. Correct what is said of the page"))
    return left + MARGIN, top + MARGIN, right - MARGIN, bottom - MARGIN


def proposal_for(document: Document, hanging: int, figure: str, box: Box | None = None) -> FigureProposal:
    """Returns a proposal for a calibration figure. Raises BadValue if there is no room."""
    box = box or box_for(document, hanging)
    return propose_figure(document.machine, document.hangings[hanging], document.wall, box, figure)


def proof_first(document: Document) -> str:
    """Returns advice to make a proof drawing before a test drawing on an unknown page; "" if not needed."""
    controller = document.machine.controller
    if controller.takes != "drawing" or controller.page.is_known:
        return ""
    return tr(
        "Nobody has tried yet what the machine's page does with a drawing. Draw the proof drawing first: otherwise "
        "the crosses may come out elsewhere, or in another size."
    )


def with_survey(document: Document, hanging: int, proposal: FigureProposal) -> Document:
    """Returns the document with the proposal's marks and readings."""
    measures = tuple(edits.replace(m, value=None) for m in proposal.measures)
    survey = Survey(proposal.figure, proposal.marks, measures)
    if document.machine.controller.takes == "drawing" and proposal.marks[0].plane is not None:
        survey = _on_the_page(document, hanging, survey)
    return edits.with_field(document, f"hangings.{hanging}.survey", survey)


def _on_the_page(document: Document, hanging: int, survey: Survey) -> Survey:
    """Returns the survey with the values typed for the drawing, and with the fixed point of the page's scale. Raises
    BadValue if the page has no room for the drawing."""
    machine, place = document.machine, document.hangings[hanging]
    reach = np.array([[-ARM, 0.0], [ARM, 0.0], [0.0, ARM], [ARM, -ARM / 2 - CAPITAL * LETTER]])
    points = (np.array([[m.x, m.y] for m in survey.marks])[:, None] + reach).reshape(-1, 2)
    belts = inverse_kinematics(CableRobotModel.of(machine, place), points).belts
    plane = belts_to_controller(machine, place, "plane", belts)
    layout = layout_of_document(document, hanging, plane[np.isfinite(plane).all(axis=1)])
    page = machine.controller.page
    typed, centre = typed_distance(machine, place), scale_centre(page, layout)
    return edits.replace(survey, typed_distance=typed, scale_centre=centre, page_scale=page.scale)


def figure_document(document: Document, hanging: int, proposal: FigureProposal) -> Document:
    """Returns a document with the same wall, machine and hanging, the marks as the only artwork, drawn with the first
    pen, and their readings. It has its own frame: the hanging is its first one."""
    place = with_survey(document, hanging, proposal).hangings[hanging]
    place = edits.replace(place, name=tr("{0}: test drawing", place.name))
    xs, ys = [m.x for m in proposal.marks], [m.y for m in proposal.marks]
    left, top = min(xs) - MARGIN, min(ys) - MARGIN
    width, height = max(xs) + MARGIN - left, max(ys) + MARGIN - top
    settings = edits.replace(document.settings, fill=Fill(kind="none"), outside="refuse", joining=Joining())
    empty = edits.replace(
        document,
        hangings=(place,),
        pens=document.pens[:1],
        artworks=(),
        placements=(),
        settings=settings,
        photo=None,
        purpose="test-drawing",
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
    """Returns crosses with their letters as SVG, in mm of the wall. view: left, top, width, height."""
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
    """Returns the document with the result of a fit and its readings. date: of the calibration, ISO 8601."""
    place = edits.replace(outcome.hanging, survey=survey)
    fit = place.calibration
    numbers = tuple(CalibratedNumber(f.parameter.name, f.value, f.uncertainty) for f in outcome.parameters)
    note = MachineCalibration(date, fit.readings if fit is not None else 0, numbers)
    machine = edits.replace(outcome.machine, calibration=note)
    return edits.with_field(edits.replace(document, machine=machine), f"hangings.{hanging}", place)
