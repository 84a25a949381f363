"""Pens in the window: their order by dragging and by menu, what is measured of them, saved pens, ink, remedies."""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QCheckBox, QComboBox, QDialog, QLabel, QLineEdit, QPushButton

from tests.support.jobs import document_of
from wallwright.document import edits
from wallwright.document.document import Pen
from wallwright.document.saved_presets import read_presets
from wallwright.jobs.checks import Remedy
from wallwright.planning.offset_figure import OffsetReading, read_offset
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.pens.saved_dialog import SavedPensDialog
from wallwright.window.model.items import PenItem
from wallwright.window.panels.contents import KEY
from wallwright.window.shell.action_ids import ActionId

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 20H90" fill="none" stroke="#202020"/><path d="M50 10V60" fill="none" stroke="#f0d020"/></svg>'
)
PENS = (
    Pen("yellow", "Yellow", "#f0d020", 1.0, drying=5.0),
    Pen("black", "Black", "#202020", 1.0, drying=0.05),
    Pen("blue", "Blue", "#2040c0", 1.0),
)


@pytest.fixture
def pens_window(window):
    document = edits.replace(document_of(ART, centre=(1000.0, 950.0), width=400.0), pens=PENS)
    window.models.project.load(document, None)
    return window


def planned(qtbot, window):
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.plan_is_final, timeout=60_000)


def names(window) -> list[str]:
    return [pen.name for pen in window.models.project.document.pens]


def row_of(contents, pen: str):
    return next(item for item in contents._items() if item.data(0, KEY) == PenItem(pen))


def test_the_remedies_of_friction(pens_window, monkeypatch):
    shown = []
    monkeypatch.setattr(
        MeasurePensDialog, "exec", lambda self: shown.append(self._tabs.tabText(self._tabs.currentIndex()))
    )
    pens_window.apply_remedy(Remedy.MEASURE_FRICTION)
    pens_window.parts.pens.measure()
    assert shown == ["Friction", "Tip in the holder"]
    pens_window.apply_remedy(Remedy.FILL_ONE_WAY)
    assert pens_window.models.project.document.settings.order.fill_lines == "one-way"


def test_a_dragged_pen_changes_the_order(pens_window):
    """A drag runs a loop of the system's; what the tree makes of the drop is tried here."""
    contents = pens_window.contents
    for pen, over, is_below, expected in (
        ("blue", "yellow", False, ["Blue", "Yellow", "Black"]),
        ("blue", "black", True, ["Yellow", "Black", "Blue"]),
        ("yellow", "black", True, ["Black", "Yellow", "Blue"]),
        ("blue", "black", True, ["Black", "Blue", "Yellow"]),
    ):
        contents.drop_pen(pen, row_of(contents, over), is_below)
        assert names(pens_window) == expected
    contents.drop_pen("yellow", row_of(contents, "black").parent(), True)
    assert names(pens_window) == ["Yellow", "Black", "Blue"]
    pens_window.parts.actions[ActionId.UNDO].trigger()
    assert names(pens_window) == ["Black", "Blue", "Yellow"]
    flags = row_of(contents, "blue").flags()
    assert flags & Qt.ItemFlag.ItemIsDragEnabled and not flags & Qt.ItemFlag.ItemIsDropEnabled
    assert row_of(contents, "blue").parent().flags() & Qt.ItemFlag.ItemIsDropEnabled


def test_a_pen_moves_by_menu_and_the_order_is_proposed(pens_window):
    actions = pens_window.parts.actions
    pens_window.models.selection.select(PenItem("black"))
    assert actions[ActionId.PEN_EARLIER].isEnabled() and actions[ActionId.PEN_LATER].isEnabled()
    actions[ActionId.PEN_EARLIER].trigger()
    assert names(pens_window) == ["Black", "Yellow", "Blue"]
    assert not actions[ActionId.PEN_EARLIER].isEnabled()
    messages = []
    pens_window.models.messages.new_message.connect(messages.append)
    actions[ActionId.LIGHT_TO_DARK].trigger()
    assert names(pens_window) == ["Yellow", "Blue", "Black"]
    assert "takes it up" in messages[-1], "with the reason"


def test_wet_ink_is_mended_by_waiting_or_by_another_order(qtbot, pens_window):
    planned(qtbot, pens_window)
    check = next(c for c in pens_window.models.planning.plan.checks if c.id.startswith("wet"))
    assert check.remedies == (Remedy.WAIT_UNTIL_DRY, Remedy.ORDER_FOR_DRY_INK)
    pens_window.apply_remedy(Remedy.WAIT_UNTIL_DRY)
    assert pens_window.models.project.document.settings.wait_until_dry
    pens_window.parts.actions[ActionId.UNDO].trigger()
    planned(qtbot, pens_window)
    pens_window.apply_remedy(Remedy.ORDER_FOR_DRY_INK)
    qtbot.waitUntil(lambda: names(pens_window) != ["Yellow", "Black", "Blue"], timeout=20_000)
    assert names(pens_window).index("Black") < names(pens_window).index("Yellow")
    pens_window.apply_remedy(Remedy.GAP_BETWEEN_COLOURS)
    assert pens_window.models.project.document.settings.gap >= 1.0


