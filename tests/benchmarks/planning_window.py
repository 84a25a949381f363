"""Longest gaps of the window's event loop while its planner works on a large drawing."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtWidgets import QApplication

from tests.benchmarks.ink_window import figures
from tests.support.sea_chart import chart_document
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models

LONGEST = 200.0
"""Timeout of planning, s."""


def measure_planning(segments: int, size: tuple[int, int]) -> list[dict]:
    """Returns rows for a sea chart: gaps between iterations of the event loop, ms, from the edit that adds it until it is
    planned and shown, and again while idle, for the computer's own share."""
    application = QApplication.instance() or QApplication([])
    window = ProjectWindow(Models.of(demo_document()))
    window.resize(*size)
    window.show()
    models = window.models
    models.planning.plan_now()
    _gaps(application, lambda: models.planning.plan_is_stale)  # the demo, as a warm-up
    chart = chart_document(segments)
    models.project.edit("Chart", chart)
    models.planning.plan_now()
    while_planning = _gaps(application, lambda: models.planning.plan_is_stale)
    until = time.perf_counter() + 5.0
    idle = _gaps(application, lambda: time.perf_counter() < until)
    models.project.saved = models.project.document
    window.close()
    return [
        {"what": "stall while planning", **figures(while_planning)},
        {"what": "the same, idle", **figures(idle)},
    ]


def _gaps(application: QApplication, goes_on: Callable[[], bool]) -> list[float]:
    gaps, begin = [], time.perf_counter()
    last = begin
    while goes_on():
        application.processEvents()
        time.sleep(0.0005)
        now = time.perf_counter()
        gaps.append((now - last) * 1e3)
        last = now
        if now - begin > LONGEST:
            raise TimeoutError(f"not planned within {LONGEST:.0f} s")
    return gaps
