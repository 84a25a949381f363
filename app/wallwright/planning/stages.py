"""Names of the planning stages that the window and the commands show while they wait."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wallwright.document.language import N_, duration, tr

if TYPE_CHECKING:
    from wallwright.strokes.order import OrderSaving

TITLES = {
    "read": N_("Reading artwork"),
    "strokes": N_("Making strokes"),
    "zone": N_("Checking the draw zone"),
    "order": N_("Ordering strokes"),
    "motion": N_("Planning the motion"),
    "write": N_("Writing files"),
}

PROVISIONAL = N_("Provisional, until all strokes are in their final order:")
"""Shown before the figures of a provisional plan."""


def describe_stage(stage: str, saving: OrderSaving | None = None) -> str:
    """Returns the present stage in words and, while strokes are being ordered, the saving so far."""
    title = tr(TITLES[stage]) if stage in TITLES else stage
    if saving is None:
        return title
    share = 100 * (1 - saving.travel / saving.at_first)
    return tr("Ordering: {0} of travel, {1:.1f} % less than at first", duration(saving.travel), share)