def field(dialog: QDialog, name: str) -> QLineEdit:
    return next(f for f in dialog.findChildren(QLineEdit) if f.accessibleName() == name)


def test_readings_of_both_drawings_go_into_the_pens_as_one_edit(qtbot, pens_window):
    before = pens_window.models.project.document
    dialog = MeasurePensDialog(pens_window.models, pens_window, "black")
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog.apply.isEnabled()
    qtbot.keyClicks(field(dialog, "Black: to the right"), "12")
    assert not dialog.apply.isEnabled(), "half a reading"
    qtbot.keyClicks(field(dialog, "Black: below"), "8.5")
    assert dialog.apply.isEnabled()
    assert "Black: tip 2.0 mm right, 1.5 mm above" in dialog.offsets.message.text()
    for speed, width in (("20", "2.4"), ("40", "2.2"), ("80", "1.9")):
        qtbot.keyClicks(field(dialog, f"Black at {speed} mm/s: width"), width)
    (gaps,) = [t for t in dialog.findChildren(QCheckBox) if t.accessibleName() == "Black at 80 mm/s: gaps"]
    gaps.click()
    assert "40 mm/s, 2.20 mm wide" in dialog.strip.message.text()
    dialog.accept()
    pen = pens_window.models.project.document.pens[1]
    wanted = read_offset(before, 0, 1, OffsetReading(12.0), OffsetReading(8.5)).pens[1]
    assert (pen.tip_right, pen.tip_down) == (wanted.tip_right, wanted.tip_down)
    assert (pen.speed, pen.width) == (40.0, 2.2)
    assert pens_window.models.project.document.pens[::2] == before.pens[::2]
    pens_window.parts.actions[ActionId.UNDO].trigger()
    assert pens_window.models.project.document == before


def choose(dialog: QDialog, name: str, text: str) -> None:
    """As a person does it in a list."""
    (box,) = (box for box in dialog.findChildren(QComboBox) if box.accessibleName() == name)
    box.setCurrentText(text)
    assert box.currentText() == text
    box.activated.emit(box.currentIndex())


def test_all_that_the_drawings_show_goes_into_pen_and_lift(qtbot, pens_window):
    before = pens_window.models.project.document
    dialog = MeasurePensDialog(pens_window.models, pens_window, "yellow")
    qtbot.addWidget(dialog)
    qtbot.keyClicks(field(dialog, "Black: line, to the right"), "12.5")
    assert not dialog.apply.isEnabled(), "one direction"
    qtbot.keyClicks(field(dialog, "Black: line, below"), "20")
    qtbot.keyClicks(field(dialog, "Black: below"), "9")
    # The body hangs a little turned where the scale is read.
    assert re.search(r"Black: tip 2\.[56] mm right, 1\.0 mm above", dialog.offsets.message.text())
    choose(dialog, "Yellow: As dark as the stripes", "45 %")
    choose(dialog, "Yellow: First patch without white", "90 %")
    choose(dialog, "Yellow: Over the dark bar it looks like", "70 % hidden")
    qtbot.keyClicks(field(dialog, "Yellow: dashes begin late by"), "2")
    assert (
        "opacity 70 %" in dialog.strip.message.text() and "lower time 0.49 s (was 0.35)" in dialog.strip.message.text()
    )
    assert not [box for box in dialog.findChildren(QComboBox) if box.accessibleName().startswith("Black: Over")]
    dialog.accept()
    after = pens_window.models.project.document
    pen = after.pens[0]
    assert 1 / 0.9 <= pen.width <= 1 / 0.8 and pen.opacity == 0.7 and pen.gain != 0 and pen.speed == 0
    lower = before.machine.lift.lower_time + (2 * 2 / before.machine.limits.acceleration) ** 0.5
    assert after.machine.lift.lower_time == pytest.approx(lower, abs=0.006)
    assert after.pens[2] == before.pens[2]
    pens_window.parts.actions[ActionId.UNDO].trigger()
    assert pens_window.models.project.document == before


