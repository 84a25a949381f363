"""Words in SVG, one feature a document, against resvg with the same fonts (packages resvg-py, and DejaVu from matplotlib)."""

import base64
import shutil

import numpy as np
import pytest
from fontTools.ttLib import TTFont

from tests.artwork.documents import text
from tests.artwork.documents.structure import page
from tests.support.beside_resvg import MOST, both, share_that_differs
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.glyphs.fonts import add_fonts, forget_fonts
from wallwright.document.errors import BadFile

SECTIONS: dict[str, list[str]] = {}
for _name, (_section, _svg) in text.DOCUMENTS.items():
    SECTIONS.setdefault(_section, []).append(_name)


@pytest.fixture(scope="module")
def fonts(tmp_path_factory):
    folder = tmp_path_factory.mktemp("fonts")
    for face in text.FACES:
        shutil.copy(face, folder)
    yield add_fonts(folder)
    forget_fonts()


def test_families_of_a_folder_are_found(fonts):
    assert fonts == ["DejaVu Sans", "DejaVu Sans Mono", "DejaVu Serif"]


@pytest.mark.parametrize("section", SECTIONS)
def test_words_look_as_resvg_paints_them(section, fonts):
    off = {}
    for name in SECTIONS[section]:
        if name in text.DIFFERENT or name in text.AWAITED:
            continue
        mine, judge, _ = both(text.DOCUMENTS[name][1], name, **text.RESVG)
        share = share_that_differs(mine, judge, name)
        if share >= MOST:
            off[name] = share
    assert off == {}


def test_a_font_inside_the_document_is_used(fonts):
    """CSS Fonts 4, 4: the letters are those of the same font brought along as a file."""
    data = base64.b64encode(next(p for p in text.FACES if p.name == "DejaVuSerif-Bold.ttf").read_bytes()).decode()
    face = f"@font-face{{font-family:'Own';src:url(data:font/ttf;base64,{data})}}"
    words = '<text x="20" y="60" font-size="30" font-weight="bold" font-family="{}">Own</text>'
    inside, beside = (
        read_artwork(page(body).encode(), "image/svg+xml", "a.svg", 0.05)
        for body in (f"<style>{face}</style>" + words.format("Own"), words.format("DejaVu Serif"))
    )
    assert not inside.findings
    assert all(np.array_equal(a, b) for a, b in zip(inside.shapes[0].paths, beside.shapes[0].paths, strict=True))
    alone = read_artwork(page(words.format("Own")).encode(), "image/svg+xml", "b.svg", 0.05)
    assert "not installed" in alone.findings[0].text  # another document does not have it


def test_words_are_as_wide_as_their_font_says(fonts):
    """Advance widths straight from the font file, read by fontTools (package fonttools)."""
    font = TTFont(next(p for p in text.FACES if p.name == "DejaVuSans.ttf"))
    names, widths = font.getBestCmap(), font["hmtx"].metrics
    units = font["head"].unitsPerEm
    body = '<text x="50" y="50" font-size="10" font-family="DejaVu Sans" text-anchor="{}">{}</text>'

    size = 'width="200mm" height="200mm" viewBox="0 0 200 200"'

    def letters(anchor, words):
        data = page(body.format(anchor, words), size).encode()
        return read_artwork(data, "image/svg+xml", "a.svg", 0.05).shapes[0].paths

    words = "HHHHHIII"  # no kerning pairs
    advance = sum(widths[names[ord(c)]][0] for c in words) * 10 / units
    start, middle, end = (min(p[:, 0].min() for p in letters(anchor, words)) for anchor in ("start", "middle", "end"))
    assert start - end == pytest.approx(advance, rel=1e-3)
    assert start - middle == pytest.approx(advance / 2, rel=1e-3)
    high = letters("start", "H")[0]
    assert np.ptp(high[:, 1]) == pytest.approx(10 * font["glyf"][names[ord("H")]].yMax / units, rel=0.02)


def test_a_folder_without_fonts_is_reported(tmp_path):
    (tmp_path / "a.ttf").write_bytes(b"no font")
    for folder in (tmp_path, tmp_path / "none"):
        with pytest.raises(BadFile, match="font"):
            add_fonts(folder)


def words_of(body: str):
    return read_artwork(page(body).encode(), "image/svg+xml", "words.svg", 0.05)


def test_a_letter_that_no_font_has_is_named_and_leaves_a_gap(fonts):
    """U+10FFFD is private: no font has it. It is no box, and what follows stays in its place."""
    both = words_of('<text x="10" y="50" font-family="DejaVu Sans" font-size="20">a\U0010fffdb</text>')
    plain = words_of('<text x="10" y="50" font-family="DejaVu Sans" font-size="20">ab</text>')
    assert sum(len(s.paths) for s in both.shapes) == sum(len(s.paths) for s in plain.shapes)
    (finding,) = [f for f in both.findings if "left out" in f.text]
    assert "\U0010fffd" in finding.text
    assert not any("left out" in f.text for f in plain.findings)


def test_text_longer_than_its_path_names_what_is_not_drawn(fonts):
    path = '<path id="p" d="M10 50H{0}"/><text font-family="DejaVu Sans" font-size="20">{1}</text>'
    words = '<textPath href="#p">WWWWWWend</textPath>'
    short, long = (words_of(path.format(right, words)) for right in (100, 400))
    (finding,) = [f for f in short.findings if "longer than its path" in f.text]
    assert "end" in finding.text
    assert not any("longer than its path" in f.text for f in long.findings)
