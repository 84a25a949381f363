"""An independent reader of RS-274 after NISTIR 6556: traces a program's actions from any initial modal state.

Shares no code with wallwright.jobs. It supports what a hanging machine's program needs (G0 to G3, G4, G17 to G21, G40, G49,
G54, G80, G90 to G94, M0 to M5, M30) and refuses everything else, like a strict controller.
"""

from __future__ import annotations

import math
from typing import Any

from tests.support.ngc import NotRs274, arc_turn, normal, read_line

AT_REST = {
    "units": "21",
    "distance": "90",
    "plane": "17",
    "feed mode": "94",
    "motion": "1",
    "F": 0.0,
    "x": 0.0,
    "y": 0.0,
}
"""Usual initial state of an interpreter (NISTIR 6556, table 1 and 3.6.1)."""
LEFT_BEHIND = {"units": "20", "distance": "91", "plane": "18", "feed mode": "93", "motion": "80", "F": 7.0} | {
    "x": 123.0,
    "y": -77.0,
}
"""A state that another program may have left."""
FOLLOWED = {
    "0",
    "1",
    "2",
    "3",
    "4",
    "17",
    "18",
    "19",
    "20",
    "21",
    "40",
    "49",
    "54",
    "61",
    "64",
    "80",
    "90",
    "91",
    "92",
    "93",
    "94",
}
M_FOLLOWED = {"0", "1", "2", "30", "60", "3", "4", "5", "7", "8", "9", "48", "49"}


def trace(text: str, begins: dict[str, Any]) -> list[tuple[Any, ...]]:
    """Returns all actions in order, except those without effect. Positions in mm from the machine's initial position.

    Raises NotRs274 for anything that a strict controller refuses.
    """
    modes = {key: begins[key] for key in ("units", "distance", "plane", "feed mode", "motion")}
    feed, speed, spindle = begins["F"], 0.0, "5"
    at = {"X": 0.0, "Y": 0.0, "Z": 1e4, "A": 0.0, "B": 0.0, "C": 0.0}
    # The controller's coordinates of the machine's position.
    zero = {"X": -begins["x"], "Y": -begins["y"], "Z": 0.0, "A": 0.0, "B": 0.0, "C": 0.0}
    happened: list[tuple[Any, ...]] = []
    for line in text.splitlines():
        words = read_line(line)
        values = {letter: float(v) for letter, v in words}
        g = [normal(v) for letter, v in words if letter == "G"]
        m = [normal(v) for letter, v in words if letter == "M"]
        if not set(g) <= FOLLOWED or not set(m) <= M_FOLLOWED:
            raise NotRs274(f"not followed: {line}")
        axes = {a: values[a] for a in "XYZABC" if a in values}
        for group in ({"0", "1", "2", "30", "60"}, {"3", "4", "5"}):
            if sum(w in group for w in m) > 1:
                raise NotRs274(f"two M words of a group: {line}")
        motion = next((w for w in g if w in ("0", "1", "2", "3", "80")), None)
        if "92" in g and motion not in (None, "80"):
            raise NotRs274(f"both use the axes: {line}")
        if ("92" in g or motion in ("0", "1", "2", "3")) and not axes:
            raise NotRs274(f"no axis: {line}")
        now = motion or modes["motion"]
        if axes and "92" not in g and now == "80":
            raise NotRs274(f"axes without a motion: {line}")
        moves = bool(axes) and "92" not in g
        if set(values) & set("IJKR") and not (moves and now in ("2", "3")):
            raise NotRs274(f"no arc: {line}")
        if ("P" in values) != ("4" in g) or set(values) & set("LQ"):
            raise NotRs274(f"P, L or Q: {line}")
        if min((values.get(a, 0.0) for a in "FSP"), default=0.0) < 0:
            raise NotRs274(f"negative: {line}")
        new_mode = next((w for w in g if w in ("93", "94")), None)
        if new_mode and new_mode != modes["feed mode"]:
            modes["feed mode"], feed = new_mode, 0.0
        feed, speed = values.get("F", feed), values.get("S", speed)
        before = (spindle, speed)
        spindle = next((w for w in m if w in ("3", "4", "5")), spindle)
        if "S" in values or spindle != before[0]:
            happened.append(("spindle", spindle, speed if spindle != "5" else 0.0))
        if "4" in g:
            happened.append(("wait", values["P"]))
        for name, members in (("plane", ("17", "18", "19")), ("units", ("20", "21")), ("distance", ("90", "91"))):
            modes[name] = next((w for w in g if w in members), modes[name])
        unit = 25.4 if modes["units"] == "20" else 1.0
        if "92" in g:
            for a, v in axes.items():
                zero[a] = at[a] - v * unit
        modes["motion"] = motion or modes["motion"]
        if moves:
            to = dict(at)
            for a, v in axes.items():
                v *= unit
                to[a] = at[a] + v if modes["distance"] == "91" else zero[a] + v
            _move(happened, at, to, now, values, unit, modes, feed)
            at = to
        for word in m:
            if word in ("0", "1", "60"):
                happened.append(("stop", word))
            if word in ("2", "30"):
                happened.append(("end",))
                return _that_changes(happened)
    raise NotRs274("no end")


