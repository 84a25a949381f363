"""Instructions for transferring, starting and stopping a job's files."""

from __future__ import annotations

from collections.abc import Sequence

from wallwright.document.controller import Controller
from wallwright.document.language import N_, tr

TRANSFER = {
    "sender": N_(
        "Send {0} from a computer with a G-code sender: a program that sends RS-274 line by line and waits for each answer. "
        "Switch off the computer's sleep."
    ),
    "card": N_("Copy {0} to the controller's memory card, put the card in and choose the file there."),
    "network": N_("Upload {0} on the controller's own page and choose it there."),
}
TABLE = N_("Give {0} to the program that runs the machine from a timed table.")
START = N_("Start it when the machine hangs at its starting point.")
START_FROM_STOPS = N_(
    "Start it with the body on a table. It pauses first for you to wind the belts in to their stops, then to hang the body."
)
START_TABLE = N_(
    "Start it when the machine hangs at its starting point. The table has no pauses: change the pen where the pen's number "
    "in the table changes, and let your program wait there."
)
STOP_TABLE = N_(
    "To pause in between, let your program stay at one row. Once the motors were without power it no longer knows where the "
    "pen is: continue as the hanging sheet says under “If it stops”."
)
START_KNOWN = N_(
    "Move the machine to its starting point and start it there: the file trusts the position that the controller shows."
)
STOP = N_(
    "To pause in between, choose pause or feed hold: it resumes without loss. Cut the power only in an emergency: the "
    "controller then no longer knows where the pen is. Continue as the hanging sheet says under “If it stops”."
)


PAUSE = {
    "message": N_(
        "At each pause ({0}) do what the message says, then resume where you started it. If your sender shows no message, "
        "read it in the file: it is the line above {0} that begins with (MSG."
    ),
    "comment": N_(
        "At each pause ({0}) do what the file says, then resume where you started it. It says so in the line above {0}, "
        "which few senders show."
    ),
    "none": N_("At each pause ({0}) do what is due, then resume where you started it: the file has no messages."),
}
NEXT_PEN = N_("The pauses for pens come as the hanging sheet lists them under “Pens in order”.")
NEXT_PEN_OR_REFILL = N_(
    "The pauses for pens come as the hanging sheet lists them under “Pens in order”; those in between are for refilling the "
    "pen in use."
)


def how_to_run(controller: Controller, files: Sequence[str], has_refills: bool = False) -> tuple[str, str, str]:
    """Returns instructions to transfer, start and stop. files: names of the files that this controller runs, in order;
    has_refills: whether the job also pauses for refills."""
    names = files[0] if len(files) == 1 else tr("{0} to {1}, one after the other,", files[0], files[-1])
    if controller.pacing == "timed":
        return tr(TABLE, names), tr(START_TABLE), tr(STOP_TABLE)
    begin = {"stop": START_FROM_STOPS, "none": START_KNOWN, "preset": START}[controller.code.start]
    pause = tr(PAUSE[controller.code.shown_at_pauses], controller.code.pause)
    pens = tr(NEXT_PEN_OR_REFILL if has_refills else NEXT_PEN)
    return tr(TRANSFER[controller.code.transfer], names), f"{tr(begin)} {pause} {pens}", tr(STOP)
