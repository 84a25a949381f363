"""Time from starting Python to the first paint of the window, with the start page and with the demo.

    python tests/benchmarks/bench_start.py [--runs 7]
    python tests/benchmarks/bench_start.py --program build/packages/wallwright/wallwright

Each run is a separate process; the first is ignored, since it reads the files from the disk and compiles them. Bytecode is
cached, as in normal use, even if PYTHONDONTWRITEBYTECODE is set. Wall time is what a person waits, processor time the cost
on a busy computer. The draw zone of the demo is computed after the first paint: "with zone" includes it. The limit is 0.6 s.

A packaged program is observed from outside under Xvfb: the first paint is the first change of the screen. The limit is
1.2 s, with the demo too.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BAR_S = 0.6
PACKAGE_BAR_S = 1.2
ROWS = (200, 384, 600)
"""Observed rows of the screen, pixels from its top."""
SCREEN = (1366, 768)
ALL_PLANES, Z_PIXMAP = 0xFFFFFFFF, 2
"""Constants of Xlib.h."""


def run_once(what: str) -> None:
    """Runs in a separate process: opens the window, prints wall and processor time at its first paint, closes it."""
    sys.path.insert(0, str(ROOT))
    import gc

    gc.disable()  # as the command does
    from PySide6.QtCore import QEvent, QObject, QTimer

    from wallwright.window.application import main
    from wallwright.window.application.windows import Windows

    class Watch(QObject):
        """Event filter on one window: on the application it would create a Python object for every event's target."""

        window = None

        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            if event.type() == QEvent.Type.Paint and self.window is None:
                self.window = watched
                QTimer.singleShot(0, self.tell)
            return False

        def tell(self) -> None:
            print(time.time() - float(os.environ["STARTED"]), time.process_time())
            self.wait_for_zone()

        def wait_for_zone(self) -> None:
            if what == "demo" and self.window.canvas.zone.picture is None:
                QTimer.singleShot(0, self.wait_for_zone)
                return
            print(time.time() - float(os.environ["STARTED"]), flush=True)
            self.window.models.project.saved = self.window.models.project.document
            self.window.close()

    watch, make = Watch(), Windows.make

    def watched(windows: Windows, *given):
        window = make(windows, *given)
        window.installEventFilter(watch)
        return window

    Windows.make = watched
    main.start([], demo=what == "demo")


def measure(what: str, runs: int) -> None:
    walls, busy, whole = [], [], []
    with tempfile.TemporaryDirectory() as state, tempfile.TemporaryDirectory() as compiled:
        for _ in range(runs + 1):
            environment = {**os.environ, "WALLWRIGHT_STATE": state, "STARTED": str(time.time())}
            environment.pop("PYTHONDONTWRITEBYTECODE", None)
            environment["PYTHONPYCACHEPREFIX"] = compiled
            environment.setdefault("QT_QPA_PLATFORM", "offscreen")
            command = [sys.executable, __file__, "--once", what]
            output = subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout
            wall, processor, zone = map(float, output.split()[:3])
            whole.append(zone)
            walls.append(wall)
            busy.append(processor)
    wall, processor = statistics.median(walls[1:]), statistics.median(busy[1:])
    zone = statistics.median(whole[1:])
    print(
        f"{what:6} {wall:6.2f} s wall (least {min(walls[1:]):.2f})   {processor:6.2f} s processor   "
        f"{zone:6.2f} s with zone   bar {BAR_S} s"
    )


class Screen:
    """Access to the screen of an X server through Xlib."""

    def __init__(self, display: str) -> None:
        self._x11 = ctypes.CDLL("libX11.so.6")
        self._x11.XOpenDisplay.restype = ctypes.c_void_p
        self._x11.XDefaultRootWindow.restype = ctypes.c_ulong
        self._x11.XDefaultRootWindow.argtypes = (ctypes.c_void_p,)
        self._x11.XGetImage.restype = ctypes.POINTER(Image)
        place, count = ctypes.c_int, ctypes.c_uint
        self._x11.XGetImage.argtypes = (
            *(ctypes.c_void_p, ctypes.c_ulong, place, place, count, count, ctypes.c_ulong, place),
        )
        self._display = self._x11.XOpenDisplay(display.encode())
        self._root = self._x11.XDefaultRootWindow(self._display)

    def row(self, y: int) -> bytes:
        image = self._x11.XGetImage(self._display, self._root, 0, y, SCREEN[0], 1, ALL_PLANES, Z_PIXMAP)
        data = ctypes.string_at(image.contents.data, image.contents.bytes_per_line)
        self._x11.XDestroyImage(image)
        return data


class Image(ctypes.Structure):
    """The first members of XImage (Xlib.h)."""

    _fields_ = (
        *[(name, ctypes.c_int) for name in ("width", "height", "xoffset", "format")],
        ("data", ctypes.c_void_p),
        *[(name, ctypes.c_int) for name in ("byte_order", "unit", "bit_order", "pad", "depth", "bytes_per_line")],
    )


def measure_program(program: str, runs: int) -> None:
    """Measures a packaged program, with the start page and with the demo."""
    size = "x".join(map(str, (*SCREEN, 24)))
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", "1", "-screen", "0", size], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        assert server.stdout is not None
        display = f":{server.stdout.readline().strip()}"
        screen = Screen(display)
        for what, options in (("page", ["window"]), ("demo", ["window", "--demo"])):
            with tempfile.TemporaryDirectory() as state:
                environment = {**os.environ, "WALLWRIGHT_STATE": state, "DISPLAY": display}
                environment.pop("QT_QPA_PLATFORM", None)
                pairs = [_first_change([program, *options], environment, screen) for _ in range(runs + 1)][1:]
            walls, busy = zip(*pairs, strict=True)
            print(
                f"{what:6} {statistics.median(walls):6.2f} s wall (least {min(walls):.2f}, most {max(walls):.2f})   "
                f"{statistics.median(busy):6.2f} s processor   bar {PACKAGE_BAR_S} s"
            )
    finally:
        server.terminate()
        server.wait()


def _first_change(command: list[str], environment: dict[str, str], screen: Screen) -> tuple[float, float]:
    """Returns wall and processor time, s, from starting a program until the screen changes; then ends the program."""
    before = [screen.row(y) for y in ROWS]
    begin = time.monotonic()
    process = subprocess.Popen(command, env=environment, start_new_session=True)
    try:
        while all(screen.row(y) == row for y, row in zip(ROWS, before, strict=True)):
            if process.poll() is not None or time.monotonic() - begin > 60:
                sys.exit(f"No window came: {' '.join(command)}")
            time.sleep(0.003)
        wall = time.monotonic() - begin
        fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
        busy = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    while [screen.row(y) for y in ROWS] != before:  # until the server has removed the window
        time.sleep(0.05)
    return wall, busy


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=7)
    options.add_argument("--once")
    options.add_argument("--program")
    given = options.parse_args()
    if given.once:
        run_once(given.once)
        return
    if given.program:
        measure_program(given.program, given.runs)
        return
    for what in ("page", "demo"):
        measure(what, given.runs)


if __name__ == "__main__":
    main()
