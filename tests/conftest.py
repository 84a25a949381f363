"""What all tests share: Qt without a screen, a state folder of their own, no leaked threads or processes."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import logging
import multiprocessing
import threading
import time

import pytest


def pytest_collection_modifyitems(items):
    """The type check is the longest test where nothing is cached: at the end of the run one core would wait for it."""
    items.sort(key=lambda item: item.path.name != "test_types.py")


@pytest.fixture(autouse=True, scope="session")
def application(qapp):
    """One application for all, as it looks: code that only needs QtGui must not make a lesser one first."""
    from wallwright.window.widgets.theme import apply_theme

    apply_theme(qapp, dark=False)
    return qapp


@pytest.fixture(autouse=True, scope="session")
def tests_start_workers_quickly():
    """Each window of a test starts a process; a fork of one that has planned before takes milliseconds.

    tests/planning/test_planner.py starts them as the program does.
    """
    if "forkserver" in multiprocessing.get_all_start_methods():
        from wallwright.planning import worker_process

        worker_process.CONTEXT = multiprocessing.get_context("forkserver")
        worker_process.CONTEXT.set_forkserver_preload(["tests.support.warm_worker"])


@pytest.fixture
def commands_have_planned_before(monkeypatch):
    """Commands that run in this process plan with what its other tests have planned (tests/support/experienced.py)."""
    from tests.support.experienced import ExperiencedRunner

    monkeypatch.setattr("wallwright.planning.runner.Runner", ExperiencedRunner)


@pytest.fixture(autouse=True)
def own_state(tmp_path_factory, monkeypatch):
    """Log and settings of tests never touch the person's."""
    monkeypatch.setenv("WALLWRIGHT_STATE", str(tmp_path_factory.mktemp("state")))
    monkeypatch.setenv("LANGUAGE", "en")  # the system's, which a setting replaces
    yield
    log = logging.getLogger("wallwright")
    for handler in list(log.handlers):
        if isinstance(handler, logging.FileHandler):
            log.removeHandler(handler)
            handler.close()
    log.propagate = True


@pytest.fixture(autouse=True)
def nothing_left_behind():
    """No thread and no process outlives the test that started it (a planner shared by a module may replace its own)."""

    def running() -> tuple[int, int]:
        threads = [t for t in threading.enumerate() if t.name.startswith(("planner", "ink", "reader"))]
        children = [c for c in multiprocessing.active_children() if c.name.startswith("wallwright-")]
        return len(threads), len(children)

    before = running()
    yield
    deadline = time.monotonic() + 30
    while any(now > then for now, then in zip(running(), before, strict=True)):
        if time.monotonic() > deadline:
            pytest.fail(f"left running: {running()} threads and processes, {before} before")
        time.sleep(0.02)
