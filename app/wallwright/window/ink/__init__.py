"""Ink on the canvas: a million pen strokes that pan and zoom at frame rate without a graphics card.

Strokes are split into straight segments, thinned to what a scale can show and sorted into cells (`thinning`,
`cells`, `geometry`). Worker threads paint square tiles from them (`tile`, `workshop`), the window thread only copies
finished tiles to the screen (`sheet`, `layer`), and shows the nearest other scale where a tile is not ready yet.
"""

from wallwright.window.ink.layer import InkLayer

__all__ = ["InkLayer"]
