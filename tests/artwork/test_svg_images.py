"""Pictures inside SVG against resvg (package resvg-py), and files that SVG links to."""

import base64
import shutil

import pytest

from tests.artwork.documents import images, text
from tests.artwork.documents.structure import page
from tests.support.beside_resvg import MOST, both, share_that_differs
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Severity
from wallwright.artwork.glyphs.fonts import forget_fonts
from wallwright.artwork.svg.embed_links import embed_fonts, embed_pictures

SVG = "image/svg+xml"


@pytest.mark.parametrize("name", [n for n in images.DOCUMENTS if n not in images.DIFFERENT])
def test_pictures_look_as_resvg_paints_them(name):
    mine, judge, _ = both(images.DOCUMENTS[name][1], name, 200)
    assert share_that_differs(mine, judge, name) < MOST


def test_a_picture_is_reported_by_its_element():
    drawing = read_artwork(
        page(f'<image id="sky" width="50" height="30" href="{images.PNG}"/>').encode(), SVG, "a.svg", 0.1
    )
    (finding,) = drawing.findings
    assert (finding.element, finding.severity) == ("sky", Severity.NOTE)
    assert "picture" in finding.text


def test_linked_pictures_of_the_same_folder_come_along(tmp_path):
    """SVG 2, 16.1: URLs are relative to the file. What is outside its folder, or on the web, is not looked at."""
    png = base64.b64decode(images.PNG.split(",")[1])
    inner = tmp_path / "art"
    (inner / "sub").mkdir(parents=True)
    (inner / "sub" / "a b.png").write_bytes(png)
    (tmp_path / "secret.png").write_bytes(png)
    links = (
        "sub/a%20b.png",
        "../secret.png",
        str(tmp_path / "secret.png"),
        "http://localhost/x.png",
        "none.png",
    )
    body = "".join(f'<image id="i{k}" width="20" height="20" xlink:href="{link}"/>' for k, link in enumerate(links))
    drawing = read_artwork(embed_pictures(page(body).encode(), "a.svg", inner), SVG, "a.svg", 0.1)
    assert [s.element for s in drawing.shapes] == ["i0"]
    assert {f.element for f in drawing.findings if f.severity is Severity.ERROR} == {"i1", "i2", "i3", "i4"}
    plain = page("<rect/>").encode()
    assert embed_pictures(plain, "a.svg", inner) is plain


def test_fonts_that_a_file_names_come_along(tmp_path):
    for face in text.FACES:
        shutil.copy(face, tmp_path)
    svg = page('<text x="10" y="90" font-family="DejaVu Serif" font-weight="bold">Word</text>').encode()
    brought = embed_fonts(svg, "a.svg", tmp_path)
    assert brought.count(b"@font-face") == sum(p.name.startswith("DejaVuSerif") for p in text.FACES)
    forget_fonts()
    drawing = read_artwork(brought, SVG, "a.svg", 0.1)
    assert drawing.shapes and not drawing.findings
