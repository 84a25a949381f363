"""The guided calibration, from test drawing to profile, with mouse and keys."""

import itertools

import numpy as np
import pytest
from PySide6.QtCore import QLineF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from wallwright.document import edits, edits_photo
from wallwright.document.calibration import LEFT, RIGHT
from wallwright.planning.demo import demo_document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.calibration.measure_page import READING
from wallwright.window.model.models import Models


@pytest.fixture
def wizard(qtbot, tmp_path):
    window = ProjectWindow(Models.of(demo_document()), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    window.parts.actions["calibrate"].trigger()
    return window.parts.calibration.wizard


def true_points(wizard) -> dict[str, np.ndarray]:
    """Where a machine with another right anchor and mass centre draws the marks."""
    document = edits.set_field(wizard.models.project.document, "hangings.0.right.x", 2106.0)
    document = edits.set_field(document, "machine.body.centre", (0.0, 28.0))
    place = document.hangings[0]
    marks = wizard.measure.survey.marks
    counts = np.array([(m.left, m.right) for m in marks])
    pens = forward_kinematics(
        CableRobotModel.of(document.machine, place),
        controller_to_belts(document.machine, place, "belts", counts),
    ).pen
    points = dict(zip([m.name for m in marks], pens, strict=True))
    return points | {LEFT: np.zeros(2), RIGHT: np.array([place.right.x, place.right.y])}


def type_reading(qtbot, table, row: int, text: str) -> None:
    table.setCurrentCell(row, READING)
    table.editItem(table.item(row, READING))
    editor = next(e for e in table.viewport().findChildren(QLineEdit) if e.isVisible())
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()  # the table takes the text by a queued call


def test_readings_that_are_typed_ahead_of_a_busy_computer_come_to_their_lines(qtbot, wizard):
    """All keys wait when the window gets to them: no event is processed between two of them."""
    wizard.next()
    table = wizard.measure.table
    table.setCurrentCell(0, READING)
    table.setFocus()
    typed = [900.5 + 3 * row for row in range(6)]
    for value in typed:
        for key in f"{value:g}":
            QTest.keyClick(QApplication.focusWidget(), key)
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert [measure.value for measure in wizard.measure.survey.measures[:6]] == typed


def test_draw_measure_and_keep(qtbot, wizard):
    models = wizard.models
    start = models.project.document
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.findData("grid"))
    wizard.next()
    assert wizard.currentPage() is wizard.measure
    points, table = true_points(wizard), wizard.measure.table
    assert not wizard.measure.isComplete()
    type_reading(qtbot, table, 0, "about a metre")
    assert "not a number" in wizard.measure._message.text() and not models.project.document.hangings[0].survey.read
    for row, measure in enumerate(wizard.measure.survey.measures):
        dx, dy = points[measure.b] - points[measure.a]
        value = {"distance": np.hypot(dx, dy), "across": dx, "down": dy}[measure.kind]
        type_reading(qtbot, table, row, f"{value / 1000:.5f} m" if row % 2 else f"{value:.2f}")
    assert len(models.project.document.hangings[0].survey.read) == table.rowCount()
    wizard.next()
    qtbot.waitUntil(wizard.result_page.isComplete, timeout=20_000)
    assert wizard.result_page.table.rowCount() > 10 and "agree" in wizard.result_page.remarks.text()
    assert "The pen was off by" in wizard.result_page.remarks.text()
    before = models.project.document
    maps = [page._shown for page in (wizard.result_page._before, wizard.result_page._after)]
    largest = [np.nanmax(shown.values) for shown in maps]
    assert largest[1] < 0.5 * largest[0], "the same figure, which calibrating makes smaller"
    assert all(shown.high == pytest.approx(max(largest)) for shown in maps), "the colours reach every number below"
    wizard.accept()
    found = models.project.document
    assert found.hangings[0].right.x == pytest.approx(2106.0, abs=1.5)
    assert found.machine.body.centre[1] == pytest.approx(28.0, abs=3.0)
    models.project.undo()
    assert models.project.document == before
    while models.project.history.past:
        models.project.undo()
    assert models.project.document == start


def test_looking_at_the_readings_changes_nothing(qtbot, wizard):
    """Nothing is to be undone, saved or planned again before the first reading."""
    project = wizard.models.project
    before = project.document
    wizard.next()
    assert wizard.measure.table.rowCount() > 3 and project.document is before and not project.history.past
    wizard.back()
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.findData("few"))
    wizard.next()
    few = wizard.measure.table.rowCount()
    type_reading(qtbot, wizard.measure.table, 0, "812")
    assert len(project.history.past) == 1 and project.document.hangings[0].survey.figure == "few"
    wizard.back()
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.findData("grid"))
    wizard.next()
    assert wizard.measure.table.rowCount() != few and project.document.hangings[0].survey.read
    wizard.back()
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.findData("few"))
    wizard.next()
    assert wizard.measure.table.item(0, READING).text() == "812", "those of the drawing on the wall are still there"
    project.undo()
    assert project.document == before and wizard.measure.table.item(0, READING).text() == ""
    assert wizard.measure.table.rowCount() == few


