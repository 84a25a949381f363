"""Cautions, by what can hurt, and the occasions at which each is shown: on the hanging sheet, in the window, in files."""

from __future__ import annotations

from enum import Enum

from wallwright.document.language import N_


class Risk(Enum):
    """What can hurt. The value is the caution, in English; whoever shows it translates it."""

    CABLES = N_(
        "Cables and pipes run inside walls, often straight up, down or sideways from sockets, switches and taps, and below "
        "ceilings. Check with a detector before you drill for an anchor."
    )
    FIXING = N_(
        "Each anchor must hold the pull that its check states. Find out what the wall is made of. Choose a fixing made for "
        "it, with the safety margin that its manufacturer asks for. If in doubt, have a qualified person fix it. Local "
        "building rules come first."
    )
    DRILLING = N_(
        "Drilling: wear eye protection and a dust mask. Old paint and plaster can contain lead or asbestos. A dust mask "
        "does not protect from asbestos. If you are not sure, do not drill."
    )
    MAINS = N_("Leave mains wiring and structural fixings to licensed people. Follow the local code.")
    LADDER = N_(
        "Ladder: stand it on firm, level ground. Face it, keep three points of contact and do not lean sideways. Have "
        "someone hold it."
    )
    FALLING = N_(
        "The body can fall. Keep people, animals and fragile things from under the machine. Use a safety line on a third "
        "fixing that holds the body by itself. Never tie it to an anchor or a belt."
    )
    HOLDING = N_(
        "Only energised motors hold the body. It sinks when the power fails. It also sinks when a driver switches its "
        "motors off, after an idle time or at the end of the job. Turn that idle time-out off, and take the body down "
        "before you switch off."
    )
    MOTOR_POWER = N_(
        "Never connect or disconnect a motor while the driver is powered. It can destroy the driver and let the body drop."
    )
    MOVING = N_(
        "Keep hands, hair, cords and loose clothes away from moving belts and pulleys. Change pens only while the machine "
        "is paused and its motors hold."
    )
    UNATTENDED = N_(
        "Do not leave the machine running alone. Keep its power switch within reach, away from below the body."
    )
    CABLE = N_("Give the cable strain relief at the body and at the wall. Let it hang free of belts and ladder.")
    INK = N_(
        "Try the ink on a hidden spot of this wall and wash it off before you draw. Air the room: solvents of markers are "
        "harmful to breathe."
    )
    OUTDOORS = N_(
        "Outdoors and in public: do not draw in wind or rain, light the area at night, and keep passers-by out with a "
        "barrier."
    )


class Occasion(Enum):
    """Where cautions are shown. The value is what can hurt there, most urgent first."""

    ANCHORS = (Risk.CABLES, Risk.FIXING, Risk.DRILLING, Risk.MAINS)
    """Anchors are chosen or moved."""
    LADDER = (Risk.LADDER, Risk.FALLING, Risk.MOTOR_POWER)
    """Somebody measures at the wall: calibration, register marks."""
    RUN = (Risk.FALLING, Risk.HOLDING, Risk.UNATTENDED, Risk.MOVING, Risk.MOTOR_POWER)
    """A job file leaves the program."""
    CONTINUE = (Risk.MOTOR_POWER, Risk.LADDER, Risk.FALLING, Risk.HOLDING)
    """An interrupted job is continued."""
    SHEET = tuple(Risk)
    """Everything, in the order in which it is met."""


_MOST_URGENT = {
    Occasion.ANCHORS: N_("Cables and pipes may run where you drill. Check with a detector."),
    Occasion.LADDER: N_("Stand safely on the ladder, never below the body: it can fall."),
    Occasion.RUN: N_("The body can fall. Keep people away from below it."),
    Occasion.CONTINUE: N_("Never connect or disconnect a motor under power, not even after a power cut."),
}


def most_urgent(occasion: Occasion) -> str:
    """What can hurt most there, in one line of English. Raises KeyError for the sheet, which has room for everything."""
    return _MOST_URGENT[occasion]
