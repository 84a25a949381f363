"""Fonts and shaping, against fontTools (its own reader of the same files) and the fonts that matplotlib brings."""

import dataclasses
import io
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from tests.artwork.documents import text
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.glyphs import font_index, fonts
from wallwright.artwork.glyphs.fonts import (
    FontRequest,
    add_embedded,
    add_fonts,
    face_of,
    faces_of,
    forget_fonts,
)
from wallwright.artwork.glyphs.shaping import shaped

SERIF = next(p for p in text.FACES if p.name == "DejaVuSerif.ttf")
SANS = FontRequest(("DejaVu Sans",))
PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="200" height="100">{}</svg>'


@pytest.fixture(autouse=True)
def only_these_fonts(tmp_path, monkeypatch):
    """The DejaVu fonts, and none of the machine."""
    for face in text.FACES:
        shutil.copy(face, tmp_path)
    monkeypatch.setattr(font_index, "system_folders", lambda: [])
    forget_everything()
    add_fonts(tmp_path)
    yield
    forget_everything()


def forget_everything():
    for kept in (
        font_index.installed_fonts,
        fonts._installed,
        fonts._installed_families,
        fonts._installed_coverage,
    ):
        kept.cache_clear()
    forget_fonts()


def width_of(words: str, request: FontRequest, **options) -> float:
    return sum(c.advance for c in shaped(words, [request] * len(words), **options))


@pytest.mark.parametrize("character", "aB8&ß@ж")
def test_outlines_enclose_the_area_that_fonttools_finds(character):
    """AreaPen integrates the curves exactly; our chords lie within 1e-4 of the letter's size."""
    font = TTFont(SERIF)
    glyphs, name = font.getGlyphSet(), font.getBestCmap()[ord(character)]
    pen = AreaPen(glyphs)
    glyphs[name].draw(pen)
    (cluster,) = shaped(character, [FontRequest(("DejaVu Serif",))])
    area = sum(np.sign(ring_area(r)) * shapely.Polygon(r).area for r in cluster.rings)
    units = font["head"].unitsPerEm
    length = sum(shapely.Polygon(r).length for r in cluster.rings)
    assert abs(area) == pytest.approx(abs(pen.value) / units**2, abs=1e-4 * length)
    assert cluster.advance == pytest.approx(font["hmtx"][name][0] / units)


def ring_area(ring: np.ndarray) -> float:
    x, y = ring.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def test_kerning_ligatures_and_marks():
    """OpenType: a pair of letters with a kern is narrower, ff is one glyph, a mark has no advance."""
    serif = FontRequest(("DejaVu Serif",))
    apart = width_of("A", serif) + width_of("V", serif)
    assert width_of("AV", serif) < apart - 0.01
    assert width_of("AV", dataclasses.replace(serif, kerning=False)) == pytest.approx(apart)
    assert [c.count for c in shaped("office", [serif] * 6)] == [1, 2, 1, 1, 1]
    spaced = dataclasses.replace(serif, features=(("liga", 0), ("clig", 0)))
    assert [c.count for c in shaped("office", [spaced] * 6)] == [1] * 6
    (letter,) = shaped("o\u0302", [SANS] * 2)
    assert letter.count == 2 and letter.advance == pytest.approx(width_of("o", SANS))


def test_right_to_left_letters_stand_from_right_to_left_and_join_over_a_change_of_look():
    hebrew = shaped("אבג", [SANS] * 3)
    assert [c.start for c in hebrew] == [2, 1, 0] and all(c.is_rtl for c in hebrew)
    mixed = shaped("ab אב 12", [SANS] * 8)
    assert "".join("ab אב 12"[c.start] for c in mixed) == "ab 12 בא"
    kerned = dataclasses.replace(SANS, features=(("kern", 1),))
    whole = shaped("بب", [SANS] * 2)
    split = shaped("بب", [SANS, kerned])
    for one, other in zip(whole, split, strict=True):
        assert all(np.allclose(a, b) for a, b in zip(one.rings, other.rings, strict=True))


def test_each_character_is_drawn_in_the_first_font_that_has_it():
    mono = FontRequest(("DejaVu Sans Mono", "DejaVu Serif"))
    assert face_of(mono, "a").family == "DejaVu Sans Mono"
    assert face_of(mono, "א").family == "DejaVu Sans"  # in neither that is asked for
    assert face_of(mono, "日").family == "DejaVu Sans Mono"  # in none at all: a gap is left


def test_styles_by_width_slope_and_weight():
    """CSS Fonts 4, 5.2, and OpenType's older family names."""
    bold, _ = faces_of(dataclasses.replace(SANS, weight=800))
    slanted, _ = faces_of(dataclasses.replace(SANS, italic=True))
    plain, exact = faces_of(SANS)
    assert exact and len({id(f[0]) for f in (bold, slanted, plain)}) == 3
    assert width_of("mm", dataclasses.replace(SANS, weight=700)) > width_of("mm", SANS)
    other, exact = faces_of(FontRequest(("No Such Font",)))
    assert not exact and other[0].family == "DejaVu Serif"


