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

PLANNING = tuple(TITLES)[:-1]
"""Stages of planning, without writing."""
MOST_SHOWN = 0.99
"""Largest share shown while planning is under way, since the end of a stage is not the end of planning."""


def share_done(stage: str, done: float) -> float:
    """Returns the completed share of planning. stage: current stage; done: its completed share, 0 to 1, which is returned
    for a stage that is not part of planning."""
    if stage not in PLANNING:
        return done
    return min((PLANNING.index(stage) + done) / len(PLANNING), MOST_SHOWN)


PROVISIONAL = N_("Provisional, until all strokes are in their final order:")
"""Shown before the figures of a provisional plan."""


def describe_stage(stage: str, saving: OrderSaving | None = None) -> str:
    """Returns the present stage in words and, while strokes are being ordered, the saving so far."""
    title = tr(TITLES[stage]) if stage in TITLES else stage
    if saving is None:
        return title
    share = 100 * (1 - saving.travel / saving.at_first)
    return tr("Ordering: {0} of travel, {1:.1f} % less than at first", duration(saving.travel), share)
