"""Plays a planned motion: where in time it is, how fast and which way it goes. No widgets."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from wallwright.motion.trajectory import block_times, stroke_starts

if TYPE_CHECKING:
    from wallwright.motion.plan import Motion

TICK_MS = 33
SLOWEST, FASTEST = 0.1, 100_000.0
LADDER = (1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0, 300.0, 1000.0)
"""Speeds that "faster" and "slower" step through."""
NEAR = 1e-3
"""s: a stroke that began so recently counts as the present one."""


class Player(QObject):
    """Time goes from 0 to `length`; at its very end the whole job is shown instead of a moment."""

    moved = Signal()
    """The time changed."""
    changed = Signal()
    """Playing began or ended, the speed changed, or there is another motion."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.motion: Motion | None = None
        self.length = 0.0
        self.now = 0.0
        self.speed = 60.0
        """Seconds of the job in a second, always positive."""
        self.backwards = False
        self._clock = QElapsedTimer()
        self._timer = QTimer(self, interval=TICK_MS)
        self._timer.timeout.connect(self._tick)

    @property
    def playing(self) -> bool:
        return self._timer.isActive()

    @property
    def at_moment(self) -> bool:
        """Whether a moment of the job is shown, not the whole of it."""
        return self.motion is not None and (self.playing or self.now < self.length)

    def show(self, motion: Motion | None) -> None:
        """Takes another motion, or none. The moment stays in the same share of the job; at first it is the end."""
        share = self.now / self.length if self.length else 1.0
        self.motion = motion
        self.length = float(motion.time[-1]) if motion is not None and len(motion.time) else 0.0
        if motion is None:
            self.pause()
        self.now = self.length * share
        self.changed.emit()
        self.moved.emit()

    def seek(self, time: float) -> None:
        """Goes to a time, s."""
        self.now = min(max(time, 0.0), self.length)
        self.moved.emit()

    def set_speed(self, speed: float) -> None:
        self.speed = min(max(speed, SLOWEST), FASTEST)
        self.changed.emit()

    def faster(self, up: bool) -> None:
        """To the next step of the ladder, or the one before."""
        if up:
            steps = [s for s in LADDER if s > self.speed * (1 + 1e-9)]
            self.set_speed(steps[0] if steps else self.speed * 2)
        else:
            steps = [s for s in LADDER if s < self.speed * (1 - 1e-9)]
            self.set_speed(steps[-1] if steps else self.speed / 2)

    def play(self, backwards: bool = False) -> None:
        """Begins to play; from the other end when it is at the one it would run into."""
        if not self.length:
            return
        self.backwards = backwards
        if not backwards and self.now >= self.length:
            self.now = 0.0
        elif backwards and self.now <= 0.0:
            self.now = self.length
        self._clock.start()
        self._timer.start()
        self.changed.emit()

    def pause(self) -> None:
        if self.playing:
            self._timer.stop()
            self.changed.emit()

    def toggle(self, backwards: bool = False) -> None:
        """Pauses, plays, or turns round."""
        if self.playing and self.backwards == backwards:
            self.pause()
        else:
            self.play(backwards)

    def step_stroke(self, forward: bool) -> None:
        """To where the next stroke begins, or the present one, or the one before it."""
        if self.motion is not None:
            self._step(stroke_starts(self.motion), forward)

    def step_pen(self, forward: bool) -> None:
        """The same by blocks: from pen to pen."""
        if self.motion is not None:
            self._step(block_times(self.motion)[:, 0], forward)

    def _step(self, times: np.ndarray, forward: bool) -> None:
        self.pause()
        if forward:
            later = times[times > self.now + NEAR]
            self.seek(float(later[0]) if len(later) else self.length)
        else:
            earlier = times[times < self.now - NEAR]
            self.seek(float(earlier[-1]) if len(earlier) else 0.0)

    def _tick(self) -> None:
        gone = self._clock.restart() / 1000 * self.speed
        after = self.now + math.copysign(gone, -1 if self.backwards else 1)
        if after <= 0 or after >= self.length:
            self._timer.stop()
            self.seek(after)
            self.changed.emit()
        else:
            self.seek(after)
