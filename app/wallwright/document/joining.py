"""How the parts drawn by neighbouring hangings are joined."""

from __future__ import annotations

from typing import Annotated

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity


class Joining(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where strokes are cut between neighbouring hangings, and how the parts are joined."""

    reach: Annotated[
        float,
        quantity(
            "mm",
            0,
            5000,
            "Allowed overlap across the line",
            "A stroke that crosses the handover line by no more "
            "than this is not cut, if one hanging can draw all of "
            "it.",
            "Most letters and figures stay in one piece.",
        ),
    ] = 150.0
    stagger: Annotated[
        float,
        quantity(
            "mm",
            0,
            2000,
            "Stagger",
            "Cuts are spread up to this far on both sides of the handover line, so that no seam shows.",
            "Wide enough that no line shows in a fill.",
        ),
    ] = 40.0
    marks: Annotated[
        int,
        quantity(
            "",
            0,
            9,
            "Register marks",
            "Marks that a hanging draws for each later neighbour to be lined up by. 0: none.",
            "Two show how a hanging sits; six make parts meet within a millimetre and reveal a wrong reading.",
        ),
    ] = 6
    arm: Annotated[
        float,
        quantity(
            "mm",
            3,
            200,
            "Size of the marks",
            "From the centre of the mark to its end.",
            "Large enough to read half a millimetre.",
        ),
    ] = 12.0
    pen: str = ""
    """Id of the pen that draws the register marks; "": the first pen."""
    overlap: Annotated[
        float,
        quantity(
            "mm",
            0,
            100,
            "Overlap at cuts",
            "Length that both hangings draw where a stroke is cut. 0: one line width of the pen.",
            "Hides the remaining error between two hangings.",
            zero=N_("line width"),
            least=0.05,
        ),
    ] = 0.0
