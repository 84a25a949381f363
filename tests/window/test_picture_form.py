"""Pictures in the window: dropped, drawn in a style, seen while a slider moves, undone."""

from types import SimpleNamespace

import numpy as np
import pytest
import shiboken6
from PIL import Image
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel, QWidget

from tests.planning.test_pictures import picture_document
from tests.support.planners import Scripted
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.language import Language, duration, set_language
from wallwright.document.picture import STYLES, CrossHatch, EdgeLines, ScanLines, Spiral
from wallwright.planning.plan import Goal, StyleSample
from wallwright.strokes.fills.quickest import DrawingPace, drawing_seconds
from wallwright.strokes.pictures.style_times import LayerInk, seconds_of_styles
from wallwright.strokes.strokes import Strokes
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.items import WALL, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.picture_form import PictureForm, rounded
from wallwright.window.widgets.picture_choice import PICTURE, SCROLLER, WORDS, cell_size
from wallwright.window.widgets.slider_field import SliderField


@pytest.fixture
def window(qtbot, tmp_path):
    window = ProjectWindow(Models.of(Document()), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    return window


def unbroken(seconds: float) -> str:
    """A time that no line ends within."""
    return duration(seconds).replace(" ", "\u00a0")


@pytest.fixture
def brought(qtbot, window, tmp_path):
    """The form of a picture that was brought onto the wall."""
    path = tmp_path / "ramp.png"
    Image.fromarray(np.tile(np.linspace(30, 255, 60).astype(np.uint8), (40, 1))).save(path)
    window.models.imports.add_files([path], (1000.0, 850.0))
    qtbot.waitUntil(
        lambda: window.models.selection.placement_id is not None and not window.models.imports.is_busy,
        timeout=20_000,
    )
    shown(qtbot, window)
    return window.findChildren(PictureForm)[-1]


def shown(qtbot, window) -> None:
    """Until the canvas shows the document as it is."""
    models = window.models
    qtbot.waitUntil(lambda: models.planning.preview_document is models.project.document, timeout=60_000)


def field(form: PictureForm, title: str) -> SliderField:
    found = [f for f in form.findChildren(SliderField) if f.quantity.title == title and f.isVisibleTo(form)]
    assert len(found) == 1
    return found[0]


def test_a_picture_is_drawn_and_its_style_changed(qtbot, window, brought):
    models = window.models
    assert len(models.planning.preview.strokes) > 20
    box = brought._style
    box.setCurrentIndex(box.findData("scan-lines"))
    box.activated.emit(box.currentIndex())
    assert models.project.document.placements[0].picture.style == ScanLines()
    shown(qtbot, window)
    field(brought, "Spacing (line widths)")
    assert models.planning.preview.reports[0].colours[0].length > 0
    models.project.undo()
    assert models.project.document.placements[0].picture.style == CrossHatch()
    field(brought, "Follow the picture")


def test_each_style_says_how_long_it_takes_before_it_is_chosen(qtbot, window, brought):
    """Dots take several times as long as contour lines; what is said of the style that is drawn is near to its plan."""
    form, models = brought, window.models
    box = form._style
    said = {box.itemData(i): box.itemText(i) for i in range(box.count())}
    assert "about" in said["stipple"] and "about" in said["contours"]
    uses = models.planning.preview.reports[0].colours
    document = models.project.document
    inks = [LayerInk(use.area, document.pens[use.pen].width) for use in uses]
    placement = document.placements[0]
    seconds = seconds_of_styles(inks, (placement.width, placement.height), DrawingPace.of(document))
    assert seconds["stipple"] > 2 * seconds["contours"]
    drawn = drawing_seconds(list(models.planning.preview.strokes), DrawingPace.of(document))
    assert seconds["cross-hatch"] == pytest.approx(drawn, rel=0.5)
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None)
    planned = models.planning.fresh_plan.estimate.total_s
    assert box.itemText(box.findData("cross-hatch")).endswith(f"about {unbroken(rounded(planned))}")
    models.planning.cancel()
    models.project.edit(
        "Size", edits.set_placement(document, placement.id, width=placement.width / 2, height=placement.height / 2)
    )
    form.refresh()  # before it is planned again
    smaller = box.itemText(box.findData("cross-hatch"))
    assert any(smaller.endswith(f"about {unbroken(rounded(planned * share / 100))}") for share in range(15, 40))


