"""Words as shapes: lines of letters, straight or along an arc."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.drawing import Drawing, Finding, Paint, Severity, Shape
from wallwright.artwork.generated.kerning import JOINED, kerning
from wallwright.artwork.generated.lettering import INSTEAD, WORTH_TELLING, Letter, letter
from wallwright.artwork.glyphs.fonts import FontRequest, NoFonts, faces_of
from wallwright.artwork.glyphs.joined_letters import bent, joined, with_next
from wallwright.artwork.glyphs.middle_strokes import middle_strokes
from wallwright.artwork.glyphs.shaping import shaped
from wallwright.artwork.usage import Usage
from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadFile
from wallwright.document.generated_artwork import LetterStyle, TextArtwork
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.glyphs.fonts import FontRequest


@dataclass(frozen=True)
class _Line:
    """One line of text: paths of each letter from its origin on the baseline, mm, and the advances."""

    paths: list[tuple[Points, ...]]
    advances: Floats
    is_bent: tuple[bool, ...]
    """Which letters bend with an arc, because they join their neighbours; others stand on it as they are."""

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
    lines, findings = (_single_lines if words.lettering == "single-line" else _of_font)(words)
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
        drop = number * words.pitch * words.size
        for one, s, advance, is_bent in zip(line.paths, line.starts, line.advances, line.is_bent, strict=True):
            if radius and is_bent:
                paths += [bent(path + np.array([start + s, 0.0]), radius, words.radius, is_outline) for path in one]
                continue
            origin, turn = _place(start + s, advance, radius, drop, words.radius)
            paths += [origin + path @ turn.T for path in one]
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
    replaced = dict[str, str]()
    joins = words.face in JOINED
    for text in words.text.splitlines() or [""]:
        found: list[Letter] = []
        characters: list[str] = []
        for part, is_known in _written(text, words.face):
            if is_known:
                found.append(letter(part, words.face) or Letter((), 0.0))
                characters.append(part)
                continue
            if words.missing == "leave-out":
                lost += part
                continue
            others, names, unknown = _letters_of_fonts(part)
            found += others
            characters += [""] * len(others)
            replaced |= names
            lost += unknown
        other |= {c: INSTEAD[c] for c in text if c in WORTH_TELLING}
        paths = [tuple(words.size * s for s in one.strokes) for one in found]
        advances = np.array([one.advance for one in found])
        for at, (first, second) in enumerate(pairwise(characters)):  # "": a letter of a font
            advances[at] += kerning(first, second, words.face) if first and second else 0.0
        lines.append(_Line(paths, _spaced(words.size * advances, words), (joins,) * len(paths)))
    findings = _findings_of_missing(lost, replaced, tr("these single-line letters"), words)
    if other:
        text = tr(
            "these single-line letters write {0}; choose an installed font to keep the letters themselves",
            ", ".join(tr("“{0}” written as “{1}”", *pair) for pair in other.items()),
        )
        findings.append(Finding(Severity.NOTE, tr("text"), text))
    return lines, findings


def _written(text: str, face: LetterStyle) -> Iterator[tuple[str, bool]]:
    """The characters that the tables have, as they are written, and runs of those that they have not."""
    rest = ""
    for character in unicodedata.normalize("NFC", text):
        parts = INSTEAD.get(character, character)
        if all(letter(part, face) is not None for part in parts):
            if rest:
                yield rest, False
            rest = ""
            yield from ((part, True) for part in parts)
        else:
            rest += character
    if rest:
        yield rest, False


def _letters_of_fonts(text: str) -> tuple[list[Letter], dict[str, str], str]:
    """Middle lines of installed fonts' letters, capitals of height 1; the fonts of characters; those that no font has."""
    wanted = FontRequest(("sans-serif",))
    try:
        clusters = shaped(text, [wanted] * len(text))
        scale = 1 / _cap_height(wanted)
    except NoFonts:
        return [], {}, text
    letters = [
        Letter(tuple(scale * s for s in middle_strokes(c.rings)), scale * c.advance) for c in clusters if not c.missing
    ]
    names = {text[c.start : c.start + c.count]: c.face.family for c in clusters if not c.missing and c.rings}
    return letters, names, "".join(c.missing for c in clusters)


def _of_font(words: TextArtwork) -> tuple[list[_Line], list[Finding]]:
    """Letters of an installed font, by their outlines or by their middle lines."""
    wanted = FontRequest((words.family,) if words.family else ("sans-serif",), 700 if words.bold else 400, words.italic)
    faces, is_exact = faces_of(wanted)
    used = faces[0].family
    scale = words.size / _cap_height(wanted)
    lines = []
    missing = ""
    replaced = dict[str, str]()
    for text in words.text.splitlines() or [""]:
        clusters = shaped(text, [wanted] * len(text))
        missing += "".join(cluster.missing for cluster in clusters)
        others = [c for c in clusters if c.face.family != used and c.rings]
        if words.missing == "leave-out":
            missing += "".join(text[c.start : c.start + c.count] for c in others)
            clusters = [c for c in clusters if c not in others]
        else:
            replaced |= {text[c.start : c.start + c.count]: c.face.family for c in others}
        joins = joined(clusters) if words.radius or words.spacing else (False,) * len(clusters)
        shapes = [middle_strokes(c.rings) if words.lettering == "middle-line" else c.rings for c in clusters]
        paths = [tuple(scale * path for path in letter) for letter in shapes]
        advances = _spaced(scale * np.array([c.advance for c in clusters]), words, joins)
        lines.append(_Line(paths, advances, with_next(joins)))
    findings = _findings_of_missing(missing, replaced, tr("the font “{0}”", used), words)
    if not is_exact:
        text = tr("the font “{0}” is not installed; “{1}” is used instead", words.family, used)
        findings.append(Finding(Severity.NOTE, tr("text"), text))
    return lines, findings


def _cap_height(wanted: FontRequest) -> float:
    """Of flat capitals of a font, of the letter's size."""
    return max((-float(ring[:, 1].min()) for ring in shaped("H", [wanted])[0].rings), default=0.7)


def _findings_of_missing(missing: str, replaced: dict[str, str], source: str, words: TextArtwork) -> list[Finding]:
    """What is said of letters that the chosen ones have not. source: what these are called."""
    findings = []
    if replaced:
        by_font: dict[str, str] = {}
        for character, family in replaced.items():
            by_font[family] = by_font.get(family, "") + character
        text = tr(
            "not in {0}: {1}",
            source,
            ", ".join(tr("“{0}” (drawn in {1})", letters, family) for family, letters in by_font.items()),
        )
        findings.append(Finding(Severity.NOTE, tr("text"), text))
    if missing:
        unknown = "".join(dict.fromkeys(missing))
        if words.missing == "leave-out":
            text = tr("not in {0} and left out, as chosen: “{1}”", source, unknown)
            findings.append(Finding(Severity.NOTE, tr("text"), text))
        else:
            text = tr("no font on this computer has “{0}”: it is left out. Install a font that has it", unknown)
            findings.append(Finding(Severity.WARNING, tr("text"), text))
    return findings


def _spaced(advances: Floats, words: TextArtwork, joins: Sequence[bool] = ()) -> Floats:
    """Advances with the wanted spacing between letters. joins: which of them join the next one and stay beside it."""
    extra = np.full(len(advances), words.spacing)
    extra[-1:] = 0.0
    if len(joins):
        extra[np.array(joins)] = 0.0
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
