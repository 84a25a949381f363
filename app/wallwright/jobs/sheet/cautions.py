"""Cautions shown wherever the risk arises: on the hanging sheet and in the window."""

from __future__ import annotations

from wallwright.document.language import N_

CAUTIONS = (
    N_(
        "Ladder: stand it on firm, level ground, face it, keep three points of contact, and do not reach out sideways. "
        "Have somebody hold it."
    ),
    N_(
        "The body can fall. Keep people, animals and breakable things from under the machine while it hangs, and tie it to "
        "a safety line if anyone may pass."
    ),
    N_(
        "Cables and pipes run inside walls, often straight up, down or sideways from sockets and taps. Look for them "
        "with a detector before you set an anchor."
    ),
    N_(
        "Each anchor must hold the pull stated on this sheet, with the margin that the maker of the fixing asks for in this "
        "kind of wall. If in doubt, have a qualified person fix it; local building rules come first."
    ),
    N_("Never connect or disconnect a motor while the driver has power: the driver is destroyed."),
    N_("Mains wiring and structural fixings are work for licensed people under the local code."),
    N_("Try the ink on a hidden spot of this wall and wash it off before you draw."),
    N_("Keep hands, hair and cords away from belts and pulleys while they move."),
)
"""Translated where they are shown."""
