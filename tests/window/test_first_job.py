"""The first page brings a newcomer from nothing to a checked job that can be exported, by keys and mouse alone."""

import itertools

import msgspec
import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QDir, QPoint, QSizeF, Qt, QTimer
from PySide6.QtWidgets import QCheckBox, QFileDialog, QPushButton, QToolButton

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.document.saved_presets import SavedPresets
from wallwright.document.start_answers import Opening, StartAnswers, answers_file, read_answers
from wallwright.jobs.checks import Verdict
from wallwright.planning.move_in import PLACING_RESERVE
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import TORQUE_RESERVE, broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.start.guided_start import GuidedStart, said_of_long_walls
from wallwright.window.features.start.guided_start_pages import MachinePage
from wallwright.window.features.start.line_widths import PICTURE, WIDTHS
from wallwright.window.features.start.thumbnails import picture_of
from wallwright.window.model.models import Models
from wallwright.window.model.screen_scale import pixels_per_mm
from wallwright.window.model.start_proposal import StartSketch, first_box, proposed_wall, sketch_of
from wallwright.window.widgets.number_field import NumberField

STAR = b"""<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="57mm" viewBox="0 0 100 95">
<path fill="#d02020" d="M50 0l15 32 35 4-26 24 7 35-31-18-31 18 7-35-26-24 35-4z"/></svg>"""


@pytest.fixture
def start(qtbot, tmp_path):
    window = ProjectWindow(Models.of(Document()), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    window.parts.start.show()
    qtbot.waitExposed(window)
    return window


def enter(qtbot, form, name: str, text: str) -> None:
    field = next(f for f in form.findChildren(NumberField) if f.accessibleName() == name)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_anchors_follow_the_wall_until_they_are_entered(qtbot, start):
    form = start.parts.start.page.guide
    enter(qtbot, form, "Wall width", "1.5 m")
    assert form.answers.wall == proposed_wall(form.answers) and form.answers.wall.distance < 1500
    enter(qtbot, form, "Wall width", "4 m")
    assert form.answers.wall == proposed_wall(form.answers) and form.answers.wall.distance > 2000
    form.show_page(1)
    enter(qtbot, form, "Distance between anchors", "2.2 m")
    form.show_page(0)
    enter(qtbot, form, "Wall width", "3.5 m")
    assert (form.answers.wall.width, form.answers.wall.distance) == (3500, 2200)


def test_from_nothing_to_a_checked_job_and_back_to_it_by_its_picture(qtbot, start, tmp_path, monkeypatch):
    file = tmp_path / "star.svg"
    file.write_bytes(STAR)
    form, models = start.parts.start.page.guide, start.models
    enter(qtbot, form, "Wall width", "3.6 m")
    qtbot.waitUntil(lambda: "fits" in form.message.text(), timeout=20_000)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *args: (str(file), ""))
    form.show_page(3)
    qtbot.mouseClick(form.pens.choose, Qt.MouseButton.LeftButton)
    assert form.pens.choose.text() == "star.svg"
    qtbot.mouseClick(form.make, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: models.planning.is_exportable, timeout=60_000)
    assert not start.parts.start.is_shown and models.project.document.wall.width == 3600
    assert all(check.verdict is not Verdict.ERROR for check in models.planning.plan.checks)
    assert models.planning.plan.estimate.total_s > 0 and start.parts.actions["export"].isEnabled()
    # Saved and left, it is on the first page with its picture, and one click brings it back.
    project = tmp_path / "star.wallwright"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(project), ""))
    start.parts.actions["save"].trigger()
    saved = models.project.document
    start.parts.actions["start"].trigger()
    picture = picture_of(project).toImage()
    colours = [picture.pixelColor(x, y) for x in range(picture.width()) for y in range(picture.height())]
    dark = [c for c in colours if c.alpha() > 200 and c.lightness() < 90]  # the star in the black marker
    assert 20 < len(dark) < len(colours) / 4
    button = next(b for b in start.parts.start.page.findChildren(QToolButton) if b.accessibleName() == "Open star")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not start.parts.start.is_shown, timeout=20_000)
    assert models.project.document == saved and models.project.path == project


def test_the_button_says_that_the_project_is_being_created(qtbot, start):
    form, said = start.parts.start.page.guide, []
    form.made.connect(lambda *_: said.append(form.make.text()))
    before = form.make.text()
    qtbot.mouseClick(form.make, Qt.MouseButton.LeftButton)
    assert said == ["Creating…"] and form.make.text() == before and not start.parts.start.is_shown


