"""A window on the demo, as a person has it in front of them."""

import pytest

from tests.support.drawings import yard_document
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models


@pytest.fixture
def window(qtbot, tmp_path):
    window = ProjectWindow(Models.of(demo_document()), tmp_path / "log")
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
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
