"""Continuing a job after trouble, in the window."""

import itertools
import json
import math

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QFileDialog, QInputDialog, QMenu

from tests.jobs.test_continuation_files import LINES
from tests.support.jobs import document_of
from wallwright.document.continuation import Interruption, StrokePlace
from wallwright.document.edits_interruption import remember_interruption
from wallwright.document.project import read_project, write_project
from wallwright.jobs.checks import Remedy
from wallwright.motion.trajectory import stroke_starts
from wallwright.planning.planner import Planner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.remaining import strokes_digest
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.model.models import Models
from wallwright.window.shell import context_menus

DOCUMENT = document_of(LINES, (100.0, 80.0), width=700.0)


REQUESTS = itertools.count(0, 1000)


@pytest.fixture(scope="module")
def planner():
    """One for all windows here, one after the other: starting it takes most of the time."""
    planner = Planner()
    planner.start()
    really_close, planner.close = planner.close, planner.cancel
    yield planner
    really_close()


@pytest.fixture
def window(qtbot, tmp_path, planner):
    models = Models.of(DOCUMENT, planner)
    models.planning._request = next(REQUESTS)
    window = ProjectWindow(models, tmp_path / "log")
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    window.canvas.fit()
    window.models.planning.plan_now()
    planned(qtbot, window)
    return window


def planned(qtbot, window):
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )


@pytest.fixture
def dialog(qtbot, window):
    """Open at stroke 4, planned."""
    starts = stroke_starts(window.models.planning.plan.motion)
    window.strip.player.seek(float(starts[3]) + 0.5)
    window.parts.actions["continue-job"].trigger()
    dialog = window.parts.continue_job.dialog
    qtbot.waitUntil(dialog.export.isEnabled, timeout=60_000)
    yield dialog
    if window.parts.continue_job.dialog is not None:
        dialog.close()


