"""Names of the zone's layers, apart from their computing: a menu shows them before anything heavy is imported."""

LAYER_TITLES = {
    "lowest tension": "Lowest belt tension",
    "highest tension": "Highest belt tension",
    "tilt": "Tilt",
    "sag": "Largest sag",
    "resolution": "Pen move per motor step",
    "expected error": "Expected error of the pen",
    "uncorrected": "Error of the simple formula",
}