def test_hidden_artwork_does_not_show_the_time_of_what_others_draw(qtbot, window, brought):
    models = window.models
    square = b'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm"><path d="M0 0h90v90h-90z"/></svg>'
    document, _ = edits.add_artwork(
        models.project.document, "square.svg", "image/svg+xml", square, (90.0, 90.0), None, 200.0
    )
    document = edits.set_placement(document, brought.placement, visible=False)
    models.project.edit("Hide", document)
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None)
    assert models.planning.fresh_plan.estimate.total_s > 0 and brought._planned_seconds(document) == 0


def test_the_list_of_styles_has_all_times_and_keeps_its_order(qtbot, window, brought):
    """Styles that draw edges or areas have theirs from the sample."""
    models, box = window.models, brought._style
    qtbot.waitUntil(lambda: len(models.samples.found) == len(STYLES) and not models.planning.is_sampling)
    drawn = {name for name, sample in models.samples.found.items() if len(sample.strokes)}
    assert "regions" in drawn
    before = box.currentData()
    box.showPopup()
    assert [box.itemData(i) for i in range(box.count())] == list(
        STYLES
    ) and box.currentData() == before == "cross-hatch"
    assert {box.itemData(i) for i in range(box.count()) if "about" in box.itemText(i)} >= drawn
    box.hidePopup()
    box.setCurrentIndex(box.findData("regions"))
    box.activated.emit(box.currentIndex())
    shown(qtbot, window)
    said = {box.itemData(i): box.itemText(i) for i in range(box.count())}
    assert "about" in said["regions"] and "about" in said["contours"], "areas say nothing of tone; the samples do"


def test_a_plan_that_comes_after_the_page_was_left_troubles_nobody(qtbot, window, brought):
    """Qt's exceptions in slots fail the test."""
    models = window.models
    models.selection.select(WALL)
    qtbot.waitUntil(lambda: not shiboken6.isValid(brought))
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None)


def test_sliders_have_room_and_pens_are_named_in_full(qtbot, window, brought):
    """At the width that the panel has on a small laptop."""
    for slider in brought.findChildren(SliderField):
        if slider.isVisible():
            assert slider.slider.width() >= 72, slider.quantity.title
    for box in brought._pens.values():
        assert box.width() >= box.sizeHint().width()


def test_sliders_have_room_beside_long_german_titles(qtbot, window, brought):
    """Titles of numbers that other styles have once left them 30 pixels."""
    models = window.models
    item = models.selection.item
    set_language(Language("de", ","))
    try:
        models.selection.select(WALL)
        models.selection.select(item)
        form = window.findChildren(PictureForm)[-1]
        qtbot.waitUntil(form.isVisible)
        sliders = [slider for slider in form.findChildren(SliderField) if slider.isVisible()]
        assert len(sliders) > 3
        for slider in sliders:
            assert slider.slider.width() >= 72, slider.quantity.title
            assert form.rect().contains(slider.geometry())
    finally:
        set_language(Language())


def test_the_wall_follows_a_slider_and_one_undo_takes_it_back(qtbot, window, brought):
    models = window.models
    before, length = models.project.document, models.planning.preview.strokes.lengths().sum()
    lightness = field(brought, "Lightness")
    lightness.setFocus()
    for _ in range(10):
        qtbot.keyClick(lightness.slider, Qt.Key.Key_Right)
    assert models.project.document.placements[0].picture.lightness == pytest.approx(0.1)
    assert models.planning.is_planning  # at once, not after a pause
    shown(qtbot, window)
    assert models.planning.preview.strokes.lengths().sum() < 0.97 * length
    models.project.undo()
    assert models.project.document == before
    assert lightness.slider.value() == 100