def test_what_cannot_be_is_reported_before_anything_is_made(qtbot, start):
    form = start.parts.start.page.guide
    form.show_page(1)
    apart = next(f for f in form.findChildren(NumberField) if f.accessibleName() == "Distance between anchors")
    apart.setFocus()
    apart.selectAll()
    qtbot.keyClicks(apart, "9 m")
    qtbot.keyClick(apart, Qt.Key.Key_Return)
    form.look()
    assert form.message.text() and not form.make.isEnabled() and start.parts.start.is_shown
    assert isinstance(form.make, QPushButton)


def test_answers_are_remembered_for_the_next_project(qtbot, start):
    """Pens, an opening, and what the machine takes."""
    guide = start.parts.start.page.guide
    qtbot.mouseClick(guide.wall.openings[0], Qt.MouseButton.LeftButton)
    guide.machine.takes.setCurrentIndex(guide.machine.takes.findData("drawing"))
    guide.machine.takes.activated.emit(guide.machine.takes.currentIndex())
    for box, value in ((guide.machine.asks, ["distance", "left", "top"]), (guide.machine.placing, "wall")):
        assert box.isVisibleTo(guide.machine), "questions about its page"
        box.setCurrentIndex(box.findData(value))
        box.activated.emit(box.currentIndex())
    guide.show_page(3)
    for name in ("Red marker", "Yellow marker", "Black marker"):  # the last one is not owned
        box = next(b for b in guide.pens.findChildren(QCheckBox) if b.text() == name)
        box.click()
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    document = start.models.project.document
    assert [p.name for p in document.pens] == ["Yellow marker", "Red marker"], "from light to dark"
    (door,) = document.wall.keep_outs
    assert door.name == "Door" and max(y for _, y in door.outline) == document.wall.floor
    controller = document.machine.controller
    assert controller.takes == "drawing" and controller.page.is_known
    assert (controller.page.asks, controller.page.placing) == (("distance", "left", "top"), "wall")
    again = GuidedStart()
    qtbot.addWidget(again)
    assert again.document() == document


def test_a_machine_of_another_kind_is_not_asked_about_a_page(qtbot, start):
    page = start.parts.start.page.guide.machine
    for value, is_asked in (("plane", False), ("unknown", True), ("belts", False)):
        page.takes.setCurrentIndex(page.takes.findData(value))
        page.takes.activated.emit(page.takes.currentIndex())
        assert page.asks.isVisibleTo(page) == page.placing.isVisibleTo(page) == is_asked
    assert page.takes.currentData() == "belts"


def test_openings_that_are_added_stand_beside_each_other(qtbot, start):
    guide = start.parts.start.page.guide
    for is_door in (True, False, False):  # as many as a wall of 3 m has room for
        qtbot.mouseClick(guide.wall.openings[0 if is_door else 1], Qt.MouseButton.LeftButton)
    placed = sorted(guide.answers.openings, key=lambda opening: opening.left)
    assert len(placed) == 3
    assert all(a.left + a.width <= b.left for a, b in itertools.pairwise(placed))
    assert {keep_out.kind for keep_out in guide.document().wall.keep_outs} == {"obstacle"}


@pytest.mark.parametrize(("width", "is_long"), [(3000.0, False), (3600.0, False), (6000.0, True)])
def test_a_wall_wider_than_one_hanging_draws_says_that_there_can_be_parts(qtbot, start, width, is_long):
    """With the name of the button that the check then has first."""
    guide = start.parts.start.page.guide
    guide.wall.fields["width"].entered.emit(width)
    guide.look()
    text = guide.message.text().replace("\N{NO-BREAK SPACE}", " ")
    assert ("is drawn in parts" in text) == ("“Add hangings to cover the artwork”" in text) == is_long


def test_an_opening_hides_what_its_name_says():
    socket = Opening("Socket", 500.0, 300.0, 80.0, 80.0)
    (keep_out,) = StartAnswers(openings=(socket,)).document().wall.keep_outs
    assert keep_out.kind == "electrical"


def test_the_line_width_is_that_of_all_ticked_pens(qtbot, start):
    guide = start.parts.start.page.guide
    guide.show_page(3)
    next(b for b in guide.pens.findChildren(QCheckBox) if b.text() == "Red marker").click()
    guide.pens.width_field.entered.emit(1)
    assert {pen.width for pen in guide.answers.pens} == {1.0}
    next(b for b in guide.pens.findChildren(QCheckBox) if b.text() == "Green marker").click()
    assert [pen.width for pen in guide.answers.pens] == [1.0] * len(guide.answers.pens)


