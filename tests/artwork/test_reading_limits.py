"""What one file may cost: each limit is named in its sentence, and below it nothing changes. The limits themselves are
lowered here; the files that they are for take gigabytes."""

import base64
import io
import json
import struct
import time
import zipfile

import numpy as np
import pytest
from PIL import Image
from PySide6.QtGui import QImage

from wallwright.artwork import rendering, usage
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.svg import embed_links, embedded_pictures, flatten, xml_parser
from wallwright.document import consistency, edits, generated_artwork, project
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.project import decode_project, encode_project
from wallwright.document.whole_file import read_whole_file

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="200" height="200">{}</svg>'


def read(content: str, flatness: float = 0.1):
    return read_artwork(HEAD.format(content).encode(), "image/svg+xml", "drawing.svg", flatness)


def uri_of(image: Image.Image) -> str:
    buffer = io.BytesIO()
    image.save(buffer, "PNG")
    return "data:image/png;base64," + base64.b64encode(buffer.getvalue()).decode()


@pytest.mark.parametrize(
    ("where", "limit", "value", "content", "sentence"),
    [
        (usage, "MOST_LETTERS", 20, '<text y="9">' + "word " * 5 + "</text>", "more than 20 letters"),
        (usage, "MOST_LETTERS", 20, '<text y="9">' + "<tspan>word</tspan>" * 6 + "</text>", "more than 20 letters"),
        (usage, "MOST_LETTERS", 20, '<text id="t" y="9">word</text>' + '<use href="#t"/>' * 6, "more than 20 letters"),
        (usage, "MOST_POINTS", 1000, '<path d="M0 0' + "L5 5L9 0" * 600 + '"/>', "more than 0 million points"),
        (
            usage,
            "MOST_POINTS",
            1000,
            '<circle id="c" r="50"/>' + '<use href="#c"/>' * 100,
            "more than 0 million points",
        ),
        (xml_parser, "MOST_ELEMENTS", 50, "<g/>" * 60, "more than 50 elements"),
        (xml_parser, "LARGEST", 1 << 20, "<desc>" + "x" * (1 << 20) + "</desc>", "the limit is 1 MB"),
    ],
)
def test_limits_are_named(monkeypatch, where, limit, value, content, sentence):
    read(content)
    monkeypatch.setattr(where, limit, value)
    with pytest.raises(BadFile, match=sentence):
        read(content)


def test_one_path_of_too_many_curves_is_left_out_and_reported(monkeypatch):
    content = '<path d="M0 0' + "c1 2 3 4 5 6" * 20 + '"/><rect width="9" height="9"/>'
    assert len(read(content).shapes) == 2
    monkeypatch.setattr(flatten, "MOST_CURVES", 200)
    drawing = read(content)
    assert [s.element for s in drawing.shapes] == ["rect 1"]
    assert "is not drawn: has more than 0 MB of curves" in drawing.findings[0].text


def test_words_made_in_the_program_are_limited_too(monkeypatch):
    data = generated_artwork.encode(generated_artwork.TextArtwork("word " * 5))
    assert read_artwork(data, generated_artwork.MEDIA[generated_artwork.TextArtwork], "words", 1.0).shapes
    monkeypatch.setattr(usage, "MOST_LETTERS", 20)
    with pytest.raises(BadFile, match="more than 20 letters"):
        read_artwork(data, generated_artwork.MEDIA[generated_artwork.TextArtwork], "words", 1.0)


def test_dashes_of_all_lines_together_are_limited(monkeypatch):
    lines = '<line x2="100" stroke="red" stroke-dasharray="5"/>' * 4
    assert [len(s.paths) for s in read(lines).shapes] == [10] * 4
    monkeypatch.setattr(usage, "MOST_DASHES", 50)
    drawing = read(lines)
    assert [len(s.paths) for s in drawing.shapes] == [10, 10, 1, 1]
    assert any("the line is solid" in f.text for f in drawing.findings)


def test_a_picture_shown_often_is_unpacked_once():
    uri = uri_of(Image.linear_gradient("L").resize((40, 30)))
    drawing = read(f'<image href="{uri}" width="40" x="5"/>' * 20)
    assert len(drawing.shapes) == 20 and len({id(s.paint.rgba) for s in drawing.shapes}) == 1


def test_what_is_odd_in_a_picture_is_no_warning_on_the_terminal():
    """An Exif tag that points beyond its end; Pillow warns. Warnings are errors here."""
    head = struct.pack("<2sHLHHHLLL", b"II", 42, 8, 1, 270, 2, 4000, 9000, 0)
    buffer = io.BytesIO()
    Image.new("RGB", (8, 6), "red").save(buffer, "JPEG", exif=b"Exif\0\0" + head)
    uri = "data:image/jpeg;base64," + base64.b64encode(buffer.getvalue()).decode()
    assert len(read(f'<image href="{uri}" width="40"/>').shapes) == 1


