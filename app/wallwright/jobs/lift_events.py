"""Detection of the events of a program that raise or lower the pen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.controller import Lift
from wallwright.jobs.interpreter import constants as e
from wallwright.jobs.interpreter.interpreter import Events

WAIT_TOLERANCE = 1e-4
"""Tolerance of P in waits, which are written with four decimals."""


@dataclass(frozen=True)
class LiftEvents:
    """Effect of n events on the pen."""

    lifting: Flags
    """(n,) bool: whether an event raises or lowers the pen."""
    raises: Flags
    """(n,) bool: whether it raises the pen; lifting events that do not raise it lower it."""
    value: Floats
    """(n,) height, spindle word or P of a wait."""
    up: float
    """The value that raises the pen."""


def lift_events(lift: Lift, events: Events, height: Floats, on_wall: Flags, presses: Iterable[float]) -> LiftEvents:
    """Finds the lift events. height: (n,) of the lift's axis after each event, in its units; on_wall: (n,) bool, whether an
    event moves the other two axes; presses: what pens add to the lowering value. Other values count as the nearer one."""
    kind, value, up = events.kind, events.value, lift.up
    downs = np.array([lift.down + press for press in presses] or [lift.down])
    if lift.kind == "axis":
        value = height
        lifting = (kind == e.RAPID) & ~on_wall
    elif lift.kind == "dwell":
        near = np.abs(value[:, None] - np.append(downs, up)) <= WAIT_TOLERANCE
        lifting = (kind == e.DWELL) & near.any(axis=1)
    else:
        lifting = kind == e.SPINDLE
        downs = np.maximum(downs, 0.0)
        up = max(lift.up, 0.0) if lift.kind == "servo" else -1.0
    if lift.kind == "spindle":  # stopped, or turning at any speed
        nearer = np.abs(value - up) <= WAIT_TOLERANCE
    else:
        nearer = np.abs(value - up) < np.abs(value[:, None] - downs).min(axis=1)
    return LiftEvents(lifting, lifting & nearer, value, up)
