"""Rules for the drawing order."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity

Effort = Literal["quick", "balanced", "best"]
FillTurn = Literal["any", "after", "before"]
FillLines = Literal["either", "one-way"]
Together = Literal["none", "shape", "artwork"]


class Ordering(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Rules for the order of strokes of each pen, and the effort of the search."""

    effort: Effort = "balanced"
    fills: FillTurn = "any"
    """Fills are drawn whenever it is quickest, after the outlines, or before them."""
    fill_lines: FillLines = "either"
    """Whether straight fill lines are drawn in either direction or all in one; in one direction, friction displaces all of
    them alike, and their spacing stays even."""
    together: Together = "none"
    """What is finished before moving on."""
    band: Annotated[
        float,
        quantity(
            "mm",
            0,
            10_000,
            "Bands from the top",
            "Draws in bands of this height from top to bottom, so that wet ink is left behind above. 0: no bands.",
            "Most inks dry before the pen comes back.",
            zero=N_("none"),
            least=1,
        ),
    ] = 0.0
    tries: Annotated[
        int,
        quantity(
            "",
            0,
            1_000_000_000,
            "Most changes tried",
            "Most changes the search tries; 0: no limit. Ending the search early fills in the number reached.",
            "The search runs to its end.",
            zero=N_("no limit"),
        ),
    ] = 0
