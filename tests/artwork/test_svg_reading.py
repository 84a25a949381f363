"""Reading SVG: tolerance, what is told, and hostile files."""

import gzip
import time
import tracemalloc

import numpy as np
import pytest

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Severity
from wallwright.artwork.media import media_of
from wallwright.artwork.svg.xml_parser import parse
from wallwright.document.errors import BadFile, Cancelled

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100" {}>{}</svg>'


def read(body: str, attributes: str = "", flatness: float = 0.05):
    return read_artwork(SVG.format(attributes, body).encode(), "image/svg+xml", "drawing.svg", flatness)


@pytest.mark.parametrize("flatness", [1.0, 0.1, 0.01])
def test_curves_keep_the_tolerance(flatness):
    """A circle of 40 mm as ellipse, arcs and Béziers (0.5523: the usual four-curve circle, 0.03 % off, from memory)."""
    arcs = '<path d="M90 50A40 40 0 0 1 10 50A40 40 0 0 1 90 50z"/>'
    k = 40 * 0.5522847
    curves = f'<path d="M90 50C90 {50 + k} {50 + k} 90 50 90C{50 - k} 90 10 {50 + k} 10 50C10 {50 - k} {50 - k} 10 50 10C{50 + k} 10 90 {50 - k} 90 50z"/>'
    for body in ('<circle cx="50" cy="50" r="40"/>', arcs, curves):
        (shape,) = read(body, flatness=flatness).shapes
        ring = shape.paths[0]
        middle = (ring + np.roll(ring, -1, axis=0)) / 2
        off = 40 - np.hypot(*(middle - 50).T)
        assert off.max() <= flatness * 1.01 + 0.02
        assert np.hypot(*(ring - 50).T) == pytest.approx(40, abs=0.015)


def test_chords_are_as_many_as_needed_and_not_more():
    few, many = (len(read('<circle cx="50" cy="50" r="40"/>', flatness=f).shapes[0].paths[0]) for f in (0.4, 0.004))
    assert few < 30 < many < 400


def test_what_is_not_read_is_reported_with_its_element():
    drawing = read(
        '<text id="words" x="1" y="9"><textPath href="#x">hi</textPath></text><image href="a.png"/><rect id="r" width="5" height="5" filter="url(#f)"/>'
        '<rect id="p" width="5" height="5" fill="url(#nothing)"/><path id="bad" d="M1 nonsense"/>'
        '<rect id="n" width="abc" height="5"/><rect id="t" width="9" height="9" transform="wobble(3)"/>'
    )
    findings = {f.element: f.severity for f in drawing.findings}
    assert findings["words"] is Severity.ERROR
    assert findings["image 1"] is Severity.ERROR
    assert findings["r"] is Severity.WARNING
    assert findings["p"] is Severity.WARNING
    assert findings["n"] is Severity.ERROR
    assert findings["t"] is Severity.WARNING  # SVG 2, 4.1: what cannot be read counts as not given
    assert [s.element for s in drawing.shapes] == ["r", "t"]


def test_a_gradient_is_reported_and_gets_its_mean():
    drawing = read(
        '<defs><linearGradient id="g"><stop offset="0" stop-color="#000"/><stop offset="1" stop-color="#fff"/>'
        '</linearGradient></defs><rect width="50" height="50" fill="url(#g)"/>'
    )
    assert drawing.shapes[0].paint.colour == "#808080"
    assert drawing.findings[0].severity is Severity.NOTE


def test_units_give_wall_sizes():
    """CSS Values 3, section 6.2: 96 px = 25.4 mm."""
    for width, wanted in (
        ("96", 25.4),
        ("1in", 25.4),
        ("50mm", 50),
        ("10cm", 100),
        ("72pt", 25.4),
        ("6pc", 25.4),
    ):
        svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{width}"><rect width="50%" height="50%"/></svg>'
        drawing = read_artwork(svg.encode(), "image/svg+xml", "a.svg", 0.1)
        assert drawing.width == pytest.approx(wanted)
        assert np.ptp(drawing.shapes[0].paths[0][:, 0]) == pytest.approx(wanted / 2)


BILLION = (
    '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">'
    + "".join(
        f'<!ENTITY {b} "&{a};&{a};&{a};&{a};&{a};&{a};&{a};&{a};&{a};&{a};">'
        for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]>"
)
USES = "".join(f'<g id="u{i + 1}">' + f'<use href="#u{i}"/>' * 10 + "</g>" for i in range(12))