def variable_font() -> bytes:
    """A font of one letter that is as wide as it is heavy."""
    builder = FontBuilder(1000)
    builder.setupGlyphOrder([".notdef", "I"])
    builder.setupCharacterMap({ord("I"): "I"})
    pen = TTGlyphPen(None)
    for x, y in ((0, 0), (100, 0), (100, 700), (0, 700)):
        (pen.lineTo if (x, y) != (0, 0) else pen.moveTo)((x, y))
    pen.closePath()
    builder.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "I": pen.glyph()})
    builder.setupHorizontalMetrics({".notdef": (500, 0), "I": (200, 0)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Beam", "styleName": "Regular"})
    builder.setupOS2(usWeightClass=400)
    builder.setupPost()
    builder.setupFvar([("wght", 100, 400, 900, "Weight")], [])
    wide = [(0, 0), (500, 0), (500, 0), (0, 0), (0, 0), (500, 0), (0, 0), (0, 0)]
    variation = pytest.importorskip("fontTools.ttLib.tables.TupleVariation").TupleVariation
    builder.setupGvar({"I": [variation({"wght": (0.0, 1.0, 1.0)}, wide)]})
    file = io.BytesIO()
    builder.save(file)
    return file.getvalue()


@pytest.mark.parametrize("weight", [400, 650, 900, 1000])
def test_variable_fonts_take_the_weight_that_is_asked_for(weight):
    """Against fontTools' instancer: the same font made static at that weight."""
    data = variable_font()
    static = instancer.instantiateVariableFont(TTFont(io.BytesIO(data)), {"wght": min(weight, 900)})
    name = add_embedded([data])
    (cluster,) = shaped("I", [FontRequest((name,), weight)])
    assert cluster.advance == pytest.approx(static["hmtx"]["I"][0] / 1000)
    assert np.ptp(cluster.rings[0][:, 0]) == pytest.approx(static["glyf"]["I"].xMax / 1000, abs=1e-3)


def test_packed_fonts_are_unpacked_and_damaged_ones_refused():
    font = TTFont(SERIF)
    font.flavor = "woff"
    packed = io.BytesIO()
    font.save(packed)
    assert packed.getvalue()[:4] == b"wOFF"
    name = add_embedded([packed.getvalue()])
    assert width_of("abc", FontRequest((name,))) == pytest.approx(width_of("abc", FontRequest(("DejaVu Serif",))))
    for data in (b"", b"no font", packed.getvalue()[:500], SERIF.read_bytes()[:2000]):
        assert add_embedded([data]) is None


def test_without_any_font_text_alone_is_not_drawn():
    forget_everything()
    body = '<text y="30">abc</text><rect width="9" height="9"/>'
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.1)
    assert [s.element for s in drawing.shapes] == ["rect 1"]
    assert "There is no font on this computer" in drawing.findings[0].text


def test_a_font_file_that_has_gone_is_replaced_by_another(tmp_path, monkeypatch):
    forget_everything()
    folder = tmp_path / "installed"
    folder.mkdir()
    for face in text.FACES:
        shutil.copy(face, folder)
    monkeypatch.setattr(font_index, "system_folders", lambda: [folder, tmp_path / "none"])
    assert {r.family for r in font_index.installed_fonts()} == {
        "DejaVu Sans",
        "DejaVu Sans Mono",
        "DejaVu Serif",
    }
    for file in folder.glob("DejaVuSans-*"):
        file.unlink()
    assert face_of(dataclasses.replace(SANS, weight=700), "a").family == "DejaVu Sans"


@pytest.mark.parametrize(
    ("platform", "variables", "folders"),
    [
        ("win32", {"WINDIR": "W", "LOCALAPPDATA": "L"}, ["W/Fonts", "L/Microsoft/Windows/Fonts"]),
        ("darwin", {}, ["/System/Library/Fonts", "/Library/Fonts", "HOME/Library/Fonts"]),
        (
            "linux",
            {"XDG_DATA_DIRS": "/a:/b", "XDG_DATA_HOME": "H"},
            ["/a/fonts", "/b/fonts", "H/fonts", "HOME/.fonts"],
        ),
    ],
)
def test_folders_of_each_system(monkeypatch, platform, variables, folders):
    """Microsoft's, Apple's and the XDG base directory specification's places for fonts."""
    monkeypatch.undo()
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setattr(Path, "home", lambda: Path("HOME"))
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    found = {path.as_posix() for path in font_index.system_folders()}
    assert set(folders) <= found


def test_folders_that_fontconfig_is_given(tmp_path, monkeypatch):
    monkeypatch.undo()
    file = tmp_path / "fonts.conf"
    file.write_text('<fontconfig><dir>/x/fonts</dir><dir prefix="xdg">own</dir><dir/></fontconfig>')
    monkeypatch.setattr(font_index, "FONTCONFIG", file)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", "/home/data")
    assert {Path("/x/fonts"), Path("/home/data/own")} <= set(font_index.system_folders())
    file.write_text("<broken")
    assert Path("/x/fonts") not in font_index.system_folders()


def test_reading_text_needs_no_qt():
    svg = PAGE.format('<text y="30">abc</text>')
    code = (
        "import sys; from wallwright.artwork.artwork_reader import read_artwork as r;"
        f"d = r({svg!r}.encode(), 'image/svg+xml', 'a.svg', 0.1);"
        "print(len(d.shapes[0].paths)); sys.exit(any(m.startswith(('PySide6', 'shiboken')) for m in sys.modules))"
    )
    environment = {k: v for k, v in os.environ.items() if k != "QT_QPA_PLATFORM"}
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment)
    assert result.returncode == 0, result.stderr
    assert int(result.stdout) >= 3


def test_installed_fonts_stand_in_for_each_other(tmp_path, monkeypatch):
    """The usual families first, in their own style; a character that no font has is left to the first of them."""
    forget_everything()
    monkeypatch.setattr(font_index, "system_folders", lambda: [tmp_path])  # where the DejaVu fonts lie
    mono = FontRequest(("DejaVu Sans Mono",), 700)
    assert face_of(mono, "א").family == "DejaVu Sans"
    assert face_of(mono, "א") is faces_of(dataclasses.replace(SANS, weight=700))[0][0]
    assert face_of(mono, "日").family == "DejaVu Sans Mono"
