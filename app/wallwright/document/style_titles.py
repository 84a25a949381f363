"""Titles of the line styles of pictures."""

from wallwright.document.language import N_

STYLE_TITLES = {
    "cross-hatch": N_("Cross-hatch by tone"),
    "contours": N_("Contour lines"),
    "stipple": N_("Stipple"),
    "one-line": N_("One line"),
    "scan-lines": N_("Waves on lines"),
    "halftone": N_("Halftone dots"),
    "spiral": N_("Spiral"),
    "flow": N_("Flow lines"),
    "cells": N_("Cells"),
    "engraving": N_("Engraved lines"),
    "maze": N_("Maze"),
    "edges": N_("Edges"),
    "regions": N_("Flat areas"),
}
"""Shown title of each style, by its name in picture.STYLES."""