def test_pens_are_chosen_and_choke_appears(qtbot, window, brought):
    window.parts.editing.add_pen()
    window.models.selection.select(PlacementItem("placement-1"))
    form = window.findChildren(PictureForm)[-1]
    assert [b.isChecked() for b in form._pens.values()] == [
        True,
        False,
    ]  # without a choice the darkest one draws
    next(b for b in form._pens.values() if not b.isChecked()).click()
    assert len(window.models.project.document.placements[0].picture.pens) == 2
    mixing = form._mixing
    mixing.setCurrentIndex(mixing.findData("apart"))
    mixing.activated.emit(mixing.currentIndex())
    field(form, "Gap between colours (line widths)")


def test_each_style_is_shown_with_the_own_picture(qtbot, window, brought):
    samples, box = window.models.samples, brought._style
    qtbot.waitUntil(lambda: len(samples.found) == len(STYLES) and not window.models.planning.is_sampling)
    assert all(not box.itemIcon(i).isNull() for i in range(box.count()))
    # The picture is dark on the left and light on the right: so is what each tone style makes of it.
    for index in (box.findData(name) for name in ("cross-hatch", "stipple", "scan-lines", "halftone")):
        image = box.itemIcon(index).pixmap(PICTURE).toImage().convertToFormat(QImage.Format.Format_Grayscale8)
        columns = [sum(image.pixelColor(x, y).lightness() for y in range(image.height())) for x in range(image.width())]
        half = len(columns) // 2
        assert sum(columns[:half]) < 0.93 * sum(columns[half:]), box.itemText(index)
    asked = []
    window.models.planning.sampled.connect(asked.append)
    document = window.models.project.document
    placement = document.placements[0]
    window.models.project.edit("Move", edits.set_placement(document, placement.id, x=placement.x + 5))
    qtbot.waitUntil(lambda: window.models.planning.plan_is_final)
    assert asked == [], "a picture that is moved has the same samples"
    window.models.project.edit(
        "Lighter", edits.set_field(window.models.project.document, "placements.0.picture.lightness", 0.4)
    )
    qtbot.waitUntil(lambda: None in asked)
    assert len(asked) == len(STYLES) + 1


def scripted(qtbot, tmp_path) -> ProjectWindow:
    """A window on a picture, with a planner that answers on demand; nothing is planned yet."""
    planner, sampler = Scripted(), Scripted()
    window = ProjectWindow(Models.of(picture_document(), planner, sampler), tmp_path / "log")
    window.planner, window.sampler = planner, sampler
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    window.models.selection.select(PlacementItem("placement-1"))
    return window


def words_in(box) -> dict[str, str]:
    return {box.itemData(i): box.itemData(i, WORDS) for i in range(box.count()) if box.itemIcon(i).isNull()}


def test_a_sample_that_is_not_there_says_why(qtbot, tmp_path):
    window = scripted(qtbot, tmp_path)
    box, planning = window.findChildren(PictureForm)[-1]._style, window.models.planning
    planning.plan_now()
    window.models.samples.want("placement-1")
    assert set(words_in(box).values()) == {"After planning…"}
    box.seen.emit(list(range(4, 8)))  # the list is scrolled to them
    request = window.sampler.requests[-1]
    seen = [box.itemData(i) for i in range(4, 8)]
    assert window.planner.requests[-1].goal is Goal.PLAN and planning.is_planning, "the plan goes on"
    assert request.goal is Goal.SAMPLES and list(request.styles[:4]) == seen and set(request.styles) == set(STYLES)
    assert words_in(box)[seen[0]] == "Being drawn…" and words_in(box)[seen[1]] == "Waiting…"
    window.models.samples._patience.timeout.emit()
    assert words_in(box)[seen[0]].startswith("Still being drawn")
    empty = Strokes.empty()
    window.sampler.answer(final=False, sample=StyleSample(seen[0], empty, (30.0, 20.0), "Too much ink."))
    window.sampler.answer(final=False, sample=StyleSample(seen[1], empty, (30.0, 20.0)))
    window.models.samples.receive()
    assert words_in(box)[seen[0]] == "No sample: too much ink" and seen[1] not in words_in(box)
    assert words_in(box)[seen[2]] == "Being drawn…"
    count = len(window.sampler.requests)
    box.seen.emit(list(range(4, 8)))
    assert len(window.sampler.requests) == count, "what is under way is not begun again"
    box.seen.emit(list(range(8, 12)))
    assert not set(window.sampler.requests[-1].styles) & set(seen[:2]), "what is there is not made again"