def test_the_colours_over_the_dark_bar_are_those_of_the_ink_model(qtbot, pens_window):
    """Hidden altogether, the bar has the pen's own colour; not at all, it is darker than itself."""
    dialog = MeasurePensDialog(pens_window.models, pens_window, "yellow")
    qtbot.addWidget(dialog)
    (box,) = (box for box in dialog.findChildren(QComboBox) if box.accessibleName().startswith("Yellow: Over"))
    colours = [box.itemIcon(item).pixmap(box.iconSize()).toImage() for item in (1, box.count() - 1)]
    clear, whole = (image.pixelColor(image.width() // 2, image.height() // 2) for image in colours)
    assert whole.name() == "#f0d020" and clear.lightness() < QColor("#202020").lightness()


def test_broad_pens_have_no_scales_to_read(qtbot, pens_window):
    pens_window.models.project.set_field("width", "pens.1.width", 5.0)
    dialog = MeasurePensDialog(pens_window.models, pens_window)
    qtbot.addWidget(dialog)
    assert not field(dialog, "Black: line, to the right").isEnabled()
    assert "too broad" in field(dialog, "Black: line, below").toolTip()
    assert field(dialog, "Blue: line, below").isEnabled()


@pytest.mark.parametrize("text", ["-1", "much", "16"])
def test_a_length_of_a_dash_that_cannot_be_is_refused(qtbot, pens_window, text):
    dialog = MeasurePensDialog(pens_window.models, pens_window, "black")
    qtbot.addWidget(dialog)
    field(dialog, "Black: dashes begin late by").setText(text)
    assert not dialog.apply.isEnabled() and dialog.strip.message.text()
    field(dialog, "Black: dashes begin late by").clear()
    assert "Leave out" in dialog.strip.message.text()


@pytest.mark.parametrize(("text", "reason"), [("blue", "number"), ("12 kg", "kg"), ("400", "off its holder")])
def test_a_reading_that_cannot_be_is_refused_with_a_sentence(qtbot, pens_window, text, reason):
    dialog = MeasurePensDialog(pens_window.models, pens_window)
    qtbot.addWidget(dialog)
    field(dialog, "Black: to the right").setText(text)
    field(dialog, "Black: below").setText("10")
    assert not dialog.apply.isEnabled() and reason in dialog.offsets.message.text()


def test_the_figures_are_exported_as_jobs_of_their_own(qtbot, pens_window, tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: dialog._line.setText(str(tmp_path / "figure")) or True)
    monkeypatch.setattr(
        type(pens_window.models.planning), "export", lambda self, folder, document: asked.append((folder, document))
    )
    dialog = MeasurePensDialog(pens_window.models, pens_window)
    qtbot.addWidget(dialog)
    for page in (dialog.offsets, dialog.strip):
        page.export.click()
    (folder, figure), (_, strip) = asked
    assert folder == str(tmp_path / "figure")
    assert len(figure.pens) == 3 and len(strip.pens) == 11, "two of them over the bar of the darkest one"
    assert figure.placements[0].id and pens_window.models.project.document.pens == PENS


def test_a_saved_pen_comes_into_another_project(qtbot, pens_window, monkeypatch):
    actions = pens_window.parts.actions
    assert not actions[ActionId.SAVE_PEN].isEnabled()
    pens_window.models.selection.select(PenItem("yellow"))
    actions[ActionId.SAVE_PEN].trigger()
    assert [pen.name for pen in read_presets().pens] == ["Yellow"]
    pens_window.models.project.load(document_of(ART), None)
    monkeypatch.setattr(SavedPensDialog, "exec", lambda dialog: True)
    actions[ActionId.ADD_SAVED_PENS].trigger()
    added = pens_window.models.project.document.pens[-1]
    assert (added.name, added.drying) == ("Yellow", 5.0) and added.id != "yellow"
    dialog = SavedPensDialog(read_presets(), pens_window)
    qtbot.addWidget(dialog)
    dialog.delete.click()
    assert dialog.kept.pens == () and not dialog.add.isEnabled()


def test_ink_is_counted_when_a_job_is_drawn_and_a_pen_is_filled_again(qtbot, pens_window):
    models = pens_window.models
    models.project.set_field("ink", "pens.0.ink", 100.0)
    planned(qtbot, pens_window)
    metres = {part.pen: part.ink_m for part in models.planning.plan.estimate.per_pen}
    pens_window.parts.actions[ActionId.COUNT_INK].trigger()
    used = [pen.used for pen in models.project.document.pens]
    assert used == pytest.approx([metres[0], metres[1], 0.0], abs=1e-9)
    models.selection.select(PenItem("yellow"))
    texts = " ".join(label.text() for label in pens_window.properties.findChildren(QLabel))
    assert f"{100 - metres[0]:.1f} m of ink left" in texts
    refill = next(b for b in pens_window.properties.findChildren(QPushButton) if b.text() == "Mark as full")
    assert refill.isEnabled()
    refill.click()
    assert models.project.document.pens[0].used == 0.0 and not refill.isEnabled()
