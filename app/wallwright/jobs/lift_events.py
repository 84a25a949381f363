"""Which events of a program raise or lower the pen, for one machine's lift."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats
from wallwright.document.controller import Lift
from wallwright.jobs.interpreter import constants as e
from wallwright.jobs.interpreter.interpreter import Events

WAIT_TOLERANCE = 1e-4
"""Of P: waits are written with four decimals."""


@dataclass(frozen=True)
class LiftEvents:
    """What n events do to the pen."""

    lifting: Flags
    """(n,) whether an event raises or lowers it."""
    raises: Flags
    """(n,) whether it raises it; where it is lifting and does not raise, it lowers."""
    value: Floats
    """(n,) height, spindle word or P of a wait."""
    up: float
    """The value that raises the pen."""


def lift_events(lift: Lift, events: Events, height: Floats, on_wall: Flags, presses: Iterable[float]) -> LiftEvents:
    """height: (n,) of the lift's axis after each event, in its units; on_wall: (n,) whether an event moves the other two
    axes; presses: what pens add to the value that lowers them. A value that is neither counts as the nearer one."""
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
    if lift.kind == "spindle":  # it stands, or turns at any speed
        nearer = np.abs(value - up) <= WAIT_TOLERANCE
    else:
        nearer = np.abs(value - up) < np.abs(value[:, None] - downs).min(axis=1)
    return LiftEvents(lifting, lifting & nearer, value, up)


def last_known(state: Floats, before: bool) -> Flags:
    """(n,) bool: the state in force at each event; state: (n,) 1, 0, or nan where it does not change."""
    last = np.maximum.accumulate(np.where(np.isnan(state), -1, np.arange(len(state))))
    known: Flags = np.where(last >= 0, state[last] == 1.0, before) if len(state) else np.zeros(0, dtype=bool)
    return known
