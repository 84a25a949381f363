"""A window on the demo, as a person has it in front of them."""

import re

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMessageBox
from pytestqt.qtbot import QtBot

from tests.support.drawings import yard_document
from tests.support.windows import shown_window
from wallwright.planning.demo import demo_document
from wallwright.window.model.models import Models
from wallwright.window.widgets.more_fold import fold_all

PATIENCE_MS = 60_000
"""Least time until a wait has failed: what is waited for takes long on a slow machine that others use as well."""


class PatientBot(QtBot):
    """Drives widgets; a wait ends early only when what is waited for has come."""

    def waitUntil(self, callback, *, timeout=PATIENCE_MS):
        super().waitUntil(callback, timeout=max(timeout, PATIENCE_MS))

    def waitSignal(self, signal, *, timeout=PATIENCE_MS, **how):
        return super().waitSignal(signal, timeout=max(timeout, PATIENCE_MS), **how)

    def waitActive(self, widget, *, timeout=PATIENCE_MS):
        """At once; pytest-qt's own only waits as a context."""
        assert QTest.qWaitForWindowActive(widget, timeout)

    def waitExposed(self, widget, *, timeout=PATIENCE_MS):
        """At once; pytest-qt's own only waits as a context."""
        assert QTest.qWaitForWindowExposed(widget, timeout)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_teardown(item):
    """Closes the windows of a test without a question about changes, which nobody would answer after a failure. Deletes them
    then: an event loop would; outside one Qt keeps them, 10 MB each."""
    asks = QMessageBox.question
    QMessageBox.question = lambda *question: QMessageBox.StandardButton.Discard
    try:
        outcome = yield
    finally:
        QMessageBox.question = asks
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    return outcome


@pytest.fixture(autouse=True)
def pages_are_folded():
    """As when the program has just started, whatever another test unfolded."""
    fold_all()


@pytest.fixture(autouse=True)
def no_button_stays_pressed():
    """Qt remembers it for all tests that follow: pages take a pressed button for a choice that is still going on."""
    yield
    assert QApplication.mouseButtons() == Qt.MouseButton.NoButton


def _show_checked(show):
    def checked(self, text):
        show(self, text)
        is_plain = self.textFormat() != Qt.TextFormat.RichText and not re.search(r"<[a-z]", text)
        assert not (is_plain and re.search(r"&(#x?[0-9a-fA-F]+|amp|lt|gt|quot|nbsp);", text)), f"shown as it is: {text}"

    return checked


@pytest.fixture(autouse=True)
def no_text_shows_html_escapes(monkeypatch):
    """What is escaped for rich text must be shown as rich text: Qt guesses by the tags, and takes a text without any for
    plain."""
    for widget, name in ((QLabel, "setText"), (QMessageBox, "setText")):
        monkeypatch.setattr(widget, name, _show_checked(getattr(widget, name)))


@pytest.fixture
def qtbot(qapp, request):
    return PatientBot(request)


@pytest.fixture
def window(qtbot, tmp_path):
    window = shown_window(qtbot, Models.of(demo_document()), tmp_path)
    window.resize(1200, 800)
    window.canvas.fit()
    return window


@pytest.fixture
def yard(qtbot, window):
    """The window on a house and a tree of three groups and two colours, planned."""
    window.models.project.load(yard_document(), None)
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: window.models.planning.preview is not None and not window.models.planning.is_planning,
        timeout=60_000,
    )
    return window
