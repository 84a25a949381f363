"""Letters of installed fonts as single lines, joined scripts on arcs, letters that fonts lack, and kerning."""

import numpy as np
import pytest
import shapely

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.generated.kerning import kerning
from wallwright.artwork.glyphs.fonts import FontRequest
from wallwright.artwork.glyphs.joined_letters import joined
from wallwright.artwork.glyphs.middle_strokes import middle_strokes
from wallwright.artwork.glyphs.shaping import shaped
from wallwright.artwork.shape_regions import region_of
from wallwright.document.generated_artwork import MEDIA, TextArtwork, encode, generated_name

SANS = FontRequest(("DejaVu Sans",))
ARABIC = "سلام"


def drawn(words: TextArtwork):
    return read_artwork(encode(words), MEDIA[TextArtwork], generated_name(words), 0.05)


def glyphs(text: str, wanted: FontRequest = SANS):
    return shaped(text, [wanted] * len(text))


@pytest.mark.parametrize("text", ["HTLEFX", "aegsß&", "жЩΩδ", "3578", ARABIC])
def test_middle_lines_run_inside_the_letter_and_reach_all_of_it(text):
    """Shapely judges: no line leaves the outline, and no place of it is farther from a line than a stem is wide."""
    stem = 0.1  # DejaVu Sans' stems are 0.09 em wide
    for cluster in glyphs(text):
        region = region_of(cluster.rings, False)
        lines = shapely.multilinestrings([shapely.LineString(line) for line in middle_strokes(cluster.rings)])
        outside = shapely.difference(lines, shapely.buffer(region, 0.01))
        assert outside.length < 0.02 * lines.length
        assert shapely.difference(region, shapely.buffer(lines, stem)).area < 0.01 * region.area


@pytest.mark.parametrize(("letter", "strokes"), [("l", 1), ("o", 1), ("L", 1), ("T", 2), ("H", 3), ("X", 2), ("ö", 3)])
def test_straight_stems_are_one_stroke_through_their_joints(letter, strokes):
    """As many runs of the pen as a person makes who prints the letter, X as one line across another."""
    assert len(middle_strokes(glyphs(letter)[0].rings)) == strokes


def test_stems_are_straight_where_others_meet_them():
    """The bar of a T: the axis of its outline bends towards the stem by an eighth of the bar's height."""
    lines = middle_strokes(glyphs("T")[0].rings)
    bar = max(lines, key=lambda line: np.ptp(line[:, 0]))
    assert np.ptp(bar[:, 1]) < 0.006


def test_single_lines_of_a_font_are_as_high_as_asked():
    drawing = drawn(TextArtwork("HIH", lettering="middle-line", family="DejaVu Sans", size=90.0))
    assert drawing.height == pytest.approx(90.0, rel=0.005)
    assert not drawing.shapes[0].is_region


def test_pairs_that_a_font_kerns_are_kerned_and_even_pairs_are_not():
    """Judge: the kerning of DejaVu Sans, by HarfBuzz; pairs that it moves by a tenth of a capital's height or more."""

    def moves(pair: str) -> float:
        apart = sum(glyphs(one)[0].advance for one in pair)
        return (sum(cluster.advance for cluster in glyphs(pair)) - apart) / 0.729

    open_pairs = [a + b for a in "AFLPTVWYr" for b in "AVTYoaey.,"]
    kerned = [pair for pair in open_pairs if moves(pair) <= -0.1]
    assert len(kerned) > 20
    ours = [kerning(pair[0], pair[1], "plain") for pair in kerned]
    assert np.mean(np.array(ours) < 0) > 0.8
    for pair in ("HH", "nn", "oo", "HI", "mn", "no", "ll", "11", "17"):
        assert moves(pair) == 0 and kerning(pair[0], pair[1], "plain") == 0
    assert kerning("T", "o", "script") == 0, "handwriting would no longer join"


def test_kerned_words_are_narrower():
    kerned = drawn(TextArtwork("LTLT", size=100.0)).width
    letters = [drawn(TextArtwork(text, size=100.0)).width for text in ("LL", "TT")]
    assert kerned < sum(letters)


@pytest.mark.parametrize("radius", [150.0, -150.0])
@pytest.mark.parametrize("spacing", [0.0, 8.0])
def test_joined_letters_on_an_arc_keep_their_joins(radius, spacing):
    """The word is in as many pieces on a tight arc, and with letter spacing, as the font has it on a straight line."""

    def pieces(words: TextArtwork) -> int:
        region = region_of(drawn(words).shapes[0].paths, False)
        return len(shapely.get_parts(shapely.buffer(region, 0.05)))

    words = {"lettering": "outline", "family": "DejaVu Sans", "size": 60.0}
    straight = pieces(TextArtwork(ARABIC, **words))
    assert straight < len(ARABIC)
    assert pieces(TextArtwork(ARABIC, radius=radius, spacing=spacing, **words)) == straight
    assert any(joined(glyphs(ARABIC))) and not any(joined(glyphs("HIH")))


def test_letters_that_join_along_a_path_bend_with_it():
    """An SVG's text on a circle, whose letters joined are in as many pieces as straight ones."""
    head = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 400 400'><path id='p' fill='none' d='{0}'/>"
    text = "<text font-family='DejaVu Sans' font-size='60'><textPath href='#p' startOffset='50'>{0}</textPath></text></svg>"
    counts = []
    for path in ("M 0 200 H 400", "M 120 200 A 80 80 0 0 1 280 200"):
        data = (head.format(path) + text.format(ARABIC)).encode()
        drawing = read_artwork(data, "image/svg+xml", "arc.svg", 0.05)
        region = region_of([p for shape in drawing.shapes if shape.is_region for p in shape.paths], False)
        counts.append(len(shapely.get_parts(shapely.buffer(region, 0.02))))
    assert counts[0] == counts[1]


def test_letters_that_are_lacking_are_named_and_drawn_in_another_font_or_left_out():
    replaced = drawn(TextArtwork("a→b", family="DejaVu Sans"))
    assert len(replaced.findings) == 1
    assert "→" in replaced.findings[0].text and "DejaVu Sans" in replaced.findings[0].text
    left_out = drawn(TextArtwork("a→b", missing="leave-out"))
    assert "→" in left_out.findings[0].text and "left out" in left_out.findings[0].text
    assert left_out.width < replaced.width
    nowhere = drawn(TextArtwork("a\U0001f9ffb", lettering="outline"))
    assert "\U0001f9ff" in nowhere.findings[0].text
