"""A window on the demo, as a person has it in front of them."""

import pytest

from tests.support.drawings import yard_document
from wallwright.planning.demo import demo_document
from wallwright.window.model.session import Session
from wallwright.window.shell.main_window import MainWindow


@pytest.fixture
def window(qtbot, tmp_path):
    window = MainWindow(Session(demo_document()), tmp_path / "log")
    window.session.saved = window.session.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.session, "saved", w.session.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    window.canvas.fit()
    return window


@pytest.fixture
def yard(qtbot, window):
    """The window on a house and a tree of three groups and two colours, planned."""
    window.session.load(yard_document(), None)
    window.session.plan_now()
    qtbot.waitUntil(
        lambda: window.session.preview is not None and not window.session.planning, timeout=60_000
    )
    return window
