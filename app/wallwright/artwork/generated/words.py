"""Words as shapes: lines of letters, straight or along an arc."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Drawing, Finding, Paint, Severity, Shape
from wallwright.artwork.generated.lettering import INSTEAD, WORTH_TELLING, letters
from wallwright.artwork.usage import Usage
from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadFile
from wallwright.document.generated_artwork import TextArtwork
from wallwright.document.language import tr


@dataclass(frozen=True)
class _Line:
    """One line of text: paths of each letter from its origin on the baseline, mm, and the advances."""

    paths: list[tuple[Points, ...]]
    advances: Floats

    @property
    def starts(self) -> Floats:
        return np.concatenate([[0.0], np.cumsum(self.advances)])[: len(self.paths)]

    @property
    def length(self) -> float:
        return float(self.advances.sum())


def read_words(words: TextArtwork, name: str, progress: Callable[[float], None] = lambda done: None) -> Drawing:
    """Lettering at its natural size, mm, its frame the box of the letters. Raises BadFile."""
    Usage(name).add_letters(len(words.text))
    is_outline = words.lettering == "outline"
    lines, findings = (_outlines if is_outline else _single_lines)(words)
    progress(0.5)
    shares = {"left": 0.0, "centre": 0.5, "right": 1.0}
    longest = max(line.length for line in lines)
    paths: list[Points] = []
    for number, line in enumerate(lines):
        start = shares[words.align] * (longest - line.length) - longest / 2
        radius = _radius(words, number, name)
        if radius and line.length > 2 * np.pi * radius:
            text = tr(
                "line {0} is {1:.0f} mm long, and its circle only {2:.0f} mm around: its ends lie on each other. Use a "
                "larger radius or smaller letters",
                number + 1,
                line.length,
                2 * np.pi * radius,
            )
            findings.append(Finding(Severity.WARNING, tr("text"), text))
        for letter, s, advance in zip(line.paths, line.starts, line.advances, strict=True):
            origin, turn = _place(start + s, advance, radius, number * words.pitch * words.size, words.radius)
            paths += [origin + path @ turn.T for path in letter]
    if not paths:
        raise BadFile(tr("The text “{0}” has nothing to draw. Type some letters.", name))
    points = np.concatenate(paths)
    low, high = points.min(axis=0), points.max(axis=0)
    # A lone stroke such as a dash has no height; a frame needs some.
    pad = np.maximum(0.02 * words.size - (high - low) / 2, 0.0)
    low, high = low - pad, high + pad
    if is_outline:
        shape = Shape(tr("text"), (), Paint(words.colour), tuple(p - low for p in paths), True)
    else:
        shape = Shape(
            tr("text"),
            (),
            Paint(words.colour),
            tuple(p - low for p in paths),
            False,
            cap="round",
            join="round",
            closed=(False,) * len(paths),
        )
    progress(1.0)
    return Drawing(float(high[0] - low[0]), float(high[1] - low[1]), (shape,), tuple(findings))


def _single_lines(words: TextArtwork) -> tuple[list[_Line], list[Finding]]:
    lines: list[_Line] = []
    lost, other = "", dict[str, str]()
    for text in words.text.splitlines() or [""]:
        found, missing = letters(text, words.face)
        lost += missing
        other |= {c: INSTEAD[c] for c in text if c in WORTH_TELLING}
        paths = [tuple(words.size * s for s in one.strokes) for one in found]
        lines.append(_Line(paths, _spaced(words.size * np.array([one.advance for one in found]), words)))
    findings = []
    if lost:
        text = tr("these single-line letters have no “{0}”; choose an installed font", "".join(dict.fromkeys(lost)))
        findings.append(Finding(Severity.ERROR, tr("text"), text))
    if other:
        replaced = ", ".join(tr("“{0}” written as “{1}”", *pair) for pair in other.items())
        text = tr(
            "these single-line letters write {0}; choose an installed font to keep the letters themselves",
            replaced,
        )
        findings.append(Finding(Severity.NOTE, tr("text"), text))
    return lines, findings


def _outlines(words: TextArtwork) -> tuple[list[_Line], list[Finding]]:
    from wallwright.artwork.glyphs.fonts import FontRequest, faces_of
    from wallwright.artwork.glyphs.shaping import shaped

    wanted = FontRequest((words.family,) if words.family else ("sans-serif",), 700 if words.bold else 400, words.italic)
    faces, is_exact = faces_of(wanted)
    used = faces[0].family
    height = max((-ring[:, 1].min() for ring in shaped("H", [wanted])[0].rings), default=0.7)
    scale = words.size / height
    lines = []
    missing = ""
    for text in words.text.splitlines() or [""]:
        clusters = shaped(text, [wanted] * len(text))
        missing += "".join(cluster.missing for cluster in clusters)
        paths = [tuple(scale * ring for ring in cluster.rings) for cluster in clusters]
        lines.append(_Line(paths, _spaced(scale * np.array([c.advance for c in clusters]), words)))
    findings = []
    if missing:
        unknown = "".join(dict.fromkeys(missing))
        text = tr("no font on this computer has “{0}”: it is left out. Install a font that has it", unknown)
        findings.append(Finding(Severity.WARNING, tr("text"), text))
    if not is_exact:
        text = tr("the font “{0}” is not installed; “{1}” is used instead", words.family, used)
        findings.append(Finding(Severity.NOTE, tr("text"), text))
    return lines, findings


def _spaced(advances: Floats, words: TextArtwork) -> Floats:
    """Advances with the wanted spacing between letters."""
    extra = np.full(len(advances), words.spacing)
    extra[-1:] = 0.0
    return np.asarray(advances + extra)


def _radius(words: TextArtwork, number: int, name: str) -> float:
    """Radius of a line's baseline, 0 for a straight one. Lines below stand nearer to the centre of an arch, and further
    from that of a bowl."""
    if words.radius == 0:
        return 0.0
    drop = number * words.pitch * words.size
    radius = abs(words.radius) - drop if words.radius > 0 else abs(words.radius) + drop
    if radius < words.size / 4:
        raise BadFile(tr("The arc of “{0}” is too tight for its letters. Choose a larger radius.", name))
    return radius


def _place(s: float, advance: float, radius: float, drop: float, bend: float) -> tuple[Points, Floats]:
    """Where a letter's origin is, and how it is turned. s: along the baseline from the middle of the text, mm."""
    if radius == 0:
        return np.array([s, drop]), np.eye(2)
    sign = 1.0 if bend > 0 else -1.0
    angle = sign * (s + advance / 2) / radius
    c, n = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -n], [n, c]])
    foot = np.array([radius * n, -radius * c]) * sign  # the middle of the letter, from the circle's centre
    return foot - turn @ [advance / 2, 0.0], turn
