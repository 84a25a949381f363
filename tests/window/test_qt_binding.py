"""PySide6 6.12.0 on Python 3.10 and 3.11 loses a reference to None with each void call and aborts the process."""

import subprocess
import sys


def test_void_calls_do_not_abort():
    code = "from PySide6.QtGui import QPainterPath\np = QPainterPath()\nfor i in range(50_000): p.moveTo(i, i)\nprint('alive')"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert result.returncode == 0 and "alive" in result.stdout
