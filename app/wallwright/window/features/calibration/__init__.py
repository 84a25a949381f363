"""The calibration pages: draw, measure, result."""
