"""Names of the zone's layers, apart from their computing: a menu shows them before anything heavy is imported."""

from __future__ import annotations

from wallwright.document.language import marked

LAYER_TITLES = {
    "lowest tension": marked("Lowest belt tension"),
    "highest tension": marked("Highest belt tension"),
    "tilt": marked("Tilt"),
    "sag": marked("Largest sag"),
    "resolution": marked("Pen move per motor step"),
    "expected error": marked("Expected error of the pen"),
    "uncorrected": marked("Error of the simple formula"),
}