def _move(happened, at, to, motion, values, unit, modes, feed) -> None:
    if modes["feed mode"] == "93" and motion != "0" and "F" not in values:
        raise NotRs274("inverse time without F")
    if motion != "0" and feed <= 0:
        raise NotRs274("no feed")
    length = math.dist([at[a] for a in "XYZ"], [to[a] for a in "XYZ"])
    centre = None
    if motion in ("2", "3"):
        first, second = {"17": "XY", "18": "ZX", "19": "YZ"}[modes["plane"]]
        offset = {"X": "I", "Y": "J", "Z": "K"}
        if "R" in values or not {offset[first], offset[second]} & set(values):
            raise NotRs274("not in centre format")
        if set(values) & set("IJK") - {offset[first], offset[second]}:
            raise NotRs274("offset out of the plane")
        c = at[first] + values.get(offset[first], 0.0) * unit, at[second] + values.get(offset[second], 0.0) * unit
        turn = arc_turn((at[first], at[second]), (to[first], to[second]), c, motion == "2")
        length, centre = math.hypot(at[first] - c[0], at[second] - c[1]) * abs(turn), (motion, modes["plane"], *c)
    seconds = None if motion == "0" else 60 / feed if modes["feed mode"] == "93" else 60 * length / (feed * unit)
    happened.append(("move", tuple(to.values()), seconds, centre))


def _that_changes(happened):
    """Drops moves of zero length, repeated spindle words and zero waits; merges consecutive waits."""
    kept: list[tuple[Any, ...]] = []
    place, spindle = None, None
    for event in happened:
        if event[0] == "move":
            if event[1] == place and event[3] is None:
                continue
            place = event[1]
        elif event[0] == "spindle":
            if event == spindle:
                continue
            spindle = event
        elif event[0] == "wait":
            if event[1] == 0:
                continue
            if kept and kept[-1][0] == "wait":
                kept[-1] = ("wait", kept[-1][1] + event[1])
                continue
        kept.append(event)
    return kept


def same(one: list[tuple[Any, ...]], other: list[tuple[Any, ...]], tolerance: float = 1e-7) -> bool:
    """Whether two traces are equal within a tolerance, in mm, s and as a ratio."""
    return len(one) == len(other) and all(map(lambda a, b: _equal(a, b, tolerance), one, other))


def _equal(a: Any, b: Any, tolerance: float) -> bool:
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_equal(p, q, tolerance) for p, q in zip(a, b, strict=True))
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= tolerance * max(1.0, abs(a))
    return bool(a == b)
