"""The pen lift, and the controller with the geometry it assumes."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.code_settings import CodeSettings
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.language import N_
from wallwright.document.quantity import quantity
from wallwright.document.table_settings import TableSettings


class Lift(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The pen lift. Height and spindle words are those of RS-274."""

    kind: Literal["axis", "spindle", "servo", "dwell"] = "axis"
    """axis: the lift's axis moves the pen; spindle: M3 with a speed word lowers it, M5 lifts it; servo: M3 with one speed
    word lowers it and with another lifts it; dwell: a wait of one length lowers it and of another lifts it."""
    up: Annotated[
        float,
        quantity(
            "", -1000, 20_000, "Pen up", "Pen up: height in mm, spindle value S, or P of the wait that raises it."
        ),
    ] = 5.0
    down: Annotated[
        float,
        quantity("", -1000, 20_000, "Pen down", "Pen on the wall: height in mm, spindle value S, or P of the wait."),
    ] = 0.0
    raise_time: Annotated[
        float,
        quantity("s", 0, 10, "Raise time", "Time until the pen is off the wall.", "Typical of a small servo."),
    ] = 0.25
    lower_time: Annotated[
        float,
        quantity("s", 0, 10, "Lower time", "Time until the pen is on the wall.", "Typical of a small servo."),
    ] = 0.35
    change_time: Annotated[
        float,
        quantity(
            "s",
            0,
            3600,
            "Pen change time",
            "Time until someone notices the pause, swaps the pen and continues.",
            "About a minute when someone is near.",
        ),
    ] = 60.0


Takes = Literal["belts", "plane", "drawing"]
"""belts: belt lengths in mm; plane: x, y in mm, turned into belt lengths by its own simple formula; drawing: an SVG file on
the machine's own page, drawn with such a formula."""


class Controller(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The motor controller, and the geometry it assumes."""

    takes: Takes = "belts"
    pacing: Literal["accelerating", "constant", "timed"] = "accelerating"
    """accelerating: plans acceleration from the feed; constant: runs at one speed; timed: follows a time table."""
    curves: Literal["lines", "arcs"] = "lines"
    """lines: curves in corrected coordinates become short lines, which every controller takes; arcs: G2 and G3 too, for
    controllers whose documentation names them."""
    assumed_distance: Annotated[
        float,
        quantity(
            "mm",
            0,
            100_000,
            "Anchor distance in the controller",
            "Anchor distance set in the controller. 0: the measured distance.",
            "Usual setting.",
            zero=N_("as measured"),
            least=50,
        ),
    ] = 0.0
    assumed_spacing: Annotated[
        float,
        quantity(
            "mm",
            0,
            2000,
            "Exit distance in the controller",
            "Distance between the belt exits set in the controller.",
            "The simplest formula treats the body as a point.",
        ),
    ] = 0.0
    assumed_rise: Annotated[
        float,
        quantity(
            "mm",
            -1000,
            1000,
            "Exit height in the controller",
            "Height of the belt exits above the pen set in the controller.",
        ),
    ] = 0.0
    assumed_steps: Annotated[
        float,
        quantity(
            "1/mm",
            0,
            10_000,
            "Steps per mm in the controller",
            "Microsteps per mm set in the controller. 0: the correct value.",
            "Pulley and belt of the default machine give 80.",
            zero=N_("as computed"),
            least=0.1,
        ),
    ] = 0.0
    code: CodeSettings = CodeSettings()
    """Used when the controller runs RS-274."""
    table: TableSettings = TableSettings()
    """Used for tables for custom firmware."""
    page: DrawingPage = DrawingPage()
    """Used when the machine takes a drawing."""

    @property
    def takes_plane(self) -> bool:
        """Whether the controller's own formula turns positions on the wall into belt lengths."""
        return self.takes != "belts"

    @property
    def has_one_speed(self) -> bool:
        """Whether everything is drawn at one speed; a drawing file contains no speeds."""
        return self.takes == "drawing" and self.pacing == "constant"

    def taking(self, takes: Takes) -> Controller:
        """Returns the controller with another kind of input. With drawings it runs at one speed: these contain no speeds."""
        pacing = "constant" if takes == "drawing" else self.pacing
        return msgspec.structs.replace(self, takes=takes, pacing=pacing)
