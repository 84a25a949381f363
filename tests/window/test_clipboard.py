"""Copy, cut and paste between windows and from other programs; dropping."""

import json

import pytest
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication, QImage

from tests.support.hands import on_screen
from wallwright.document import artwork_exchange, edits, edits_arrangement, generated_artwork
from wallwright.document.document import Document, Ink
from wallwright.document.errors import BadFile
from wallwright.planning.demo import demo_document
from wallwright.window.features.clipboard import feature as clipboard
from wallwright.window.model.foreign_formats import is_usable, sources_in
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.mime_import import import_mime
from wallwright.window.model.models import Models

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm"><path d="M0 0h50v20"/></svg>'


@pytest.fixture(autouse=True)
def empty_clipboard(qapp):
    """The clipboard of Qt without a screen outlives Python and then frees what Python has freed: it is left empty."""
    yield
    QGuiApplication.clipboard().clear()


@pytest.fixture
def models(qtbot):
    models = Models.of(demo_document())
    yield models
    models.close()


def mime_of(**formats: bytes) -> QMimeData:
    mime = QMimeData()
    for kind, data in formats.items():
        mime.setData(kind.replace("_", "/").replace("/plus/", "+"), data)
    return mime


def brought(qtbot, models, mime, centre=None):
    """What lies on the wall after something was brought."""
    before = len(models.project.document.placements)
    assert is_usable(mime) and import_mime(models, mime, centre)
    qtbot.waitUntil(lambda: not models.imports.is_busy, timeout=10_000)
    assert len(models.project.document.placements) == before + 1
    placement = models.project.document.placements[-1]
    return placement, models.project.document.artwork(placement.artwork)


def test_copy_and_paste_in_one_window(window):
    models = window.models
    before = models.project.document
    models.selection.select(PlacementItem("placement-1"))
    window.parts.actions["copy"].trigger()
    window.parts.actions["paste"].trigger()
    window.parts.actions["paste"].trigger()
    first, second, third = models.project.document.placements
    assert (second.x, second.y) == (first.x + 50, first.y + 50) and (third.x, third.y) == (
        first.x + 100,
        first.y + 100,
    )
    assert len(models.project.document.artworks) == 1 and models.selection.placement_ids == (third.id,)
    models.project.undo()
    models.project.undo()
    assert models.project.document == before


def test_cut_and_paste_brings_back(window):
    models = window.models
    before = models.project.document
    models.selection.select(PlacementItem("placement-1"))
    window.parts.actions["cut"].trigger()
    assert models.project.document.placements == () and models.project.document.artworks == ()
    window.parts.actions["paste"].trigger()
    assert (
        models.project.document.placements == before.placements and models.project.document.artworks == before.artworks
    )


def test_another_project_gets_artwork_and_the_pens_it_is_drawn_with(models):
    here = edits.set_ink(demo_document(), "placement-1", Ink("#c02020", "red"))
    other = Document()
    data = artwork_exchange.encode_clip(here, ["placement-1"])
    pasted, ids = artwork_exchange.paste_clip(other, data)
    assert pasted.artworks[0].data == here.artworks[0].data
    assert [p.name for p in pasted.pens] == ["Black marker", "Red marker"]
    again, _ = artwork_exchange.paste_clip(pasted, data)
    assert again.pens == pasted.pens and len(again.artworks) == 1 and len(again.placements) == 2
    # A pen of the same id that is another pen is left alone.
    changed = edits.replace(other, pens=(edits.replace(other.pens[0], id="red", name="Mine"),))
    pasted, (new,) = artwork_exchange.paste_clip(changed, data)
    assert pasted.pens[0].name == "Mine" and pasted.pen(pasted.placement(new).inks[0].pen).name == "Red marker"
    assert ids == ("placement-1",)


def test_pens_that_draw_by_being_nearest_come_along(qtbot, window, models):
    """The demo's four pens were chosen by nobody; in a project with a black one its harbour keeps its colours."""
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.preview is not None, timeout=60_000)
    window.models.selection.select(PlacementItem("placement-1"))
    window.parts.actions["copy"].trigger()
    models.project.load(Document(), None)
    clipboard.paste(models, None)
    names = {p.name for p in models.project.document.pens}
    assert names == {"Black marker"} | {p.name for p in window.models.project.document.pens} and len(names) == 4
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.preview is not None, timeout=60_000)
    used = {
        models.project.document.pens[use.pen].name for use in models.planning.preview.reports[0].colours if use.pen >= 0
    }
    assert used == names


def test_far_from_this_wall_it_comes_to_the_starting_place():
    here = edits_arrangement.move_placements(demo_document(), ["placement-1"], 9000, 0)
    pasted, (new,) = artwork_exchange.paste_clip(Document(), artwork_exchange.encode_clip(here, ["placement-1"]))
    placement = pasted.placement(new)
    assert (placement.x, placement.y) == pytest.approx(Document().hangings[0].start_point)


@pytest.mark.parametrize(
    "change",
    [
        lambda c: c.update(form="other"),
        lambda c: c.update(version=2),
        lambda c: c["placements"][0].update(width=-1.0),
        lambda c: c["placements"][0].update(artwork="missing"),
        lambda c: c.update(extra=1),
        lambda c: c.pop("artworks"),
    ],
)
def test_what_is_broken_is_refused(change):
    content = json.loads(artwork_exchange.encode_clip(demo_document(), ["placement-1"]))
    change(content)
    with pytest.raises(BadFile):
        artwork_exchange.paste_clip(Document(), json.dumps(content).encode())


