"""The proof drawing as a separate document, and a document corrected by its readings."""

from __future__ import annotations

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Floats
from wallwright.document.document import Document, Fill
from wallwright.document.errors import BadValue
from wallwright.document.joining import Joining
from wallwright.document.language import tr
from wallwright.document.wall import Hanging
from wallwright.jobs.drawing_layout import layout_of_document, page_area
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.proof import ARTWORK, ProofFigure, ProofResult, proof_figure, read_proof
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.pose import inverse_kinematics

ARM = 10.0
"""Arm length of a cross, mm."""


def proof_lines(figure: ProofFigure) -> Floats:
    """Returns (5, 2, 2) mm, wall frame: the strokes of both crosses, and the line beside the first one."""
    arms = np.array([[[-ARM, 0.0], [ARM, 0.0]], [[0.0, -ARM], [0.0, ARM]]])
    crosses = [np.array(point) + arms for point in (figure.first, figure.second)]
    return np.concatenate([*crosses, np.array(figure.line)[None]])


def proof_figure_for(document: Document, hanging: int) -> ProofFigure:
    """Returns the proof drawing of a hanging. Raises BadValue if there is no room."""
    machine, place = document.machine, document.hangings[hanging]
    return proof_figure(machine, place, document.wall, page_area(machine, place, document.wall))


def proof_document(document: Document, hanging: int) -> Document:
    """Returns a document with the same wall, machine and hanging, and the proof drawing as the only artwork, drawn with
    the first pen. Raises BadValue for a machine that takes no drawings, and if there is no room."""
    place = _hanging(document, hanging)
    lines = proof_lines(proof_figure_for(document, hanging))
    low, high = lines.reshape(-1, 2).min(axis=0), lines.reshape(-1, 2).max(axis=0)
    width, height = map(float, high - low)
    colour = document.pens[0].colour
    paths = "".join(f'<path d="M{a[0]:.4f} {a[1]:.4f}L{b[0]:.4f} {b[1]:.4f}"/>' for a, b in lines - low)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="0 0 {width:.4f} {height:.4f}" fill="none" stroke="{colour}" stroke-width="0.3">{paths}</svg>'
    )
    # With ticks it comes out the same on both kinds of page; nothing else has to come before it.
    controller = document.machine.controller
    if not controller.page.is_known:
        controller = edits.replace(controller, page=edits.replace(controller.page, is_known=True, box="ink"))
    settings = edits.replace(document.settings, fill=Fill(kind="none"), outside="refuse", joining=Joining())
    name = tr("{0}: proof drawing", place.name)
    empty = edits.replace(
        document,
        hangings=(edits.replace(place, name=name),),
        machine=edits.replace(document.machine, controller=controller),
        pens=document.pens[:1],
        artworks=(),
        placements=(),
        settings=settings,
        photo=None,
    )
    middle = (float(low[0]) + width / 2, float(low[1]) + height / 2)
    found = edits.add_artwork(empty, ARTWORK, "image/svg+xml", svg.encode(), (width, height), middle, width)[0]
    return edits.shift_frame(found, place.left.x, place.left.y) if hanging else found


def proof_result(document: Document, hanging: int, tape: tuple[float, float, float, float]) -> ProofResult:
    """Evaluates four readings of the proof drawing, mm, as it is drawn with the present document. Raises BadValue."""
    place = _hanging(document, hanging)
    figure = proof_figure_for(document, hanging)
    rig = CableRobotModel.of(document.machine, place)
    belts = inverse_kinematics(rig, proof_lines(figure).reshape(-1, 2)).belts
    layout = layout_of_document(document, hanging, belts_to_controller(document.machine, place, "plane", belts))
    return read_proof(document.machine, place, figure, layout.box, tape)


def _hanging(document: Document, hanging: int) -> Hanging:
    if document.machine.controller.takes != "drawing":
        raise BadValue(tr("The proof drawing is for machines that take drawings; say so at the machine first"))
    return document.hangings[hanging]
