"""The dialog for better anchors."""

import pytest
from PySide6.QtCore import Qt

from app.planning.demo import demo_document
from app.window.advice.dialog import AdviceDialog
from app.window.session import Session


@pytest.fixture
def dialog(qtbot):
    session = Session(demo_document())
    dialog = AdviceDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(dialog.apply.isEnabled, timeout=30_000)
    yield dialog
    session.close()


def test_the_best_pair_is_applied_with_one_click(qtbot, dialog):
    before = dialog._session.document
    best = max(dialog._search.advice.looked_at[:, 3])
    assert f"{best:.0%}" in dialog._said.text()
    qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)
    after = dialog._session.document
    wanted = dialog._search.advice.right[0] - dialog._search.advice.left[0]
    assert after.hangings[0].distance == pytest.approx(wanted, abs=1.5)
    dialog._session.undo()
    assert dialog._session.document == before


def test_another_pair_is_chosen_by_keys(qtbot, dialog):
    said = dialog._said.text()
    qtbot.keyClick(dialog.trade_off, Qt.Key.Key_Left)
    assert dialog._said.text() != said
    dialog.reject()
    assert dialog._session.document == demo_document()
