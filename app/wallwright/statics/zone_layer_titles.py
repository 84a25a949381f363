"""Names of the zone's layers, apart from their computing: a menu shows them before anything heavy is imported."""

from __future__ import annotations

from wallwright.document.language import translatable

LAYER_TITLES = {
    "lowest tension": translatable("Lowest belt tension"),
    "highest tension": translatable("Highest belt tension"),
    "tilt": translatable("Tilt"),
    "sag": translatable("Largest sag"),
    "resolution": translatable("Pen move per motor step"),
    "expected error": translatable("Expected error of the pen"),
    "uncorrected": translatable("Error of the simple formula"),
}