def test_the_text_is_json_with_base64_as_any_program_reads_it():
    content = json.loads(artwork_exchange.encode_clip(demo_document(), ["placement-1"]))
    assert content["form"] == "wallwright artwork"
    import base64

    assert base64.b64decode(content["artworks"][0]["data"]) == demo_document().artworks[0].data


def test_svg_from_another_program(qtbot, models):
    placement, artwork = brought(qtbot, models, mime_of(image_svg_plus_xml=SVG.encode()), (700.0, 600.0))
    assert artwork.data == SVG.encode() and (placement.x, placement.y) == (700, 600)
    assert placement.width / placement.height == pytest.approx(2)


@pytest.mark.parametrize(
    "put",
    [
        lambda m: m.setText("see this:\n" + SVG),
        lambda m: m.setHtml(f"<html><body><p>a</p>{SVG}</body></html>"),
    ],
)
def test_svg_within_text_and_pages(qtbot, models, put):
    mime = QMimeData()
    put(mime)
    assert brought(qtbot, models, mime)[1].data == SVG.encode()


def test_drawings_of_a_page_come_one_by_one_and_can_be_read(qtbot, models):
    """As browsers write a selection of a page: several drawings, one within another, links without their namespace."""
    inner = '<svg x="1"><path d="M0 0h9"></path></svg>'
    first = f'<svg xmlns="http://www.w3.org/2000/svg" width="80" height="40">{inner}</svg>'
    second = '<svg width="80" height="40"><path id="a" d="M0 0h50v20"></path><use xlink:href="#a" y="9"></use></svg>'
    mime = QMimeData()
    mime.setHtml(f"<html><body><p>a</p><div>{first}</div><svg/> and <b>{second}</b></body></html>")
    before, received = len(models.project.document.placements), []
    models.messages.new_message.connect(received.append)
    assert import_mime(models, mime, None)
    qtbot.waitUntil(lambda: not models.imports.is_busy, timeout=10_000)
    assert len(models.project.document.placements) == before + 2 and received == []
    assert models.project.document.artworks[-2].data == first.encode()


def test_a_page_brings_the_pictures_that_it_carries(qtbot, models):
    import base64

    coded = base64.b64encode(SVG.encode()).decode()
    mime = QMimeData()
    mime.setHtml(f'<p>one</p><img alt="x" src="data:image/svg+xml;base64,{coded}">')
    assert brought(qtbot, models, mime)[1].data == SVG.encode()
    mime = QMimeData()
    mime.setHtml("<img src='https://example.org/a.png'>")
    mime.setText("words")
    assert generated_artwork.generated_content(brought(qtbot, models, mime)[1]).text == "words"


def test_the_address_of_a_picture_is_not_lettered(models):
    """What a browser drags: where the picture is. Nothing is fetched; the person is told what to do."""
    mime = QMimeData()
    mime.setUrls([QUrl("https://example.org/cat.png")])
    mime.setText("https://example.org/cat.png")
    mime.setHtml('<img src="https://example.org/cat.png">')
    before, received = models.project.document, []
    models.messages.new_message.connect(received.append)
    assert is_usable(mime) and import_mime(models, mime, (100.0, 100.0))
    assert models.project.document == before and len(received) == 1 and "save it" in received[0]
    mime.setData("image/png", b"\x89PNG and so on")
    assert sources_in(mime)[0].data == b"\x89PNG and so on"


def test_words_are_lettered_and_their_page_holds_them(qtbot, models):
    mime = QMimeData()
    mime.setText("Café <here>\nand there")
    _, artwork = brought(qtbot, models, mime)
    assert generated_artwork.generated_content(artwork).text == "Café <here>\nand there"
    from wallwright.artwork.artwork_reader import read_artwork

    drawing = read_artwork(artwork.data, artwork.media, artwork.name, 0.1)
    points = [p for shape in drawing.shapes for path in shape.paths for p in path.tolist()]
    assert len(points) > 100
    assert all(-5 <= x <= drawing.width + 5 and -5 <= y <= drawing.height + 5 for x, y in points)


def test_pictures_are_taken_as_they_are(qtbot):
    """The reader of pictures says whether it can draw them; here: which bytes it gets."""
    image = QImage(6, 4, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    mime = QMimeData()
    mime.setImageData(image)
    (given,) = sources_in(mime)
    assert given.data.startswith(b"\x89PNG") and QImage.fromData(given.data).size() == image.size()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "JPG")
    assert sources_in(mime_of(image_jpeg=data.data()))[0].data == data.data()


def test_nothing_usable_gets_a_sentence(window):
    QGuiApplication.clipboard().setMimeData(mime_of(application_octet=b"x"))
    before = window.models.project.document
    window.parts.actions["paste"].trigger()
    assert window.bar.isVisible() and window.models.project.document == before


def test_dropping_svg_data_places_it_there(qtbot, window):
    at = QPointF(on_screen(window, 700, 900))
    mime = mime_of(image_svg_plus_xml=SVG.encode())
    event = QDropEvent(at, Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    window.canvas.dropEvent(event)
    qtbot.waitUntil(lambda: len(window.models.project.document.placements) == 2, timeout=10_000)
    placement = window.models.project.document.placements[-1]
    assert (placement.x, placement.y) == (pytest.approx(700, abs=8), pytest.approx(900, abs=8))
