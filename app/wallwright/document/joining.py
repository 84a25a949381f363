"""How the parts of a drawing that several hangings draw meet."""

from __future__ import annotations

from typing import Annotated

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity


class Joining(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where strokes are cut between neighbouring hangings, and how the parts are made to meet."""

    reach: Annotated[
        float,
        quantity("mm", 0, 5000, "Reach over the line", "A stroke that crosses the meeting line by no more than this, and "
                 "that one hanging can draw whole, is not cut.", "Most letters and figures stay in one piece."),
    ] = 150.0  # fmt: skip
    stagger: Annotated[
        float,
        quantity("mm", 0, 2000, "Stagger", "Cuts lie up to this far on either side of the meeting line, so that they make "
                 "no seam.", "Wide enough that the eye finds no line in a fill."),
    ] = 40.0  # fmt: skip
    marks: Annotated[
        int,
        quantity("", 0, 4, "Register marks", "Crosses that a hanging draws for each later neighbour, by which that one is "
                 "lined up. 0: none.", "Two tell how a hanging sits; the third tells whether a reading is wrong."),
    ] = 3  # fmt: skip
    arm: Annotated[
        float,
        quantity("mm", 3, 200, "Size of the marks", "From the middle of the cross to its end.", "Large enough to read "
                 "half a millimetre by."),
    ] = 12.0  # fmt: skip
    pen: str = ""
    """Id of the pen that draws the marks; "": the first one."""
    overlap: Annotated[
        float,
        quantity("mm", 0, 100, "Overlap of cut ends", "Length that both hangings draw where a stroke is cut. 0: as long "
                 "as the pen's line is wide.", "Hides what is left of the error between two hangings.",
                 zero=N_("line width"), least=0.05),
    ] = 0.0  # fmt: skip
