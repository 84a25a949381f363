"""Without a screen the window says so; it does not abort."""

import os
import subprocess
import sys

import pytest


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="screens are always there")
@pytest.mark.parametrize("change", [{"DISPLAY": ""}, {"DISPLAY": ":98765"}, {"QT_QPA_PLATFORM": "nonsense"}])
def test_no_screen_is_a_sentence_and_wrong_use(change):
    environment = {k: v for k, v in os.environ.items() if k not in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")}
    ended = subprocess.run(
        [sys.executable, "-m", "wallwright", "window"],
        env={**environment, **change},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    assert "no usable screen was found" in line and "other commands" in line
