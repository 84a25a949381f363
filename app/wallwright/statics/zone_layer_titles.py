"""Titles of the zone's layers, separate from their computation: a menu shows them before anything heavy is imported."""

from __future__ import annotations

from wallwright.document.language import N_

LAYER_TITLES = {
    "lowest tension": N_("Lowest belt tension"),
    "highest tension": N_("Highest belt tension"),
    "tilt": N_("Tilt"),
    "sag": N_("Largest sag"),
    "resolution": N_("Pen movement per motor step"),
    "expected error": N_("Expected pen error"),
    "uncorrected": N_("Error of the simple formula"),
}
