"""Words and figures made in the program: their size on the wall, and what cannot be lettered."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.generated.lettering import SOURCES, letter, letters, smoothed
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.generated_artwork import (
    MEDIA,
    HelperFigure,
    PenChart,
    Swatch,
    TextArtwork,
    chart_of,
    decode,
    encode,
    generated_name,
    with_generated_content,
)


def drawn(thing):
    return read_artwork(encode(thing), MEDIA[type(thing)], generated_name(thing), 0.05)


@pytest.mark.parametrize("face", SOURCES)
def test_capitals_are_as_high_as_asked(face):
    """The tables draw capitals of the large sets 21 units high (Wolcott and Hilsenrath, "Tables of Coordinates for Hershey's
    Repertory", NBS Special Publication 424, 1976; from memory)."""
    one = letter("E", face)
    heights = np.concatenate(one.strokes)[:, 1]
    assert heights.max() == pytest.approx(0.0, abs=1.5 / 21)
    assert heights.min() == pytest.approx(-1.0, abs=1.5 / 21)


@given(st.floats(5, 2000), st.sampled_from(list(SOURCES)))
@settings(deadline=None, max_examples=25, derandomize=True)
def test_size_scales_everything(size, face):
    drawing, twice = (
        drawn(TextArtwork("Tide 7", face=face, size=size)),
        drawn(TextArtwork("Tide 7", face=face, size=2 * size)),
    )
    assert (twice.width, twice.height) == pytest.approx((2 * drawing.width, 2 * drawing.height))


def test_a_letter_passes_through_its_table():
    """Curves run through every point of the tables, and stay near them between."""
    from HersheyFonts import HersheyFonts

    fonts = HersheyFonts()
    fonts.load_default_font("futural")
    for character in "SOag38&":
        for stroke in fonts.all_glyphs[character].strokes:
            points = np.array(stroke, float)
            curve = smoothed(points)
            gaps = np.hypot(*(curve[:, None] - points[None]).transpose(2, 0, 1))
            assert gaps.min(axis=0).max() < 1e-9
            steps = np.hypot(*np.diff(points, axis=0).T)
            assert gaps.min(axis=1).max() < 0.6 * steps.max()


def test_curves_have_no_facets():
    """Inside a round letter no two chords meet at more than 15 degrees; the table's own meet at up to 45."""
    way = np.diff(letter("O", "plain").strokes[0], axis=0)
    angles = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    assert np.degrees(np.abs(np.diff(angles))).max() < 15


def test_accents_stand_over_their_letters_and_unknown_letters_are_named():
    found, missing = letters("ÄÉñçů→", "plain")
    assert (len(found), missing) == (5, "→")
    plain = np.concatenate(letter("A", "plain").strokes)
    dotted = np.concatenate(letter("Ä", "plain").strokes)
    assert dotted[:, 1].min() < plain[:, 1].min() - 0.1
    drawing = drawn(TextArtwork("a→b"))
    assert "→" in drawing.findings[0].text and len(drawing.shapes[0].paths) > 2


ALPHABETS = {
    "Latin of European languages": "ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞàáâãäåçèéêëìíîïðñòóôõöøùúûüýþÿĀāĂăĄąĆćČčĎďĐđĒēĖėĘęĚěĞğĢģĦħĪīĮįİĶķĹĺĻļĽľŁł"
    "ŃńŅņŇňŌōŐőŔŕŘřŚśŞşŠšȘșŢţŤťȚțŪūŮůŰűŲųŴŵŶŷŸŹźŻżŽž",
    "Greek": "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρστυφχψωςάέήίόύώϊϋΐΰ",
    "Cyrillic": "АБВГДЕЁЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдеёжзийклмнопрстуфхцчшщъыьэюяІіЇїЄєЈј",
    "signs": "€£§½¼¾°²³±×÷·µ«»¿¡•",
}
"""Letters as the languages' own alphabets list them (Unicode CLDR 44, exemplar characters; from memory)."""


@pytest.mark.parametrize("name", ALPHABETS)
def test_single_lines_have_every_letter_of_an_alphabet(name):
    """Each has ink in its own room, within a capital's height above and half of one below."""
    for character in ALPHABETS[name]:
        found, missing = letters(character, "plain")
        assert not missing, f"{character} is missing"
        points = np.concatenate([stroke for one in found for stroke in one.strokes])
        room = sum(one.advance for one in found)
        assert points[:, 1].min() > -2.0 and points[:, 1].max() < 0.6, character
        assert points[:, 0].min() > -0.35 and points[:, 0].max() < room + 0.35, character
    unlike = {np.concatenate(letter(c, "plain").strokes).tobytes() for c in "ШЩЪЫЬЭЮЯЖЦΔΘΛΞΣΦΨΩ"}
    assert len(unlike) == 18


def test_words_on_an_arc_keep_their_distance_from_its_centre():
    """Feet of capitals lie on the circle: the tips of E's foot and stem within what a flat letter leaves."""
    words = TextArtwork("EEEEEEEE", size=50.0, radius=400.0)
    points = np.concatenate(drawn(words).shapes[0].paths)
    # The frame begins at the box's corner: the circle's centre is found from the feet by least squares.
    best = None
    for x in np.linspace(points[:, 0].mean() - 30, points[:, 0].mean() + 30, 61):
        for y in np.linspace(350, 550, 201):
            radii = np.hypot(*(points - (x, y)).T)
            spread = abs(radii.min() - 400) + abs(radii.max() - 450)
            best = min(best, spread) if best is not None else spread
    assert best < 3.0


def test_outline_letters_are_as_high_as_asked():
    """The box of flat capitals is their height."""
    drawing = drawn(TextArtwork("HIH", lettering="outline", size=90.0))
    assert drawing.height == pytest.approx(90.0, rel=0.005)
    assert drawing.shapes[0].is_region


def test_words_longer_than_their_circle_say_so():
    """Twenty letters of 20 mm are some 400 mm long; a circle of 40 mm radius is 251 mm around."""
    findings = drawn(TextArtwork(text="M" * 20, size=20.0, radius=40.0)).findings
    assert any("251 mm around" in finding.text for finding in findings)
    assert not drawn(TextArtwork(text="M" * 5, size=20.0, radius=40.0)).findings


def test_words_too_large_for_their_arc_or_without_letters_are_refused():
    with pytest.raises(BadFile, match="larger radius"):
        drawn(TextArtwork("tight\nlines", size=100.0, radius=120.0))
    with pytest.raises(BadFile, match="Type some letters"):
        drawn(TextArtwork("   "))


def test_figures_measure_what_they_say():
    square = drawn(HelperFigure("square", width=700.0, height=700.0))
    assert (square.width, square.height) == (700.0, 700.0)
    lengths = sorted(
        np.hypot(*np.diff(np.vstack([p, p[:1]]) if c else p, axis=0).T).sum()
        for p, c in zip(square.shapes[0].paths, square.shapes[0].closed, strict=True)
    )
    assert lengths == pytest.approx([700 * 2**0.5, 700 * 2**0.5, 2800])
    grid = drawn(HelperFigure("grid", width=500.0, height=300.0, pitch=100.0))
    assert len(grid.shapes[0].paths) == 6 + 4
    ruler = drawn(HelperFigure("ruler", width=1000.0, height=40.0, pitch=10.0))
    marks = [p for p in ruler.shapes[0].paths if len(p) == 2 and abs(p[0, 0] - p[1, 0]) < 1e-9]
    places = np.unique([round(p[0, 0] - marks[0][0, 0], 6) for p in marks if p[:, 1].min() == marks[0][0, 1]])
    assert places == pytest.approx(np.arange(101) * 10.0)
    with pytest.raises(BadFile, match="larger spacing"):
        drawn(HelperFigure("grid", width=100_000.0, height=10.0, pitch=0.5))


def test_the_chart_has_the_ink_its_spacings_promise():
    """A patch with lines of the pen at s times its width is inked to 1 / s, measured by shapely."""
    import shapely

    drawing = drawn(PenChart((Swatch("Fine", "#104080", 1.0),), side=60.0))
    lines = [p for p in drawing.shapes[0].paths if len(p) == 2 and p[0, 1] == p[1, 1] and np.ptp(p[:, 0]) > 50]
    ink = shapely.unary_union(shapely.buffer([shapely.LineString(p) for p in lines], 0.5, cap_style="flat"))
    for column, density in enumerate((1.0, 1.5, 2.0, 3.0, 4.0, 6.0)):
        left = column * 60 * 1.35
        patch = shapely.box(left + 0.5, lines[0][0, 1], left + 59.5, lines[0][0, 1] + 54)
        share = shapely.area(shapely.intersection(ink, patch)) / patch.area
        assert share == pytest.approx(1 / density, abs=0.02)


def test_an_edit_keeps_scale_and_centre():
    words = TextArtwork("One")
    first = drawn(words)
    document, placed = edits.add_artwork(
        Document(),
        "One",
        MEDIA[TextArtwork],
        encode(words),
        (first.width, first.height),
        (1000.0, 700.0),
        2 * first.width,
    )
    longer = TextArtwork("One and two")
    second = drawn(longer)
    after = with_generated_content(
        document, placed.id, longer, (second.width, second.height), (first.width, first.height)
    )
    changed = after.placement(placed.id)
    assert (changed.x, changed.y) == (1000.0, 700.0)
    assert (changed.width, changed.height) == pytest.approx((2 * second.width, 2 * second.height))
    assert after.artworks[0].name == "One and two"
    with pytest.raises(BadValue):
        with_generated_content(document, placed.id, longer, (0.0, 1.0), (1.0, 1.0))


def test_a_chart_follows_the_pens_and_broken_words_are_reported():
    document = edits.set_field(Document(), "pens", (Pen("a", "A", "#ff0000", 3.0),))
    assert chart_of(document).swatches == (Swatch("A", "#ff0000", 3.0),)
    with pytest.raises(BadFile, match="add it again"):
        decode(b'{"text": 5}', MEDIA[TextArtwork], "Text")
