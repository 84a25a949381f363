"""What starting the window may load: the large libraries come when they are first needed."""

import subprocess
import sys

HEAVY = ("scipy", "numba", "shapely", "pyqtgraph", "PIL", "svgelements", "babel")


def test_the_window_starts_without_the_large_libraries():
    script = f"import sys, app.window.main; print([m for m in {HEAVY!r} if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
