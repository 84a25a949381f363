"""Project windows for tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.support.planners import Scripted
from wallwright.document.document import Document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models


def shown_window(qtbot: Any, models: Models, folder: Path) -> ProjectWindow:
    """Returns a window that closes without a question; folder: for its log."""
    window = ProjectWindow(models, folder / "log")
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    return window


def scripted_window(qtbot: Any, document: Document, folder: Path) -> tuple[ProjectWindow, Scripted]:
    """Returns a window with a scripted planner."""
    planner = Scripted()
    return shown_window(qtbot, Models.of(document, planner), folder), planner


def show_plan(window: Any, plan: Any) -> None:
    """Shows a plan of the present document, answered by the scripted planner that the fixture keeps as window.planner."""
    window.models.planning.plan_now()
    window.planner.answer(final=True, plan=plan)
    window.models.planning.receive()
