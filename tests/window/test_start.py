"""What starting the window may load: the large libraries come when they are first needed."""

import os
import subprocess
import sys

HEAVY = ("scipy", "numba", "shapely", "pyqtgraph", "PIL", "svgelements", "babel")


def test_the_window_starts_without_the_large_libraries():
    script = f"import sys, wallwright.window.application.main; print([m for m in {HEAVY!r} if m in sys.modules])"
    output = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert output.stdout.strip() == "[]"


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
    environment = {**os.environ, "PYTHONPATH": os.path.join(os.getcwd(), "app")}
    output = subprocess.run([sys.executable, str(file)], capture_output=True, text=True, env=environment, timeout=60)
    assert output.stdout.strip() == "True True", output.stderr
