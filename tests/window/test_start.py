"""What the window may load and do until it is first painted: everything else comes when it is first needed."""

import json
import os
import subprocess
import sys

import pytest

HEAVY = {
    "PIL",
    "babel",
    "contourpy",
    "cssselect2",
    "fontTools",
    "numba",
    "pyqtgraph",
    "scipy",
    "shapely",
    "svgelements",
    "uharfbuzz",
}
"""Libraries that take long to load."""
MOST_DATACLASSES = 25
"""A frozen dataclass takes a millisecond to be made, a msgspec struct a fiftieth of one."""
FIRST_PAINT = """
import json, sys
from PySide6.QtCore import QEvent, QObject, QTimer
from wallwright.window.application import main
from wallwright.window.application.windows import Windows


class Watch(QObject):
    window = None

    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and self.window is None:
            self.window = watched
            QTimer.singleShot(0, self.tell)  # once the whole window is painted
        return False

    def tell(self):
        models = self.window.models
        made = [
            f"{name}.{thing.__name__}"
            for name, module in list(sys.modules.items())
            if name.startswith("wallwright")
            for thing in vars(module).values()
            if isinstance(thing, type) and thing.__module__ == name and "__dataclass_fields__" in vars(thing)
        ]
        started = models.planning._planner._started
        print(json.dumps([sorted(sys.modules), made, started, self.window.properties.widget() is not None]), flush=True)
        models.project.saved = models.project.document
        self.window.close()


if __name__ == "__main__":
    watch, make = Watch(), Windows.make

    def watched(windows, *given):
        window = make(windows, *given)
        window.installEventFilter(watch)
        return window

    Windows.make = watched
    main.start([], demo=sys.argv[1] == "demo")
"""


def environment(folder) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.path.join(os.getcwd(), "app"), "WALLWRIGHT_STATE": str(folder)}


@pytest.fixture(scope="module", params=["start page", "demo"])
def first_paint(request, tmp_path_factory):
    """Which page, and what was there when the window was first painted: loaded modules, own dataclasses, whether the worker
    runs, whether properties are there."""
    folder = tmp_path_factory.mktemp("start")
    script = folder / "start.py"
    script.write_text(FIRST_PAINT)
    done = subprocess.run(
        [sys.executable, str(script), request.param], capture_output=True, text=True, env=environment(folder)
    )
    assert done.returncode == 0, done.stderr
    return request.param, json.loads(done.stdout)


def test_the_window_is_painted_without_the_large_libraries(first_paint):
    _, (modules, *_) = first_paint
    assert not HEAVY & set(modules)
    assert "numpy" in modules, "the list of modules is that of a window"


def test_dialogs_pages_and_readers_are_loaded_when_they_are_first_needed(first_paint):
    page, (modules, *_) = first_paint
    own = {name for name in modules if name.startswith("wallwright.")}
    dialogs = {name for name in own if "dialog" in name.rpartition(".")[2] or name.endswith((".wizard", ".straighten"))}
    assert not dialogs
    panels = {
        name for name in own if name.startswith("wallwright.window.panels.") and name.endswith(("_page", "_pages"))
    }
    assert panels == (set() if page == "start page" else {"wallwright.window.panels.job_pages"})
    rooms = ("artwork.svg", "artwork.raster", "artwork.glyphs", "strokes.fills", "strokes.pictures", "strokes.tour")
    assert not {name for name in own for room in rooms if name.startswith(f"wallwright.{room}")}


def test_values_that_the_start_makes_are_cheap(first_paint):
    _, (_, dataclasses, *_) = first_paint
    assert len(dataclasses) <= MOST_DATACLASSES, dataclasses


def test_only_what_is_shown_is_made_and_started(first_paint):
    page, (_, _, is_worker_started, has_properties) = first_paint
    assert (is_worker_started, has_properties) == ((False, False) if page == "start page" else (True, True))


def test_garbage_is_collected_once_the_window_stands(tmp_path):
    script = (
        "import gc, sys\n"
        "from PySide6.QtCore import QTimer\n"
        "from PySide6.QtWidgets import QApplication\n"
        "from wallwright.commands.main import main\n"
        "def look():\n"
        "    print(gc.isenabled(), gc.get_freeze_count() > 1000, flush=True)\n"
        "    [w.close() for w in QApplication.topLevelWidgets()]\n"
        "if __name__ == '__main__':\n"
        "    application = QApplication([])\n"
        "    QTimer.singleShot(500, look)\n"
        "    sys.exit(main(['window']))\n"
    )
    file = tmp_path / "start.py"
    file.write_text(script)
    done = subprocess.run(
        [sys.executable, str(file)], capture_output=True, text=True, env=environment(tmp_path), timeout=60
    )
    assert done.stdout.strip() == "True True", done.stderr
