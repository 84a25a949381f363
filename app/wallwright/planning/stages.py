"""The stages of planning in a person's words: what the window and the commands show while they wait."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wallwright.document.language import duration, marked, tr

if TYPE_CHECKING:
    from wallwright.strokes.order import OrderSaving

TITLES = {
    "read": marked("Reading artwork"), "strokes": marked("Making strokes"), "zone": marked("Checking the zone"),
    "order": marked("Ordering strokes"), "motion": marked("Timing the motion"), "write": marked("Writing files"),
}  # fmt: skip

PROVISIONAL = marked("Provisional, until all strokes are ordered again:")
"""Before what a provisional plan says."""


def describe_stage(stage: str, saving: OrderSaving | None = None) -> str:
    """What is done at present, and while strokes are put in order, what that has won."""
    title = tr(TITLES[stage]) if stage in TITLES else stage
    if saving is None:
        return title
    share = 100 * (1 - saving.travel / saving.at_first)
    return tr("Ordering: travel {0}, {1:.1f} % less than at first", duration(saving.travel), share)
