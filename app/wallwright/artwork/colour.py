"""Colour as people see it: CIELAB and the CIEDE2000 difference.

Own formulas, judged by their authors' published data: scikit-image, which has them, is 30 MB and takes a second to import.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Floats
from wallwright.document.language import N_, tr

WHITE = "#ffffff"


def rgb_of(colour: str) -> tuple[int, int, int]:
    """ "#rrggbb" to 0..255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


PALE = 0.72
"""Share of white in what is shown pale: seen beside the colour itself, and still different from paper."""


def pale(colour: str) -> str:
    """The colour mixed with white, for what is drawn already."""
    mixed = (round(part + PALE * (255 - part)) for part in rgb_of(colour))
    return "#" + "".join(f"{part:02x}" for part in mixed)


TO_XYZ = np.array([[0.4124, 0.2126, 0.0193], [0.3576, 0.7152, 0.1192], [0.1805, 0.0722, 0.9505]]) / [0.9505, 1.0, 1.089]
"""Linear red, green and blue (rows) to XYZ over that of the white point D65 (IEC 61966-2-1)."""
OPPONENT = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])
"""Cube roots of XYZ (columns) to L* + 16, a* and b* (CIE 15)."""
_STRAIGHT = (6 / 29) ** 3
"""Below this share of white the cube root gives way to a straight line."""


def lab_of(rgb: npt.ArrayLike) -> Floats:
    """(n, 3) CIELAB under D65 of (n, 3) sRGB in 0..255 (IEC 61966-2-1)."""
    c = np.asarray(rgb, dtype=float).reshape(-1, 3) / 255
    return lab_of_light(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4))


def lab_of_light(light: npt.ArrayLike) -> Floats:
    """(n, 3) CIELAB under D65 of (n, 3) linear red, green and blue, 0 to 1."""
    t = np.asarray(light, dtype=float) @ TO_XYZ
    f = np.where(t > _STRAIGHT, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    lab: Floats = f @ OPPONENT.T - np.array([16.0, 0.0, 0.0])
    return lab


def lab_slopes(light: Floats) -> Floats:
    """(n, 3, 3) derivatives of L*, a*, b* (second axis) by linear red, green and blue (third axis)."""
    t = light @ TO_XYZ
    by_xyz = np.where(t > _STRAIGHT, np.maximum(t, _STRAIGHT) ** (-2 / 3) / 3, 1 / (3 * (6 / 29) ** 2))
    slopes: Floats = np.einsum("lx,nx,cx->nlc", OPPONENT, by_xyz, TO_XYZ)
    return slopes


def difference_metric(lab: Floats) -> Floats:
    """(n, 3, 3) matrices M with |M d| the CIEDE2000 difference of two colours a small step d of CIELAB apart, the first of
    which is (n, 3): the formula's own weights, in lightness, chroma and hue, without its rotation in the blue."""
    lightness, a, b = lab.T
    c7 = np.hypot(a, b) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(c7 / (c7 + 25.0**7))
    chroma, hue = np.hypot(a * stretch, b), np.arctan2(b, a * stretch)
    t = (
        1
        - 0.17 * np.cos(hue - np.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + np.radians(6))
        - 0.20 * np.cos(4 * hue - np.radians(63))
    )
    for_lightness = 1 + 0.015 * (lightness - 50) ** 2 / np.sqrt(20 + (lightness - 50) ** 2)
    for_chroma, for_hue = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    metric = np.zeros((len(lab), 3, 3))
    metric[:, 0, 0] = 1 / for_lightness
    metric[:, 1, 1], metric[:, 1, 2] = np.cos(hue) * stretch / for_chroma, np.sin(hue) / for_chroma
    metric[:, 2, 1], metric[:, 2, 2] = -np.sin(hue) * stretch / for_hue, np.cos(hue) / for_hue
    return metric


def ciede2000(first: npt.ArrayLike, second: npt.ArrayLike) -> Floats:
    """(n,) CIEDE2000 differences of (n, 3) CIELAB colours: see `difference_parts`."""
    return np.asarray(np.sqrt((difference_parts(first, second) ** 2).sum(axis=1)))


def difference_parts(first: npt.ArrayLike, second: npt.ArrayLike) -> Floats:
    """(n, 3) parts of the CIEDE2000 differences of (n, 3) CIELAB colours, whose squares add up to theirs: of lightness, and
    two of chroma and hue, which the formula's rotation in the blue mixes.

    Formula as in Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula: implementation notes, supplementary
    test data, and mathematical observations", Color Research and Application 30 (2005).
    """
    l1, a1, b1 = np.asarray(first, dtype=float).T
    l2, a2, b2 = np.asarray(second, dtype=float).T
    mean_c = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    grey = c1 * c2 == 0
    dh = np.where(grey, 0.0, (h2 - h1 + 180) % 360 - 180)
    # At exactly half a turn the paper's rule keeps +180 for h2 > h1.
    dh = np.where(~grey & (np.abs(h2 - h1) == 180), h2 - h1, dh)
    dl, dc = l2 - l1, c2 - c1
    big_dh = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2))
    ml, mc = (l1 + l2) / 2, (c1 + c2) / 2
    apart, total = np.abs(h1 - h2), h1 + h2
    mh = np.where(apart <= 180, total / 2, np.where(total < 360, (total + 360) / 2, (total - 360) / 2))
    mh = np.where(grey, total, mh)
    r = np.radians
    t = (
        1
        - 0.17 * np.cos(r(mh - 30))
        + 0.24 * np.cos(r(2 * mh))
        + 0.32 * np.cos(r(3 * mh + 6))
        - 0.20 * np.cos(r(4 * mh - 63))
    )
    turn = 30 * np.exp(-(((mh - 275) / 25) ** 2))
    rc = 2 * np.sqrt(mc**7 / (mc**7 + 25.0**7))
    sl = 1 + 0.015 * (ml - 50) ** 2 / np.sqrt(20 + (ml - 50) ** 2)
    sc, sh = 1 + 0.045 * mc, 1 + 0.015 * mc * t
    rt = -np.sin(r(2 * turn)) * rc
    x, y, z = dl / sl, dc / sc, big_dh / sh
    return np.column_stack([x, y + rt / 2 * z, np.sqrt(1 - rt**2 / 4) * z])