def test_a_width_is_chosen_by_a_drawn_line(qtbot, start):
    """Each line is drawn as wide as it is on this screen (counted in the picture), and choosing one sets the number."""
    guide = start.parts.start.page.guide
    guide.show_page(3)
    lines = guide.pens.widths
    qtbot.waitUntil(lambda: not lines.findChildren(QToolButton)[0].icon().isNull())
    for button, width in zip(lines.findChildren(QToolButton), WIDTHS, strict=True):
        image = button.icon().pixmap(PICTURE).toImage()
        column = [image.pixelColor(image.width() // 2, y).alphaF() for y in range(image.height())]
        assert sum(column) == pytest.approx(width * pixels_per_mm(start.screen()), abs=0.6)
    qtbot.mouseClick(lines.findChildren(QToolButton)[WIDTHS.index(3.0)], Qt.MouseButton.LeftButton)
    assert {pen.width for pen in guide.answers.pens} == {3.0} and guide.pens.width_field.text() == "3 mm"
    assert [b.isChecked() for b in lines.findChildren(QToolButton)] == [width == 3.0 for width in WIDTHS]


def test_answers_that_cannot_be_read_give_the_usual_ones(own_state):
    answers_file().parent.mkdir(parents=True, exist_ok=True)
    for content in (b"{", b'{"wall": 3}', b"\xff\xfe", b'{"wall": {"width": "wide"}}'):
        answers_file().write_bytes(content)
        assert read_answers() == StartAnswers()


def test_proposed_anchors_give_the_largest_picture(qtbot):
    """Of a wide, low wall: larger than the usual distance gives."""
    answers = StartAnswers(wall=NewWall(width=6000.0, height=2400.0, distance=1000.0))
    before, wall = sketch_of(answers.document(), 0.75), proposed_wall(answers)
    after = sketch_of(msgspec.structs.replace(answers, wall=wall).document(), 0.75)
    assert after.box[2] - after.box[0] > 1.3 * (before.box[2] - before.box[0])


def test_the_size_that_the_start_page_promises_is_the_one_that_artwork_gets(qtbot):
    document = StartAnswers().document()
    for ratio in (0.7, 1.25):
        assert sketch_of(document, ratio).box == first_box(document, 0, ratio)


HEAVY_WALL = NewWall(width=8000.0, height=2600.0, distance=4500.0)
"""With a body of 1.1 kg the motors keep their reserve in a small part of its zone only."""


def heavy(mass: float = 1.1, wall: NewWall = HEAVY_WALL) -> StartAnswers:
    return StartAnswers(wall=wall, machine=edits.with_field(usual_machine(), "body.mass", mass))


MARGINS = b"""<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="180mm" viewBox="0 0 200 180">
<rect width="200" height="180" fill="#ffffff"/><rect x="30" y="70" width="150" height="40" fill="none" stroke="#202020"/>
</svg>"""


def test_the_start_page_places_artwork_as_fit_to_draw_zone_does(qtbot, start, tmp_path):
    """It promised 0.86 by 0.74 m for a page with margins, and the button in the project then made it 1475 mm wide."""
    file, guide, models = tmp_path / "margins.svg", start.parts.start.page.guide, start.models
    file.write_bytes(MARGINS)
    guide.show_page(3)
    guide.pens.artwork_chosen.emit(file)
    guide.look()
    promised = guide.picture._box
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: models.planning.is_exportable, timeout=60_000)
    (placed,) = models.project.document.placements
    assert placed.width == pytest.approx(promised[2] - promised[0], rel=0.02)
    assert placed.width > 1.2 * 864, "the ink counts, not its page"
    torque = next(check for check in models.planning.plan.checks if check.id == "torque")
    assert torque.verdict is Verdict.OK, torque.text
    before = models.project.document
    start.parts.editing.fill_zone()
    qtbot.waitUntil(lambda: start.parts.editing._worker is None, timeout=20_000)
    assert models.project.document.placements[0].width == pytest.approx(before.placements[0].width, rel=0.02)


@pytest.mark.parametrize("answers", [StartAnswers(), heavy(), heavy(0.75), heavy(1.3, NewWall())])
def test_the_programs_own_placement_raises_no_warning_about_the_motors(answers):
    """Placed for exactly 1.3 times the pull needed, a job had 1.29 to 1.30 and a warning."""
    document = answers.document()
    left, top, right, bottom = first_box(document, 0, 0.75)
    corners = np.array([[left, top], [right, top], [left, bottom], [right, bottom]])
    usable = document.machine.motor.usable / (1.02 * TORQUE_RESERVE)
    assert not breaks_limits(edits.set_field(document, "machine.motor.usable", usable), corners)


def test_the_reserve_is_drawn_named_and_explained(qtbot, start):
    """The page showed a zone nearly 3.5 m wide and said that a picture of 0.4 by 0.3 m fits, without a word why."""
    guide = start.parts.start.page.guide
    guide._show(heavy())
    guide.look()
    assert guide.picture._reserve_edges and "reserve" in guide.message.text() and "closer" in guide.message.text()
    zone = max(np.ptp(edge[:, 0]) for edge in guide.picture._edges)
    reserve = max(np.ptp(edge[:, 0]) for edge in guide.picture._reserve_edges)
    left, _, right, _ = guide.picture._box
    assert right - left < reserve < zone
    before = guide.picture.grab().toImage()
    guide.picture._reserve_edges = ()
    assert guide.picture.grab().toImage() != before


@pytest.mark.parametrize("mass", [1.1, 1.6, 2.6, 9.0])
def test_the_start_page_is_never_a_dead_end(qtbot, start, mass):
    """It said that the machine cannot draw anywhere, and blocked the button, where the reserve left no room for a photo."""
    guide = start.parts.start.page.guide
    guide._shape = QSizeF(3, 4)
    guide._show(heavy(mass))
    guide.look()
    assert guide.make.isEnabled()
    has_zone = bool(guide.picture._edges)
    assert ("cannot draw anywhere on this wall: " in guide.message.text()) is not has_zone
    assert (guide.picture._box is not None) is has_zone
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    assert start.models.project.document.machine.body.mass == mass


def test_anchors_follow_the_machine_until_their_distance_is_entered(qtbot, start):
    """They were proposed for the usual machine, and stayed when a heavier body was entered two pages later."""
    form = start.parts.start.page.guide
    enter(qtbot, form, "Wall width", "4 m")
    light = form.answers.wall.distance
    form.show_page(2)
    enter(qtbot, form, "Mass", "1.1 kg")
    assert form.answers.wall == proposed_wall(form.answers) and form.answers.wall.distance < light
    form.show_page(1)
    enter(qtbot, form, "Anchors below the ceiling", "450 mm")
    assert form.answers.wall == proposed_wall(form.answers, keeps_drop=True) and form.answers.wall.drop == 450
    enter(qtbot, form, "Distance between anchors", "2.2 m")
    form.show_page(2)
    enter(qtbot, form, "Mass", "0.8 kg")
    assert form.answers.wall.distance == 2200


def test_the_button_that_proposes_anchors_answers(qtbot, start):
    guide = start.parts.start.page.guide
    guide.show_page(1)
    enter(qtbot, guide, "Distance between anchors", "1.1 m")
    qtbot.mouseClick(guide.anchors.propose, Qt.MouseButton.LeftButton)
    assert f"{guide.answers.wall.distance:.0f} mm apart" in guide.anchors.answer.text()
    qtbot.mouseClick(guide.anchors.propose, Qt.MouseButton.LeftButton)
    assert "already the best" in guide.anchors.answer.text()
    guide.show_page(0)
    enter(qtbot, guide, "Wall width", "5 m")
    assert guide.anchors.answer.text() == "" and guide.answers.wall == proposed_wall(guide.answers), "they follow again"


def test_a_door_is_dragged_to_its_place_and_measured(qtbot, start):
    """It always stood at the right edge of the wall."""
    guide = start.parts.start.page.guide
    qtbot.mouseClick(guide.wall.openings[0], Qt.MouseButton.LeftButton)
    guide.look()
    (door,) = guide.answers.openings
    assert (door.left, door.bottom) == (2100, 0)
    picture = guide.picture
    wall = guide.document().wall
    scale = picture._view(wall).scale
    at = picture._view(wall).to_screen(wall.left + 2500, wall.floor - 900).toPoint()
    qtbot.mousePress(picture, Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(picture, at - QPoint(round(600 * scale), round(300 * scale)))
    qtbot.mouseRelease(picture, Qt.MouseButton.LeftButton, pos=at - QPoint(round(600 * scale), 0))
    (door,) = guide.answers.openings
    assert door.left == pytest.approx(1500, abs=1 / scale + 10) and door.bottom == 0, "it stands on the floor"
    place, size = guide.wall.places[0]
    qtbot.waitUntil(place.isVisible)
    for field, text in ((place, "200, 0 mm"), (size, "800, 1900 mm")):
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Return)
    assert guide.answers.openings == (Opening("Door", 200.0, 0.0, 800.0, 1900.0),)
    place.setFocus()
    place.selectAll()
    qtbot.keyClicks(place, "2500, 0")
    qtbot.keyClick(place, Qt.Key.Key_Return)
    assert "3000 by 2500" in place.error and place.text() == "200, 0 mm"


def test_chosen_artwork_can_be_removed_again(qtbot, start, tmp_path, monkeypatch):
    file, guide = tmp_path / "star.svg", start.parts.start.page.guide
    file.write_bytes(STAR)
    guide.show_page(3)
    assert not guide.pens.remove.isVisible()
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *args: (str(file), ""))
    qtbot.mouseClick(guide.pens.choose, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(guide.pens.remove, Qt.MouseButton.LeftButton)
    assert guide.pens.choose.text() == "Choose artwork…" and not guide.pens.remove.isVisible()
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    assert not start.models.imports.is_busy and not start.models.project.document.placements


def test_the_pens_stand_equally_far_apart(qtbot, start):
    """The row of the last pen, beside the button for other colours, was once taller than the others."""
    guide = start.parts.start.page.guide
    guide.show_page(3)
    tops = sorted({box.mapTo(guide, box.rect().center()).y() for box in guide.pens.findChildren(QCheckBox)})
    gaps = [below - above for above, below in itertools.pairwise(tops)]
    assert len(gaps) > 3 and max(gaps) - min(gaps) <= 1


def breaks_limits(document, points) -> bool:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return bool(broken(document.wall, document.machine, rig, inverse_kinematics(rig, points)).any())


def test_artwork_is_placed_as_large_as_fits_inside_the_zone(qtbot):
    """Each corner of the place keeps every limit, with the reserve that motors should have; three tenths larger, one does
    not."""
    document = StartAnswers().document()
    usable = document.machine.motor.usable / PLACING_RESERVE
    spared = edits.set_field(document, "machine.motor.usable", usable)
    for ratio in (0.3, 1.0, 2.5):
        left, top, right, bottom = first_box(document, 0, ratio)
        assert (bottom - top) / (right - left) == pytest.approx(ratio, rel=0.01)
        corners = np.array([[left, top], [right, top], [left, bottom], [right, bottom]])
        assert not breaks_limits(spared, corners)
        middle = corners.mean(axis=0)
        between = (document.hangings[0].left.x + document.hangings[0].right.x) / 2
        assert middle[0] == pytest.approx(between, abs=0.02 * (right - left)), "in the middle of a symmetric zone"
        assert breaks_limits(spared, middle + 1.3 * (corners - middle))


def test_a_photograph_is_mixed_from_all_pens_that_the_person_owns(qtbot, start, tmp_path):
    """Of the guided start, where the pens were just ticked; later the darkest pen alone draws a picture."""
    file, guide = tmp_path / "photo.png", start.parts.start.page.guide
    Image.fromarray(np.tile(np.linspace(30, 255, 60).astype(np.uint8)[:, None], (40, 1, 3))).save(file)
    guide.show_page(3)
    next(b for b in guide.pens.findChildren(QCheckBox) if b.text() == "Red marker").click()
    guide.pens.artwork_chosen.emit(file)
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(start.models.project.document.placements), timeout=20_000)
    document = start.models.project.document
    assert len(document.pens) == 2
    assert set(document.placements[0].picture.pens) == {pen.id for pen in document.pens}


