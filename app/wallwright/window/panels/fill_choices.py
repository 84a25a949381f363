"""What the kinds of fill are called, and which numbers each of them goes by."""

from wallwright.document.document import FillKind
from wallwright.document.language import N_

LINES = ("spacing", "coverage")
ANGLED = ("spacing", "angle", "coverage")
FILL_TITLES: dict[FillKind, str] = {
    "none": N_("No fill"),
    "quickest": N_("Quickest lines"),
    "hatch": N_("Hatch"),
    "cross-hatch": N_("Cross-hatch"),
    "zigzag": N_("Zigzag"),
    "contour": N_("Contour"),
    "spiral": N_("Spiral"),
    "stipple": N_("Stipple"),
}
FILL_NUMBERS: dict[FillKind, tuple[str, ...]] = {
    "none": (),
    "quickest": ANGLED,
    "hatch": ANGLED,
    "cross-hatch": (*ANGLED, "cross_angle", "cross_spacing"),
    "zigzag": ANGLED,
    "spiral": ANGLED,
    "contour": LINES,
    "stipple": LINES,
}