def difference(one: str, other: str) -> float:
    """How unlike two "#rrggbb" look, CIEDE2000."""
    first, second = (lab_of(np.array([rgb_of(c)])) for c in (one, other))
    return float(ciede2000(first, second)[0])


def nearest(colour: str, palette: list[str]) -> int:
    """Index of the colour of the palette that looks nearest."""
    one = lab_of(np.array([rgb_of(colour)]))
    many = lab_of(np.array([rgb_of(c) for c in palette]))
    return int(np.argmin(ciede2000(np.repeat(one, len(many), axis=0), many)))


NAMED = {
    N_("Black"): ("#000000",),
    N_("Grey"): ("#808080", "#606060", "#a0a0a0"),
    N_("Light grey"): ("#c8c8c8",),
    N_("White"): ("#ffffff",),
    N_("Red"): ("#d02020", "#e04040", "#b02020"),
    N_("Dark red"): ("#701818",),
    N_("Orange"): ("#f08020", "#fca008"),
    N_("Light orange"): ("#f8d0a0",),
    N_("Yellow"): ("#f0d020", "#f0b810"),
    N_("Light yellow"): ("#f8f0b0",),
    N_("Green"): ("#209040", "#30a030", "#10f010"),
    N_("Light green"): ("#80c040", "#90f090", "#c0e4b8"),
    N_("Dark green"): ("#185020",),
    N_("Turquoise"): ("#20a0a0",),
    N_("Light turquoise"): ("#b0e4e0",),
    N_("Blue"): ("#2050b0", "#2878d0", "#1010f0"),
    N_("Light blue"): ("#60a0e0", "#b8d8f4"),
    N_("Dark blue"): ("#102860",),
    N_("Violet"): ("#7040a0",),
    N_("Light violet"): ("#d4c4ec", "#e4e0f8"),
    N_("Pink"): ("#e070a0", "#f4c0d0", "#fce0e0", "#d01880"),
    N_("Brown"): ("#805030", "#a03028"),
    N_("Light brown"): ("#c8a078",),
}
"""What markers, and tints and shades of their inks, are usually called, with typical colours of each (common practice, no
source)."""


def name_of(colour: str) -> str:
    """The everyday name of a colour."""
    samples = [(sample, name) for name, samples in NAMED.items() for sample in samples]
    return tr(samples[nearest(colour, [sample for sample, _ in samples])][1])


def names_of(colours: Sequence[str]) -> list[str]:
    """Everyday names of different colours of one artwork: those of one name are numbered from light to dark."""
    names = [name_of(colour) for colour in colours]
    lightness = [float(lab_of(np.array([rgb_of(colour)]))[0, 0]) for colour in colours]
    shared: dict[str, list[int]] = {}
    for i, name in enumerate(names):
        shared.setdefault(name, []).append(i)
    for name, those in shared.items():
        if len(those) > 1:
            for number, i in enumerate(sorted(those, key=lambda i: (-lightness[i], colours[i])), start=1):
                names[i] = f"{name} {number}"
    return names
