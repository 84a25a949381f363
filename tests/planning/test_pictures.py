"""Pictures through planning: drawn once, then moved; traced like other artwork."""

import io

import numpy as np
import pytest
from PIL import Image

from wallwright.artwork.raster.pen_layers import chosen_pens
from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.picture import STYLES, CrossHatch, PictureSettings, Regions
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner


def picture_document(style=None) -> Document:
    """Two stripes of red and black, 300 mm wide, in the middle of the usual wall."""
    pixels = np.full((40, 60, 3), 255, np.uint8)
    pixels[5:20, 5:55], pixels[20:35, 5:55] = (200, 30, 30), (20, 20, 20)
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG")
    document, placed = edits.add_artwork(
        Document(), "stripes.png", "image/png", buffer.getvalue(), (60.0, 40.0), (1000.0, 850.0), 300.0
    )
    return edits.set_placement(document, placed.id, picture=PictureSettings(style or CrossHatch()))


def preview(runner: Runner, document: Document):
    return runner.run(Request(1, document, Goal.PREVIEW)).preview


def test_a_moved_picture_is_not_drawn_again():
    runner = Runner()
    document = picture_document()
    before = preview(runner, document)
    calls = []
    moved = edits.set_placement(document, "placement-1", x=1010.0, turn=np.pi / 2)
    answer = runner.run(Request(2, moved, Goal.PREVIEW), lambda stage, done: calls.append(stage))
    assert "strokes" not in calls
    middle = np.array([1000.0, 850.0])
    x, y = (before.strokes.points - middle).T
    turned = np.column_stack([-y, x]) + middle + [10, 0]
    assert answer.preview.strokes.points == pytest.approx(turned, abs=1e-9)
    assert before.reports[0].elements == ("stripes.png",)
    assert set(before.strokes.source) == {0}


def test_a_new_style_or_size_is_drawn_again():
    runner = Runner()
    document = picture_document()
    first = preview(runner, document)
    lighter = edits.set_field(document, "placements.0.picture.lightness", 0.5)
    larger = edits.set_placement(document, "placement-1", width=360.0, height=240.0)
    assert preview(runner, lighter).strokes.lengths().sum() < 0.9 * first.strokes.lengths().sum()
    assert preview(runner, larger).strokes.lengths().sum() > 1.2 * first.strokes.lengths().sum()


def test_traced_regions_go_to_pens_like_other_artwork():
    document, _ = edits.add_pen(picture_document(Regions(colours=3)), "Red", "#c02020", 2.0)
    found = preview(Runner(), document)
    uses = {u.colour: u for u in found.reports[0].colours}
    assert uses["#c81e1e"].pen == 1
    assert uses["#141414"].pen == 0
    assert uses["#c81e1e"].area == pytest.approx(250 * 75, rel=0.01)
    assert set(found.strokes.pen) == {0, 1}


def test_a_removed_pen_leaves_the_picture():
    document, red = edits.add_pen(picture_document(), "Red", "#c02020", 2.0)
    document = edits.set_field(document, "placements.0.picture.pens", (red.id,))
    assert validate(edits.remove_pen(document, red.id)).placements[0].picture.pens == ()
    with pytest.raises(BadValue, match="not in the list"):
        validate(edits.set_field(document, "placements.0.picture.pens", ("nobody",)))


def test_every_line_style_is_tried_on_a_small_copy():
    """Samples have the picture's shape, are drawn by the chosen pens, and change nothing that is kept of the wall."""
    runner, samples, calls = Runner(), [], []
    document = picture_document()
    before = preview(runner, document)
    answer = runner.run(
        Request(2, document, Goal.SAMPLES, placement="placement-1"),
        early=lambda response: samples.append(response.sample),
    )
    assert answer.preview is None and answer.plan is None
    assert [sample.style for sample in samples] == list(STYLES)
    chosen = chosen_pens(PictureSettings(), document.pens)
    for sample in samples:
        assert sample.size[0] / sample.size[1] == pytest.approx(60 / 40)
        broadest = max(pen.width for pen in document.pens)
        low, high = sample.strokes.points.min(axis=0), sample.strokes.points.max(axis=0)
        assert (low > -2 * broadest).all() and (high < np.array(sample.size) + 2 * broadest).all(), sample.style
        assert sample.style == "regions" or set(sample.strokes.pen) <= set(chosen)
    again = runner.run(Request(3, document, Goal.PREVIEW), lambda stage, done: calls.append(stage)).preview
    assert "strokes" not in calls and np.array_equal(again.strokes.points, before.strokes.points)


def test_a_picture_of_what_is_read_comes_before_its_strokes():
    """Of placements that are named, with the colours of the artwork (Pillow reads it)."""
    runner, order = Runner(), []
    document = picture_document()

    def early(response):
        order.append("preview" if response.preview is not None else response.pictures)

    runner.run(Request(1, document, Goal.PLAN, unseen=("placement-1", "another")), early=early)
    assert order[1] == "preview" and list(order[0]) == ["placement-1"]
    picture = np.asarray(Image.open(io.BytesIO(order[0]["placement-1"])).convert("RGB")).astype(int)
    rows, columns = picture.shape[:2]
    assert columns / rows == pytest.approx(60 / 40, rel=0.01)
    assert np.abs(picture[round(0.3 * rows), columns // 2] - (200, 30, 30)).max() < 12
    assert np.abs(picture[round(0.7 * rows), columns // 2] - (20, 20, 20)).max() < 12
    order.clear()
    runner.run(Request(2, document, Goal.PLAN), early=early)
    assert order == ["preview"], "nothing that is shown already"