HOSTILE = {
    "empty": b"",
    "text named svg": b"just some words, no drawing at all",
    "truncated": SVG.format("", '<g><rect width="5" height="5"/>').encode()[:-12],
    "entity bomb": (BILLION + SVG.format("", "<text>&i;</text>")).encode(),
    "external entity": b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/2000/svg"><text>&x;</text></svg>',
    "zero-size viewBox": b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 0"><rect width="5" height="5"/></svg>',
    "broken viewBox": b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 nan 9"><rect width="5" height="5"/></svg>',
    "no size": b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="10"><rect width="5" height="5"/></svg>',
    "deep": SVG.format("", "<g>" * 20_000 + "</g>" * 20_000).encode(),
    "nested uses": SVG.format(
        "", f'<defs><rect id="u0" width="1" height="1"/>{USES}</defs><use href="#u12"/>'
    ).encode(),
    "svgz bomb": gzip.compress(b" " * (600 << 20), 1),
    "not gzip": b"\x1f\x8b" + b"junk" * 20,
    "html": b"<html><body>no</body></html>",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_sentence_for_hostile_files(name):
    """Within 5 s; the sentence names the file."""
    started = time.monotonic()
    with pytest.raises(BadFile) as found:
        read_artwork(HOSTILE[name], "image/svg+xml", "drawing.svg", 0.05)
    assert time.monotonic() - started < 15  # on a busy test machine; a hang is what is looked for
    text = str(found.value)
    assert text.endswith(".") and "\n" not in text and len(text) < 300
    assert "drawing" in text


def test_hostile_numbers_cost_their_element_only():
    body = '<path id="nan" d="M0 0L nan 5"/><path id="huge" d="M0 0L1e300 1e300"/><rect id="big" width="1e999" height="5"/>'
    body += '<circle id="ok" r="5"/><use id="self" href="#self"/><g id="loop"><use href="#loop"/></g><rect width="5" height="5" transform="scale(0)"/>'
    drawing = read(body)
    assert [s.element for s in drawing.shapes] == ["ok"]
    assert {"nan", "huge", "big"} <= {f.element for f in drawing.findings}
    assert any("refers to itself" in f.text for f in drawing.findings)


def test_odd_encodings_are_read():
    text = SVG.format("", '<rect id="é" width="5" height="5"/>')
    for data in (
        ("﻿" + text).encode("utf-8"),
        ('<?xml version="1.0" encoding="UTF-16"?>' + text).encode("utf-16"),
        ('<?xml version="1.0" encoding="ISO-8859-1"?>' + text).encode("latin-1"),
        gzip.compress(text.encode()),
    ):
        assert read_artwork(data, "image/svg+xml", "a.svg", 0.1).shapes[0].element == "é"


def test_reading_can_be_cancelled():
    def stop(done: float) -> None:
        raise Cancelled

    body = '<path d="M0 0C10 10 20 20 30 0S50 5 60 9"/>' * 3000
    with pytest.raises(Cancelled):
        read_artwork(SVG.format("", body).encode(), "image/svg+xml", "a.svg", 0.001, stop)


def test_memory_stays_a_small_multiple_of_the_file():
    body = '<path d="M0 0' + "l1 1" * 200 + '"/>'
    data = SVG.format("", body * 400).encode()
    tracemalloc.start()
    read_artwork(data, "image/svg+xml", "a.svg", 0.1)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 60 * len(data)


def test_kinds_of_files_are_recognized_by_content():
    assert media_of(b"<svg/>", "x") == "image/svg+xml"
    assert media_of(b"\x89PNG\r\n\x1a\n123", "a.svg") == "image/png"
    with pytest.raises(BadFile, match=r"a\.txt"):
        media_of(b"hello", "a.txt")


def test_letters_are_placed_one_by_one_and_styled():
    drawing = read(
        '<text x="11 31 51" y="20" font-size="8" fill="#c02020">AB<tspan fill="#0000ff" dy="5" font-weight="bold">C</tspan></text>'
    )
    red, blue = drawing.shapes
    assert (red.paint.colour, blue.paint.colour) == ("#c02020", "#0000ff")
    assert {round(float(p[:, 0].min() - 11) / 20) for p in red.paths} == {0, 1}
    assert max(p[:, 1].max() for p in blue.paths) == pytest.approx(25, abs=0.3)


def test_a_missing_font_is_reported():
    drawing = read('<text y="20" font-family="No Such Face">word</text>')
    assert "not installed" in drawing.findings[0].text and drawing.shapes


@pytest.mark.parametrize(
    "page",
    [
        b"<!DOCTYPE html>\n<html><head><meta charset=utf-8><title>404</title></head><body><br></body></html>",
        b"\xef\xbb\xbf  <html><body><svg xmlns='http://www.w3.org/2000/svg'/></body></html>",
        b"<?xml version='1.0'?><!-- saved --><!doctype HTML PUBLIC '-//W3C//DTD XHTML 1.0//EN' 'x'><html/>",
    ],
)
def test_a_web_page_saved_as_a_drawing_is_called_one(page):
    """HTML Living Standard, 13.1.1: how pages begin. An SVG with a foreign html element within is none."""
    with pytest.raises(BadFile, match=r"sage\.svg is a web page"):
        parse(page, "sage.svg")


def test_a_drawing_that_speaks_of_html_is_none():
    text = b"<svg xmlns='http://www.w3.org/2000/svg'><!-- <html> --><title>html</title></svg>"
    assert parse(text, "a.svg") is not None