def test_pictures_together_are_limited_and_the_others_are_drawn(monkeypatch):
    several = [uri_of(Image.new("L", (40, 30), v)) for v in (10, 20, 30)]
    monkeypatch.setattr(usage, "MOST_PIXELS", 2500)
    drawing = read("".join(f'<image href="{uri}" width="40"/>' for uri in several))
    assert len(drawing.shapes) == 2
    assert "is not drawn: the pictures in the file have more than" in drawing.findings[-1].text


def test_a_large_picture_in_a_file_is_reduced_and_lies_where_it_lay(monkeypatch):
    picture = Image.linear_gradient("L").resize((300, 200)).convert("RGBA")
    picture.putalpha(Image.linear_gradient("L").rotate(90).resize((300, 200)))
    content = f'<image href="{uri_of(picture)}" x="20" y="30" width="120" preserveAspectRatio="none"/>'
    whole = read(content)
    monkeypatch.setattr(embedded_pictures, "LONGEST_SIDE", 100)
    reduced = read(content)
    (before,), (after,) = whole.shapes, reduced.shapes
    assert after.paint.rgba.shape == (67, 100, 4) and np.allclose(before.paths[0], after.paths[0])
    low, high = before.paths[0].min(axis=0), before.paths[0].max(axis=0)
    points = low + (high - low) * np.random.default_rng(1).uniform(0.05, 0.95, (200, 2))
    assert np.abs(before.paint.rgba_at(points) - after.paint.rgba_at(points)).max() < 0.03
    assert after.paint.opacity == pytest.approx(before.paint.opacity, abs=0.01)
    assert len([f for f in reduced.findings if "are reduced to 100 by 67" in f.text]) == 1


def test_linked_pictures_together_are_limited(monkeypatch, tmp_path):
    Image.effect_noise((60, 60), 90).save(tmp_path / "photo.png")
    size = (tmp_path / "photo.png").stat().st_size
    drawing = HEAD.format('<image href="photo.png" width="9"/>' * 3).encode()
    assert embed_links.embed_pictures(drawing, "a.svg", tmp_path).count(b"base64") == 3
    monkeypatch.setattr(embed_links, "MOST_LINKED", 2 * size)
    with pytest.raises(BadFile, match="each use counts"):
        embed_links.embed_pictures(drawing, "a.svg", tmp_path)


def test_a_file_of_more_bytes_than_are_read(monkeypatch, tmp_path):
    (tmp_path / "large.svg").write_bytes(b"x" * 3000)
    assert len(read_whole_file(tmp_path / "large.svg")) == 3000
    with pytest.raises(BadFile, match=r"large\.svg has 1 MB; the limit is 0 MB"):
        read_whole_file(tmp_path / "large.svg", largest=2999)


# Style sheets.


def test_rules_that_no_element_can_match_are_left_out_and_the_others_hold():
    rules = "".join(f".c{i}{{fill:#0000{i:02x}}} #i{i} {{stroke:#00{i:02x}00}}" for i in range(100))
    rules += "g .c7{fill:#123456} rect:not(.c9){stroke-width:3} .c1, .c200{opacity:.5} .c200 rect{fill:red}"
    drawing = read(
        f'<style>{rules}</style><g><rect class="c7" width="9" height="9"/></g>'
        '<rect class="c1" id="i5" width="9" height="9"/><rect class="c9" width="9" height="9"/>'
    )
    colours = [(s.is_region, s.paint.colour, s.width) for s in drawing.shapes]
    assert colours == [
        (True, "#123456", 0),
        (True, "#000001", 0),
        (False, "#000500", pytest.approx(3 * 25.4 / 96)),
        (True, "#000009", 0),
    ]


@pytest.mark.parametrize(
    "selector", ["g " * 1000, ":not(" * 300 + "g" + ")" * 300, "g " * 30 + "a rect", "g ~ " * 30 + "rect"]
)
def test_selectors_that_nest_too_much_are_left_out_and_reported(selector):
    depth = 60
    content = f"<style>{selector}{{fill:red}} rect{{fill:lime}}</style>" + "<g>" * depth + "<g/>" * 50
    drawing = read(content + '<rect width="9" height="9"/>' + "</g>" * depth)
    assert drawing.shapes[-1].paint.colour in ("#00ff00", "#ff0000")
    if selector != ":not(" * 300 + "g" + ")" * 300:  # Python's compiler may take those
        assert "a selector that is too long" in drawing.findings[0].text


