"""Colours that common markers have, for the pens a person may own and those worth buying.

The colours are those that Kelly chose because they are easiest to distinguish, "Twenty-two colors of maximum contrast",
Color Engineering 3 (1965): centroids of the ISCC-NBS colour names (Kelly and Judd, NBS Special Publication 440, 1976). Their
sRGB values are from memory; they stand for common markers, which nobody measured. White is left out, and black is that of
the program's first pen. This module imports no numpy: the guided start shows the list at once.
"""

from __future__ import annotations

from dataclasses import dataclass

from wallwright.document.language import N_


@dataclass(frozen=True)
class Marker:
    """One colour. Names are in English, to be translated."""

    colour: str
    name: str
    pen_name: str = ""
    """What a pen of this colour is called; empty for a colour that most boxes of markers do not hold (common practice, no
    source)."""


MARKERS = (
    Marker("#202020", N_("Black"), N_("Black marker")),
    Marker("#0067a5", N_("Blue"), N_("Blue marker")),
    Marker("#be0032", N_("Red"), N_("Red marker")),
    Marker("#008856", N_("Green"), N_("Green marker")),
    Marker("#f38400", N_("Orange"), N_("Orange marker")),
    Marker("#f3c300", N_("Yellow"), N_("Yellow marker")),
    Marker("#604e97", N_("Violet"), N_("Violet marker")),
    Marker("#e68fac", N_("Pink"), N_("Pink marker")),
    Marker("#a1caf1", N_("Light blue"), N_("Light blue marker")),
    Marker("#654522", N_("Brown"), N_("Brown marker")),
    Marker("#848482", N_("Grey"), N_("Grey marker")),
    Marker("#8db600", N_("Yellow green")),
    Marker("#2b3d26", N_("Dark green")),
    Marker("#875692", N_("Purple")),
    Marker("#b3446c", N_("Crimson")),
    Marker("#e25822", N_("Orange red")),
    Marker("#f6a600", N_("Amber")),
    Marker("#dcd300", N_("Lemon")),
    Marker("#f99379", N_("Salmon")),
    Marker("#c2b280", N_("Sand")),
    Marker("#882d17", N_("Red brown")),
)