COLOURFUL = b"""<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">
<rect fill="#c02020" width="30" height="60"/><circle fill="#1f4e8c" cx="60" cy="30" r="20"/>
<path fill="#e08a1e" d="M35 55l10 -20 10 20z"/></svg>"""
FILE_DIALOG_CLICKS = 2
"""A file and Open."""
MOST_CLICKS = 15


def test_a_colourful_job_with_two_own_pens_takes_few_clicks(qtbot, start, tmp_path, monkeypatch):
    """From the first page to written files, with the usual answers where a person has none."""
    file, home, clicks = tmp_path / "flag.svg", tmp_path / "home", [0]
    file.write_bytes(COLOURFUL)
    home.mkdir()
    monkeypatch.setattr(QDir, "homePath", lambda: str(home))

    def click(widget) -> None:
        clicks[0] += 1
        qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)

    def chosen_file(*args):
        clicks[0] += FILE_DIALOG_CLICKS
        return str(file), ""

    monkeypatch.setattr(QFileDialog, "getOpenFileName", chosen_file)
    guide, models = start.parts.start.page.guide, start.models
    for _ in range(3):
        click(guide.next)
    for name in ("Red marker", "Blue marker", "Black marker"):
        box = next(b for b in guide.pens.findChildren(QCheckBox) if b.text() == name)
        clicks[0] += 1
        box.click()
    click(guide.pens.choose)
    guide.look()
    box = guide.picture._box
    click(guide.make)
    qtbot.waitUntil(lambda: models.planning.is_exportable, timeout=60_000)
    (placement,) = models.project.document.placements
    assert placement.height / placement.width == pytest.approx(60 / 90, rel=0.01)
    assert placement.width == pytest.approx(box[2] - box[0], rel=0.1), "about as large as the picture showed"

    def export() -> None:
        dialog = start.findChild(ExportDialog)
        clicks[0] += 1
        dialog._export.click()

    QTimer.singleShot(0, export)
    with qtbot.waitSignal(models.planning.exported, timeout=60_000):
        clicks[0] += 1
        start.parts.actions["export"].trigger()
    (folder,) = home.iterdir()
    assert (folder / "belts.ngc").is_file() and (folder / "hanging-sheet.pdf").is_file()
    assert clicks[0] <= MOST_CLICKS
    used = {part.pen for part in models.planning.plan.estimate.per_pen}
    assert len(used) == 2


