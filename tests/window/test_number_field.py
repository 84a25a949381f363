"""Fields for numbers: zero is shown as a word where it is no amount."""

import pytest
from PySide6.QtCore import QDate, QLocale, Qt
from PySide6.QtWidgets import QLineEdit, QToolTip

from wallwright.document.controller import Controller
from wallwright.document.document import Fill, Pen
from wallwright.document.quantity import quantities
from wallwright.planning.demo import demo_document
from wallwright.window.application import language_choice
from wallwright.window.model.items import MACHINE
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.pair_field import PairField


@pytest.fixture
def field(qtbot):
    made = NumberField(quantities(Pen)["speed"], 0.0)
    qtbot.addWidget(made)
    made.values = []
    made.entered.connect(made.values.append)
    made.show()
    return made


def typed(qtbot, field, text: str) -> None:
    field.selectAll()
    qtbot.keyClicks(field, text) if text else qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_zero_is_a_word_and_back(qtbot, field):
    assert field.text() == "none"
    typed(qtbot, field, "25")
    assert field.text() == "25 mm/s"
    typed(qtbot, field, "0")
    assert field.text() == "none"
    typed(qtbot, field, "3 mm/s")
    typed(qtbot, field, "None")
    assert field.text() == "none"
    typed(qtbot, field, "7")
    typed(qtbot, field, "")
    assert field.text() == "none"
    assert field.values == [25.0, 0.0, 3.0, 0.0, 7.0, 0.0]


def test_words_stand_only_where_zero_is_no_amount():
    assert quantities(Controller)["assumed_distance"].zero == "as measured"
    assert quantities(Controller)["assumed_spacing"].zero == "", "an exit spacing of 0 mm is one"
    assert quantities(Fill)["angle"].zero == ""


def test_a_number_without_such_a_word_still_has_to_be_one(qtbot):
    refused, plain = [], NumberField(quantities(Fill)["angle"], 0.0)
    qtbot.addWidget(plain)
    plain.refused.connect(refused.append)
    plain.show()
    typed(qtbot, plain, "")
    assert plain.text() == "0 °" and len(refused) == 1


def test_dates_are_written_as_dates(monkeypatch):
    """Where the system names no language, dates once read "26 11 2026". Unicode CLDR 44, en_150,
    dateFormats, short with year 2026: 26/11/2026 (from memory)."""
    monkeypatch.setattr(language_choice.QLocale, "system", staticmethod(QLocale.c))
    written = language_choice._locale("en").toString(QDate(2026, 11, 26), QLocale.FormatType.ShortFormat)
    assert written == "26/11/2026"


def test_the_body_is_entered_in_the_program(qtbot):
    """Its outline decides where the zone ends; it once could be changed in the project file only."""
    models = Models.of(demo_document())
    panel = PropertiesPanel(models)
    qtbot.addWidget(panel)
    panel.show()
    models.selection.select(MACHINE)
    corner = next(w for w in panel.findChildren(QLineEdit) if w.accessibleName() == "Outline, top left")
    assert corner.text() == "−90, −70 mm"
    corner.selectAll()
    qtbot.keyClicks(corner, "-12 cm, -100")
    qtbot.keyClick(corner, Qt.Key.Key_Return)
    outline = models.project.document.machine.body.outline
    assert (min(x for x, _ in outline), min(y for _, y in outline)) == (-120.0, -100.0)
    assert (max(x for x, _ in outline), max(y for _, y in outline)) == (90.0, 80.0)
    received = []
    models.messages.new_message.connect(received.append)
    corner.selectAll()
    qtbot.keyClicks(corner, "10, -100")
    qtbot.keyClick(corner, Qt.Key.Key_Return)
    assert "inside the body" in received[0] and models.project.document.machine.body.outline == outline
    models.project.undo()
    assert models.project.document == demo_document()
    models.close()


@pytest.mark.parametrize("text", ["1e-300", "0.05", "1e-9 mm/s"])
def test_what_is_next_to_zero_is_refused_and_the_old_value_stays(qtbot, field, text):
    """A pen speed of 1e-300 mm/s lies in the range from 0 on, and would take for ever."""
    messages = []
    field.refused.connect(messages.append)
    typed(qtbot, field, text)
    assert messages == ["Own speed limit: must be 0, or at least 0.1 mm/s."]
    assert field.text() == "none" and field.values == []


def test_an_error_stands_at_its_field(qtbot):
    field = NumberField(quantities(Pen)["width"], 2.0)
    qtbot.addWidget(field)
    field.show()
    messages = []
    field.refused.connect(messages.append)
    typed(qtbot, field, "wide")
    assert QToolTip.isVisible() and QToolTip.text() == messages[0]
    QToolTip.hideText()


def test_one_number_in_a_pair_field_changes_the_first_value(qtbot):
    """And the example of a message is of the field's own kind."""
    field, entered, refused = PairField("Door: left, bottom", "In mm."), [], []
    qtbot.addWidget(field)
    field.show_value(2300.0, 0.0)
    field.entered.connect(lambda x, y: entered.append((x, y)))
    field.refused.connect(refused.append)
    field.selectAll()
    qtbot.keyClicks(field, "150")
    field.editingFinished.emit()
    assert entered == [(150.0, 0.0)] and refused == []
    field.selectAll()
    qtbot.keyClicks(field, "1, 2, 3")
    field.editingFinished.emit()
    assert refused == ["Door: left, bottom: enter two numbers in mm, like 2300, 0 mm."]