def test_samples_and_plan_are_made_side_by_side(qtbot, window, brought):
    """With both processes: the opened list ends no plan."""
    models, stages = window.models, []
    document = models.project.document
    models.project.edit("Lighter", edits.set_field(document, "placements.0.picture.lightness", 0.4))
    models.planning.plan_now()
    models.planning.progress_changed.connect(lambda stage, _: stages.append(stage))
    brought._style.seen.emit([0])
    assert models.planning.is_planning and models.samples.is_sampling
    qtbot.waitUntil(lambda: len(models.samples.found) == len(STYLES) and not models.samples.is_sampling)
    qtbot.waitUntil(lambda: models.planning.plan_is_final)
    assert "" not in stages[:-1], "the plan was not given up and begun again"


def test_the_list_of_styles_opens_as_a_grid_on_the_screen(qtbot, window, brought):
    box = brought._style
    box.showPopup()
    view = box.view()
    qtbot.waitUntil(view.isVisible)
    screen, popup = box.screen().availableGeometry(), view.window().frameGeometry()
    assert screen.contains(popup)
    rects = [view.visualRect(box.model().index(i, 0)) for i in range(box.count())]
    assert len({rect.x() for rect in rects}) > 1 and len({rect.y() for rect in rects}) > 1
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=rects[box.findData("spiral")].center())
    assert type(brought.picture.style) is Spiral
    box.hidePopup()


@pytest.mark.parametrize("style", ["cross-hatch", "flow", "regions"])
def test_the_list_of_styles_shows_whole_rows_and_the_chosen_one(qtbot, monkeypatch, window, brought, style):
    """On a screen with room for two rows and a half, too."""
    box, area = brought._style, QRect(0, 0, 1400, 10_000)
    window.models.samples._ask = lambda *_: None  # texts stay as they are
    monkeypatch.setattr(type(box), "screen", lambda _: SimpleNamespace(availableGeometry=lambda: area))
    monkeypatch.setattr(type(box), "mapToGlobal", lambda _, point: point)
    for rows in (10.0, 2.5):
        area.setHeight(round(rows * cell_size(box).height()))
        box.setCurrentIndex(box.findData(style))
        box.showPopup()
        room = box.view().viewport().rect()
        rects = [box.view().visualRect(box.model().index(i, 0)) for i in range(box.count())]
        seen = [rect for rect in rects if rect.intersects(room)]
        assert all(room.top() <= r.top() and r.bottom() <= room.bottom() for r in seen), (rows, room, seen)
        popup = box.view().window()
        strips = [w for w in popup.findChildren(QWidget) if w.metaObject().className() == SCROLLER]
        assert all(strip.maximumHeight() == 0 for strip in strips), "they would cover a part of a row"
        assert rects[box.currentIndex()] in seen and (rows < 10 or len(seen) == len(rects))
        box.hidePopup()


def test_edges_say_why_one_pen_draws_them(window, brought):
    project = window.models.project
    document, _ = edits.add_pen(project.document, "Red", "#cc2222", 1.0)
    project.edit("Pen", document)
    form = window.findChildren(PictureForm)[-1]
    pens = tuple(pen.id for pen in project.document.pens)

    def is_said(style, mixing: str) -> bool:
        picture = edits.replace(form.picture, style=style, mixing=mixing, pens=pens)
        project.edit("Style", edits.set_placement(project.document, form.placement, picture=picture))
        form.refresh()
        return any("the darkest pen draws them all" in x.text() and not x.isHidden() for x in form.findChildren(QLabel))

    assert is_said(EdgeLines(), "mixed")
    assert not is_said(EdgeLines(), "apart") and not is_said(ScanLines(), "mixed")