def test_a_chain_of_gradients_ends():
    chain = "".join(f'<linearGradient id="g{i}" href="#g{i + 1}"/>' for i in range(3000))
    started = time.process_time()
    read(chain + '<rect width="9" height="9" fill="url(#g0)"/>' * 100)
    assert time.process_time() - started < 20  # all its links for each shape: minutes


# Projects.


def test_artworks_of_the_same_file_share_it_and_their_sum_is_limited(monkeypatch):
    data = HEAD.format("<!--" + "x" * 5000 + "-->").encode()
    document = edits.add_artwork(Document(), "a.svg", "image/svg+xml", data, (50.0, 50.0))[0]
    with zipfile.ZipFile(io.BytesIO(encode_project(document))) as archive:
        head = json.loads(archive.read("document.json"))
        entries = {name: archive.read(name) for name in archive.namelist()}
    first = head["document"]["artworks"][0]
    head["document"]["artworks"] = [first | {"id": f"a{i}"} for i in range(20)]
    for placement in head["document"]["placements"]:
        placement["artwork"] = "a0"
    crafted = io.BytesIO()
    with zipfile.ZipFile(crafted, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (entries | {"document.json": json.dumps(head).encode()}).items():
            archive.writestr(name, content)
    monkeypatch.setattr(project, "MOST_ARTWORK", 6000)
    monkeypatch.setattr(consistency, "MOST_ARTWORK", 6000)
    found = decode_project(crafted.getvalue(), "job.wallwright")
    assert len(found.artworks) == 20 and len({id(a.data) for a in found.artworks}) == 1
    other = HEAD.format("<!--" + "y" * 5000 + "-->").encode()
    two = edits.add_artwork(found, "b.svg", "image/svg+xml", other, (50.0, 50.0))[0]
    with pytest.raises(BadValue, match="artwork of a project can have"):
        consistency.validate(two)
    with pytest.raises(BadFile, match=r"job\.wallwright contains more than"):
        decode_project(encode_project(two), "job.wallwright")


def test_a_part_of_a_project_is_limited(monkeypatch):
    monkeypatch.setattr(project, "LARGEST_DESCRIPTION", 100)
    with pytest.raises(BadFile, match=r"its part document\.json is larger"):
        decode_project(encode_project(Document()), "job.wallwright")


def test_placements_are_limited_in_time(monkeypatch):
    document, placement = edits.add_artwork(Document(), "a.svg", "image/svg+xml", HEAD.encode(), (50.0, 50.0))
    many = tuple(edits.replace(placement, id=f"p{i}") for i in range(2000))
    consistency.validate(edits.replace(document, placements=many))
    with pytest.raises(BadValue, match="at most 2,000 artworks; this one would have 2,001"):
        consistency.validate(edits.replace(document, placements=(*many, placement)))


# Pictures of drawings.


def _pixels(image: QImage) -> np.ndarray:
    rows = np.frombuffer(image.bits(), np.uint8).reshape(image.height(), image.bytesPerLine() // 4, 4)
    return rows[..., :3].astype(int)


@pytest.mark.parametrize("look", ['stroke="#c03020"', 'stroke="url(#g)" stroke-opacity=".4" stroke-linejoin="round"'])
def test_lines_of_many_pieces_are_painted_in_parts_that_do_not_show(monkeypatch, look):
    walk = np.cumsum(np.random.default_rng(3).normal(0, 3, (600, 2)), axis=0)
    walk = 190 * (walk - walk.min(axis=0)) / np.ptp(walk, axis=0) + 5
    gradient = '<linearGradient id="g"><stop stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
    data = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in walk)
    drawing = read(f'{gradient}<path d="{data}" fill="none" stroke-width="4" {look}/>', 0.05)
    monkeypatch.setattr(rendering, "TOGETHER", 10_000)
    whole = _pixels(rendering.render(drawing, 300, 300))
    monkeypatch.setattr(rendering, "TOGETHER", 50)
    parts = _pixels(rendering.render(drawing, 300, 300))
    difference = np.abs(whole - parts).max(axis=2)
    assert (whole < 250).any(axis=2).mean() > 0.2
    assert difference.mean() < 1 and (difference > 60).mean() < 0.005


def test_a_picture_of_too_many_pixels_is_refused():
    with pytest.raises(BadFile, match="fewer than 50 million"):
        rendering.render(read("<rect/>"), 20_000, 20_000)


def test_a_long_attribute_is_read_in_few_pieces():
    """Some expat libraries (before 2.6) scan an unfinished attribute from its start for each piece they are given."""
    reports = []
    content = '<desc class="' + "x" * (8 << 20) + '"/><rect width="9" height="9"/>'
    root = xml_parser.parse(HEAD.format(content).encode(), "a.svg", reports.append)
    assert len(root) == 2 and 3 < len(reports) < 12 and reports[-1] == 1.0
