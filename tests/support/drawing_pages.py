"""Settings of the six kinds of page in tests/support/drawing_machine.py."""

from __future__ import annotations

import msgspec

from tests.support.drawing_machine import DrawingMachine
from tests.support.hanging_body import HangingBody
from tests.support.jobs import document_of
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.document import Pen
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.machine import Belt
from wallwright.jobs.what_to_type import FileToDraw, StartPosition, TypedNumber, WhatToType
from wallwright.statics.cable_robot import CableRobotModel

PAGES = {
    "typed": DrawingPage(),
    "centred": DrawingPage(placing="centred", asks=("distance", "top"), unit="px", decimals=3),
    "anchors": DrawingPage(placing="anchors", asks=("distance",), decimals=0),
    "wall": DrawingPage(placing="wall", asks=("distance", "left", "top"), unit="user"),
    "area": DrawingPage(
        placing="area",
        asks=("distance",),
        own_left=300.0,
        own_top=150.0,
        own_width=1400.0,
        own_height=1400.0,
        axes="right-up",
    ),
    "ink": DrawingPage(box="ink", asks=("distance", "left", "top")),
}
"""Page settings by kind."""
SHAPES = {"centred": {"unit": "px"}, "wall": {"unit": "user"}, "area": {"is_up": True}}
THREE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100" fill="none" '
    b'stroke-width="0.1"><path d="M50 50L10 10" stroke="#202020"/><path d="M50 50L90 20" stroke="#c02020"/>'
    b'<path d="M50 50L40 95" stroke="#2020c0"/></svg>'
)
PENS = (
    Pen("k", "Black", "#202020", 1.0),
    Pen("r", "Red ärgerlich!", "#c02020", 1.0),
    Pen("b", "Blue", "#2020c0", 1.0),
)


WHAT = WhatToType(
    True,
    (TypedNumber("distance", 2000.0), TypedNumber("left", 481.0)),
    "anchor",
    "corner",
    False,
    ("fill",),
    (),
    (FileToDraw("1-black.svg", "Black", "#202020", 1, 1, 4, 3.2, 120.0, 30.0),),
    "",
    "",
    StartPosition("own", 1000.0, 800.0, 1280.6, 1280.6, 1000.0, 722.0),
    (481.0, 204.0, 1519.0, 1358.0),
    (500.0, 400.0, 1500.0, 1400.0),
    (),
    (2000.0, 0.0),
)
"""Instructions for one pen's square."""


def taking(page: DrawingPage, **more) -> Controller:
    return Controller(takes="drawing", pacing="constant", page=page, **more)


def three_pens(page: DrawingPage):
    document = document_of(THREE, belt=Belt(mass=0.0), controller=taking(page))
    return edits.replace(document, pens=PENS)


def machine_of(document, kind: str, **more) -> DrawingMachine:
    machine = document.machine
    rig = CableRobotModel.of(machine, document.hangings[0])
    body = HangingBody(rig.anchors, rig.exits, rig.centre, machine.body.mass, rig.stiffness)
    return DrawingMachine(kind, body, machine.steps_per_mm, **SHAPES.get(kind, {}), **more)


def typing_in(report: dict) -> WhatToType:
    return msgspec.convert(report["what_to_type"], WhatToType)


def typed_of(what: WhatToType) -> dict[str, float]:
    return {number.ask: number.value for number in what.typed}