def test_a_photo_comes_only_with_the_project_that_it_was_chosen_for(qtbot, start, tmp_path, monkeypatch):
    """Whoever would rather keep what is open gets neither the new project nor its photo."""
    photo = tmp_path / "wall.png"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *args: (str(photo), ""))
    added, guide = [], start.parts.start.page.guide
    monkeypatch.setattr(start.models.imports, "add_photo", added.append)
    qtbot.mouseClick(guide.wall.photo, Qt.MouseButton.LeftButton)
    assert guide.wall.photo.text() == "wall.png"
    monkeypatch.setattr(start.files, "may_leave", lambda: False)
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    assert added == [] and start.parts.start.is_shown
    monkeypatch.setattr(start.files, "may_leave", lambda: True)
    qtbot.mouseClick(guide.make, Qt.MouseButton.LeftButton)
    assert added == [photo]
    start.parts.start.show()
    assert guide.wall.photo.text() == "Photo of the wall…", "the next project begins without it"


def test_the_last_pen_can_be_unticked_before_others_are_ticked(qtbot, start):
    """Whoever owns no black pen unticks it first."""
    guide = start.parts.start.page.guide
    guide.show_page(3)
    boxes = {box.text(): box for box in guide.pens.findChildren(QCheckBox)}
    boxes["Black marker"].click()
    assert not any(box.isChecked() for box in boxes.values())
    qtbot.waitUntil(lambda: not guide.make.isEnabled())
    assert guide.message.text() == "Tick at least one pen."
    guide.pens.width_field.entered.emit(3)
    boxes["Red marker"].click()
    boxes["Blue marker"].click()
    assert {(pen.name, pen.width) for pen in guide.document().pens} == {("Red marker", 3.0), ("Blue marker", 3.0)}
    qtbot.waitUntil(guide.make.isEnabled)


def test_a_list_of_machines_is_shown_when_there_is_a_choice(qtbot):
    page = MachinePage()
    qtbot.addWidget(page)
    page.offer(SavedPresets())
    assert not page.form.isRowVisible(page.machines)
    page.offer(SavedPresets(machines=(Machine(name="Mine"),)))
    assert page.form.isRowVisible(page.machines) and page.machines.count() == 2


@pytest.mark.parametrize(("drawn", "is_said"), [((0, 0, 900, 500), True), ((0, 0, 500, 900), False), (None, False)])
def test_only_artwork_that_is_wider_than_high_is_advised_to_be_wider(drawn, is_said):
    sketch = StartSketch((), (), drawn, drawn, True, "")
    assert bool(said_of_long_walls(sketch, 4000.0)) == is_said
    assert said_of_long_walls(sketch, 1000.0) == [], "the wall has no room for it"