def write(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_the_moment_and_a_click_on_the_wall_tell_the_stroke(qtbot, window):
    strip, plan = window.strip, window.models.planning.plan
    assert not strip.number.isVisible()
    strip.player.seek(float(stroke_starts(plan.motion)[5]) + 0.1)
    assert strip.number.text() == "Stroke 6 of 8" and strip.number.isVisible()
    # So does the menu of the strip; that of the wall takes the stroke under the pointer.
    window.strip.menu_wanted.emit(QPoint(3, 3))
    menu = next(m for m in window.findChildren(QMenu) if m.isVisible())
    assert menu.actions()[0].text().startswith("Stroke 6 of 8, Black")
    assert window.parts.actions["continue-job"] in menu.actions()
    menu.close()
    middle = plan.strokes[2][len(plan.strokes[2]) // 2]
    menu = context_menus.menu_at(window.parts, window.canvas.view.to_screen(*middle))
    action = next(a for a in menu.actions() if a.text() == "Continue from stroke 3 of 8…")
    action.trigger()
    menu.deleteLater()
    assert strip.number.text() == "Stroke 3 of 8"
    assert window.parts.continue_job.dialog.where.place.stroke == 2
    window.parts.continue_job.dialog.close()


def test_it_opens_at_the_moment_and_the_fields_tell_the_same_place(qtbot, window, dialog):
    where = dialog.where
    assert where.stroke.value() == 4 and where.place.along > 0
    assert "Strokes 4 to 8 of 8" in dialog.summary.text()
    where.stroke.setValue(6)
    assert where.place == StrokePlace(5) and where.along.value() == 0
    seconds = where.clock.time().msecsSinceStartOfDay() / 1000
    assert seconds == pytest.approx(stroke_starts(window.models.planning.plan.motion)[5], abs=1)
    where.clock.setTime(where.clock.time().addSecs(-20))
    assert where.place.stroke < 5
    qtbot.waitUntil(dialog.export.isEnabled, timeout=20_000)
    where.stroke.setValue(8)
    where.along.setValue(where.along.maximum())
    assert "Nothing is left to draw" in dialog.trouble.text() and not dialog.export.isEnabled()


def test_the_same_pen_chosen_again_changes_nothing(qtbot, window, dialog):
    """The clock shows whole seconds; read again, they once moved the stop by centimetres."""
    where, length = dialog.where, dialog.where.along.maximum()
    for share in (0.11, 0.41, 0.77):
        where.along.setValue(round(share * length))
        place = where.place
        where.pen.activated.emit(where.pen.currentIndex())
        assert where.place == place
    where.clock.setTime(where.clock.time().addSecs(1))
    assert where.place != place


def test_the_dialog_fits_a_low_screen_with_its_title_bar(dialog):
    assert dialog.height() <= 700


def test_the_form_needs_no_scrolling_sideways(qtbot, dialog):
    dialog.cautions.more.click()
    qtbot.wait(1)
    assert dialog._area.horizontalScrollBar().maximum() == 0
    dialog.cautions.more.click()


def test_so_many_minutes_before_draws_more(qtbot, window, dialog):
    before = dialog.where.rest().place
    dialog.where.back.setValue(1)
    after = dialog.where.rest().place
    assert (after.stroke, after.along) < (before.stroke, before.along)
    assert dialog.where.place.stroke == 3  # where it stopped stays


def test_a_click_on_the_picture_chooses_the_place_and_drawn_ink_is_pale(qtbot, window, dialog):
    picture, strokes = dialog.picture, window.models.planning.plan.strokes
    middle = strokes[1][len(strokes[1]) // 2]
    at = picture._view.to_screen(*middle).toPoint()
    qtbot.mouseClick(picture, Qt.MouseButton.LeftButton, pos=at)
    assert dialog.where.place.stroke == 1
    dialog.where.stroke.setValue(6)
    for canvas, view in ((picture, picture._view), (window.canvas, window.canvas.view)):
        layer = canvas._ink if canvas is picture else canvas.ink
        qtbot.waitUntil(lambda c=canvas, la=layer: _is_painted(c, la), timeout=20_000)
        image = canvas.grab().toImage()
        drawn, left = (_darkest(image, view, strokes, k) for k in (0, 7))
        assert left < drawn - 25 and drawn < 245, (drawn, left)
    dialog.close()
    canvas = window.canvas
    qtbot.waitUntil(lambda: _is_painted(canvas, canvas.ink), timeout=20_000)
    again = _darkest(canvas.grab().toImage(), canvas.view, strokes, 0)
    assert again < drawn - 25, (again, drawn)


def _is_painted(widget, layer) -> bool:
    widget.grab()
    return layer.is_complete


def _darkest(image: QImage, view, strokes, k: int) -> int:
    """Lightness of the darkest pixel around the middle of a stroke, where others are far."""
    x, y = strokes[k][len(strokes[k]) // 2]
    at = view.to_screen(x, y).toPoint()
    around = [(at.x() + dx, at.y() + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
    return min(image.pixelColor(*p).lightness() for p in around)


def test_where_it_hangs_is_measured_and_the_rest_begins_there(qtbot, window, dialog):
    form = dialog.hang
    form.anchors.click()
    assert not dialog.export.isEnabled() and "Measure from the pen tip" in dialog.trouble.text()
    write(qtbot, form.fields["to_left"], "1280")
    write(qtbot, form.fields["to_right"], "1270 mm")
    qtbot.waitUntil(dialog.export.isEnabled, timeout=20_000)
    x = (1280**2 - 1270**2 + 2000**2) / 4000  # of two circles around 0, 0 and 2000, 0
    assert dialog._rest.start == pytest.approx((x, math.sqrt(1280**2 - x**2)), abs=0.001)
    assert "1006 mm right" in form.message.text()
    write(qtbot, form.fields["to_right"], "500")
    assert "cannot be right" in dialog.trouble.text() and not dialog.export.isEnabled()
    form.place.click()
    write(qtbot, form.fields["across"], "900")
    write(qtbot, form.fields["down"], "85 cm")
    qtbot.waitUntil(dialog.export.isEnabled, timeout=20_000)
    assert dialog._rest.start == (900.0, 850.0)
    write(qtbot, form.fields["down"], "a lot")
    assert "not a number" in dialog.trouble.text()


def test_a_slip_is_reported_and_planned_for(qtbot, window, dialog):
    form, document = dialog.hang, window.models.project.document
    form.slip.click()
    assert "how far off" in dialog.trouble.text()
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    write(qtbot, form.fields["x"], "700")
    write(qtbot, form.fields["y"], "900")
    from wallwright.statics.forward_kinematics import forward_kinematics

    drawn = forward_kinematics(rig, inverse_kinematics(rig, np.array([[700.0, 900.0]])).belts + [3.2, 0.0]).pen[0] - [
        700,
        900,
    ]
    for name, value in (("off_right", drawn[0]), ("off_down", drawn[1]), ("off_sure", 0.1)):
        write(qtbot, form.fields[name], f"{value:.1f}")
    qtbot.waitUntil(dialog.export.isEnabled, timeout=20_000)
    assert "left belt slipped by 16 full steps" in form.message.text()
    assert dialog._rest.known_by == "slip"
    # A click on the picture now says where it was measured, not where it goes on.
    before = dialog.where.place
    strokes = window.models.planning.plan.strokes
    at = dialog.picture._view.to_screen(*strokes.starts[6]).toPoint()
    qtbot.mouseClick(dialog.picture, Qt.MouseButton.LeftButton, pos=at)
    assert dialog.where.place == before
    assert form.seen == pytest.approx(tuple(strokes.starts[6]), abs=12)


def test_export_writes_the_rest_and_the_project_remembers(qtbot, window, dialog, tmp_path, monkeypatch):
    monkeypatch.setattr(ExportDialog, "exec", lambda self: True)
    monkeypatch.setattr(ExportDialog, "folder", tmp_path / "rest")
    place = dialog.where.place
    qtbot.mouseClick(dialog.export, Qt.MouseButton.LeftButton)
    with qtbot.waitSignal(window.models.planning.exported, timeout=60_000):
        pass
    report = json.loads((tmp_path / "rest" / "report-from-stroke-4.json").read_text())
    assert report["continued"]["from_stroke"] == 4 and report["continued"]["of_strokes"] == 8
    assert "belts-from-stroke-4.ngc" in window.bar.sentence.text()
    stopped = window.models.project.document.stopped
    assert stopped.place == place and stopped.of == 8
    qtbot.waitUntil(lambda: window.parts.continue_job.dialog is None)
    planned(qtbot, window)
    check = next(c for c in window.models.planning.plan.checks if c.id == "stopped")
    assert "3 of 8 strokes are drawn" in check.text
    window.apply_remedy(Remedy("forget-stop"))
    assert window.models.project.document.stopped is None
    window.models.project.undo()
    assert window.models.project.document.stopped == stopped


def test_a_line_of_the_file_that_ran_is_found(qtbot, window, dialog, tmp_path, monkeypatch):
    window.models.planning.export(str(tmp_path))
    with qtbot.waitSignal(window.models.planning.exported, timeout=60_000):
        pass
    lines = (tmp_path / "belts.ngc").read_text().splitlines()
    line = next(i for i, text in enumerate(lines, start=1) if text.startswith("(stroke 7 "))
    begun = []
    monkeypatch.setattr(
        QFileDialog, "getOpenFileName", lambda *a: (begun.append(a[2]) or str(tmp_path / "belts.ngc"), "")
    )
    for number, wanted in ((line, "Strokes 7 to 8"), (line + 100_000, "does not exist")):
        monkeypatch.setattr(QInputDialog, "getInt", lambda *a, n=number: (n, True))
        dialog.where.line.click()
        qtbot.waitUntil(lambda w=wanted: w in dialog.summary.text() + dialog.trouble.text(), timeout=20_000)
    assert dialog.where.place == StrokePlace(6)
    assert begun[0] == str(tmp_path / "belts.ngc"), "the question begins where the job was written"


def test_an_edit_under_the_open_dialog_is_planned_before_it_continues(qtbot, window, dialog):
    window.models.project.set_field("Width", "pens.0.width", 1.5)
    assert not dialog.export.isEnabled()
    planned(qtbot, window)
    qtbot.waitUntil(dialog.export.isEnabled, timeout=20_000)
    assert dialog._plan is window.models.planning.plan


def test_an_interrupted_job_is_offered_when_the_project_is_opened(qtbot, window, tmp_path):
    strokes = window.models.planning.plan.strokes
    for digest, offered in ((strokes_digest(strokes), True), ("0" * 32, False)):
        document = remember_interruption(DOCUMENT, Interruption(StrokePlace(2, 10.0), len(strokes), digest))
        write_project(tmp_path / "job.wallwright", document)
        window.bar.hide()
        window.models.project.load(read_project(tmp_path / "job.wallwright"), tmp_path / "job.wallwright")
        planned(qtbot, window)
        assert window.bar.isVisible() == offered
        check = next(c for c in window.models.planning.plan.checks if c.id == "stopped")
        assert ("continue" in check.remedies) == offered
        if offered:
            assert "2 of 8 strokes are drawn" in window.bar.sentence.text()
            window.apply_remedy(Remedy("continue"))
            assert window.parts.continue_job.dialog.where.place == StrokePlace(2, 10.0)
            window.parts.continue_job.dialog.close()