@pytest.mark.parametrize("figure", ["square", "grid", "few"])
@pytest.mark.parametrize("width", [60.0, 170.0, 900.0])
def test_crosses_are_apart_on_the_wall_and_in_the_picture(qtbot, wizard, figure, width):
    """The test drawing for a small artwork once was as small, and a blob in the picture."""
    project = wizard.models.project
    placement = project.document.placements[0]
    project.edit("Small", edits.set_placement(project.document, placement.id, width=width))
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.findData(figure))
    wizard.draw.initializePage()
    marks, picture = wizard.draw.proposal.marks, wizard.draw.picture
    view = picture.view(project.document.wall)
    for one, other in itertools.combinations(marks, 2):
        assert np.hypot(one.x - other.x, one.y - other.y) > 199
        assert QLineF(view.to_screen(one.x, one.y), view.to_screen(other.x, other.y)).length() >= 36
    for mark in marks:
        at = view.to_screen(mark.x, mark.y)
        assert picture.rect().adjusted(10, 10, -10, -10).contains(at.toPoint())
        assert not (picture.is_close and picture._inset(project.document.wall).contains(at))


def test_it_ends_with_its_project(qtbot, wizard):
    window = wizard.parent()
    window.models.project.load(demo_document(), None)
    assert not wizard.isVisible() and window.parts.calibration.wizard is None


def test_readings_of_ones_own(qtbot, wizard):
    wizard.next()
    page = wizard.measure
    count = page.table.rowCount()
    page._kind.setCurrentIndex(2)
    page._a.setCurrentText(LEFT)
    page._b.setCurrentText(LEFT)
    page._add()
    assert page.table.rowCount() == count and "two different points" in page._message.text()
    page._b.setCurrentText("B")
    page._add()
    assert page.table.rowCount() == count + 1
    assert page.survey.measures[-1].words == "B below left anchor"


def test_test_drawing_is_exported_without_being_shown(qtbot, wizard, tmp_path, monkeypatch):
    from wallwright.window.features.calibration import draw_page

    models = wizard.models

    class Chosen:
        def __init__(self, *_, **__):
            self.folder = tmp_path / "test"

        def exec(self):
            return True

    monkeypatch.setattr(draw_page, "ExportDialog", Chosen)
    with qtbot.waitSignal(models.planning.exported, timeout=60_000):
        wizard.draw.export.click()
    assert (tmp_path / "test" / "hanging-sheet.pdf").exists()
    assert "test" in wizard.draw.written.text()
    wizard.draw.figure.setCurrentIndex(wizard.draw.figure.count() - 1)
    assert not wizard.draw.written.text()  # another one is not written yet
    assert models.project.document.hangings[0].survey.marks and len(models.project.document.placements) == 1
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    assert models.planning.preview_document is models.project.document


def test_return_goes_from_reading_to_reading_and_never_presses_next(qtbot, wizard):
    """A second Return in the table once was Next, a third kept a calibration that nobody had looked at."""
    wizard.next()
    table, before = wizard.measure.table, wizard.models.project.document.hangings[0].right
    for row in range(4):
        assert table.currentRow() == row
        table.editItem(table.currentItem())
        editor = next(e for e in table.viewport().findChildren(QLineEdit) if e.isVisible())
        qtbot.keyClicks(editor, table.item(row, 1).text())
        qtbot.keyClick(editor, Qt.Key.Key_Return)
        QApplication.processEvents()
    assert [m.value is not None for m in wizard.measure.survey.measures[:5]] == [True] * 4 + [False]
    assert wizard.measure.isComplete()
    for _ in range(40):
        qtbot.keyClick(table, Qt.Key.Key_Return)
    assert wizard.currentPage() is wizard.measure
    assert table.currentRow() == table.rowCount() - 1
    assert wizard.models.project.document.hangings[0].right == before


def test_a_slip_of_the_pen_is_reported_while_the_tape_is_at_hand(qtbot, wizard):
    wizard.next()
    table = wizard.measure.table
    about = float(table.item(0, 1).text())
    type_reading(qtbot, table, 0, f"{about + 40}")
    assert wizard.measure._message.text() == ""
    type_reading(qtbot, table, 0, f"{about + 400}")
    assert "far from" in wizard.measure._message.text()
    assert wizard.measure.survey.measures[0].value == about + 400


def test_what_is_no_part_of_the_plan_makes_no_new_one(qtbot, wizard):
    """Going on to the readings, taking one and moving the photo leave a fresh plan fresh."""
    models = wizard.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    plan, preview = models.planning.plan, models.planning.preview
    wizard.next()
    type_reading(qtbot, wizard.measure.table, 0, "1203")
    document = edits_photo.add_photo(models.project.document, "wall.png", "image/png", b"\x89PNG", (400, 300))
    models.project.edit("Photo", document)
    assert (
        models.project.document.hangings[0].survey.measures[0].value == 1203
        and models.project.document.photo is not None
    )
    assert (
        not models.planning.plan_is_stale and not models.planning.is_planning and not models.planning._soon.isActive()
    )
    assert (
        models.planning.plan is plan
        and models.planning.preview is preview
        and models.planning.preview_document is models.project.document
    )
    models.project.undo()
    assert not models.planning.plan_is_stale
    moved = edits.set_placement(models.project.document, "placement-1", x=900.0)
    models.project.edit("Move", moved)
    assert models.planning.plan_is_stale and models.planning._soon.isActive()
    models.cancel()


def test_a_plan_under_way_is_that_of_the_document_with_new_readings(qtbot, wizard):
    models = wizard.models
    models.planning.plan_now()
    wizard.next()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    assert models.planning.plan_document is models.project.document and not models.planning._soon.isActive()
