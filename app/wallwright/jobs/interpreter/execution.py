"""Execution of a line's words: modal state, order of execution, straight moves and arcs.

After NISTIR 6556, sections 3.4 to 3.8: modal groups of table 4, order of execution of table 8. A mode that no word has set
is unknown (nan), and a move that depends on it is refused, since its effect depends on what ran before.

    state       modes and values in force, indexed by the names below
    position    (6,) of the axes X Y Z A B C: mm for X Y Z, the axis's own unit for A B C
    offset      (6,) position minus the program's coordinate; nan while unknown
    events      one row each, columns below; a line makes at most four
"""

from __future__ import annotations

import math

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled
from wallwright.jobs.columns import Bytes
from wallwright.jobs.interpreter.constants import (
    ARC_ENDS,
    AT_LINE,
    AXES,
    BAD_ARC,
    CENTRE,
    DISTANCE,
    DWELL,
    END,
    ENDED,
    EVENT_FEED,
    FEED,
    FEED_MODE,
    INCH,
    KIND,
    LENGTH,
    MOST_WORDS,
    MOTION,
    NEGATIVE,
    NO_AXIS,
    NO_DWELL_TIME,
    NO_FEED,
    NOT_FOLLOWED,
    OPTIONAL_STOP,
    PERCENT,
    PERCENTS,
    PLANE,
    PLANE_OF,
    RADIUS,
    SAME_GROUP,
    SECONDS,
    SPEED,
    SPINDLE,
    STOP,
    SYSTEM,
    TURNING,
    TWICE,
    UNITS,
    UNKNOWN_MODE,
    UNKNOWN_POSITION,
    UNKNOWN_WORD,
    UNUSED,
    VALUE,
)
from wallwright.jobs.interpreter.words import read_words

G_GROUPS = np.zeros(1000, dtype=np.int64)
"""Modal group by ten times the number of a G word, as in table 4; 0: unknown word; -1: unsupported word."""
for _group, _words in {
    1: (0, 10, 20, 30, 800),
    2: (170, 180, 190),
    3: (900, 910),
    5: (930, 940),
    6: (200, 210),
    7: (400,),
    8: (490,),
    9: (980, 990),  # group 10 of table 4
    12: (540,),
    13: (610, 611, 640),
    14: (40, 920),  # non-modal, group 0
    # Probing, canned cycles, stored offsets, homing, cutter and tool length compensation: never in a plan.
    -1: (
        382,
        810,
        820,
        830,
        840,
        850,
        860,
        870,
        880,
        890,
        100,
        280,
        300,
        530,
        921,
        922,
        923,
        410,
        420,
        430,
        *range(550, 594),
    ),
}.items():
    for _word in _words:
        G_GROUPS[_word] = _group

M_GROUPS = np.zeros(100, dtype=np.int64)
"""Modal group by the number of an M word."""
for _group, _words in {1: (0, 1, 2, 30, 60), 2: (3, 4, 5), 3: (7, 8, 9), 4: (48, 49), -1: (6,)}.items():
    for _word in _words:
        M_GROUPS[_word] = _group

_X, _A = 88, 65  # ASCII
_F, _G, _I, _J, _K, _L, _M, _P, _Q, _R, _S, _T = 70, 71, 73, 74, 75, 76, 77, 80, 81, 82, 83, 84


@compiled
def execute(
    letters: Integers,
    values: Floats,
    count: int,
    line: int,
    state: Floats,
    position: Floats,
    offset: Floats,
    events: Floats,
    rows: int,
) -> tuple[int, int]:
    """Executes a line's words in the order of table 8; writes events from row `rows` on.

    letters, values: (m,), the first `count` are the line's; position, offset: (6,) mm; events: (n, EVENT_SIZE).
    Returns the new number of rows, and 0 or an error code. All words are checked before the first is executed.
    """
    word = np.full(128, np.nan)  # by letter, without G and M
    g = np.full(16, np.nan)
    m = np.full(6, np.nan)
    m_words = 0
    for k in range(count):
        letter, value = letters[k], values[k]
        if letter in (_G, _M):
            key = round(value * 10) if letter == _G else round(value)
            exact = abs(value * 10 - key) < 1e-3 if letter == _G else abs(value - key) < 1e-4
            if not exact or key < 0 or key >= (1000 if letter == _G else 100):
                return rows, UNKNOWN_WORD
            group = G_GROUPS[key] if letter == _G else M_GROUPS[key]
            if group == 0:
                return rows, UNKNOWN_WORD
            if group < 0:
                return rows, NOT_FOLLOWED
            if letter == _G:
                if not np.isnan(g[group]):
                    return rows, SAME_GROUP
                g[group] = key
            else:
                m_words += 1
                if not np.isnan(m[group]) and group != 3:
                    return rows, SAME_GROUP
                m[group] = key
        else:
            if not np.isnan(word[letter]):
                return rows, TWICE
            word[letter] = value
    if m_words > 4:
        return rows, TWICE
    has_axis = False
    for axis in range(6):
        has_axis |= not np.isnan(word[_X + axis if axis < 3 else _A + axis - 3])
    is_dwell, is_preset = g[14] == 40, g[14] == 920
    motion = state[MOTION]
    if not np.isnan(g[1]):
        motion = g[1] / 10
    moves = has_axis and not is_preset
    if is_preset and not np.isnan(g[1]) and g[1] != 800:
        return rows, SAME_GROUP  # both would use the axis words
    if (is_preset or (not np.isnan(g[1]) and g[1] != 800)) and not has_axis:
        return rows, NO_AXIS
    if moves and np.isnan(motion):
        return rows, UNKNOWN_MODE
    if moves and motion == 80:
        return rows, UNUSED
    is_arc = moves and (motion == 2 or motion == 3)
    if not is_arc and not (np.isnan(word[_I]) and np.isnan(word[_J]) and np.isnan(word[_K]) and np.isnan(word[_R])):
        return rows, UNUSED
    if not is_dwell and not np.isnan(word[_P]):
        return rows, UNUSED
    if not (np.isnan(word[_L]) and np.isnan(word[_Q])):
        return rows, UNUSED
    if is_dwell and np.isnan(word[_P]):
        return rows, NO_DWELL_TIME
    if word[_P] < 0 or word[_F] < 0 or word[_S] < 0 or word[_T] < 0:
        return rows, NEGATIVE
    # Feed mode, feed, speed, spindle.
    if not np.isnan(g[5]):
        if g[5] / 10 != state[FEED_MODE]:
            state[FEED] = np.nan
        state[FEED_MODE] = g[5] / 10
    if not np.isnan(word[_F]):
        state[FEED] = word[_F]
    if not np.isnan(word[_S]):
        state[SPEED] = word[_S]
    if not np.isnan(m[2]):
        state[TURNING] = m[2]
    if not np.isnan(m[2]) or not np.isnan(word[_S]):
        rows = _event(events, rows, SPINDLE, line, position)
        speed = state[SPEED]
        events[rows - 1, VALUE] = speed if state[TURNING] == 3 else -2.0 - speed if state[TURNING] == 4 else -1.0
    if is_dwell:
        rows = _event(events, rows, DWELL, line, position)
        events[rows - 1, VALUE] = word[_P]
    if not np.isnan(g[2]):
        state[PLANE] = g[2] / 10
    if not np.isnan(g[6]):
        state[UNITS] = g[6] / 10
    if not np.isnan(g[7]):
        state[RADIUS] = g[7] / 10
    if not np.isnan(g[8]):
        state[LENGTH] = g[8] / 10
    if not np.isnan(g[12]):
        state[SYSTEM] = g[12] / 10
    if not np.isnan(g[3]):
        state[DISTANCE] = g[3] / 10
    if not np.isnan(g[1]):
        state[MOTION] = motion
    if has_axis:
        if np.isnan(state[UNITS]):
            return rows, UNKNOWN_MODE
        unit = INCH if state[UNITS] == 20 else 1.0
        if is_preset:
            for axis in range(6):
                value = word[_X + axis if axis < 3 else _A + axis - 3]
                if not np.isnan(value):
                    offset[axis] = position[axis] - value * (unit if axis < 3 else 1.0)
        else:
            rows, wrong = _move(word, line, int(motion), unit, state, position, offset, events, rows)
            if wrong:
                return rows, wrong
    if not np.isnan(m[1]):
        ends = m[1] == 2 or m[1] == 30
        rows = _event(events, rows, END if ends else OPTIONAL_STOP if m[1] == 1 else STOP, line, position)
        if ends:
            state[ENDED] = 1
    return rows, 0


@compiled
def _event(events: Floats, rows: int, kind: int, line: int, position: Floats) -> int:
    """Begins a row; returns the new number of rows."""
    events[rows, KIND] = kind
    events[rows, AT_LINE] = line
    events[rows, AXES : AXES + 6] = position
    events[rows, EVENT_FEED:] = 0.0
    return rows + 1


@compiled
def _move(
    word: Floats,
    line: int,
    motion: int,
    unit: float,
    state: Floats,
    position: Floats,
    offset: Floats,
    events: Floats,
    rows: int,
) -> tuple[int, int]:
    """Executes a move, G0 to G3."""
    if np.isnan(state[DISTANCE]) or np.isnan(state[RADIUS]) or np.isnan(state[LENGTH]):
        return rows, UNKNOWN_MODE
    if motion != 0 and np.isnan(state[FEED_MODE]):
        return rows, UNKNOWN_MODE
    step = np.zeros(6)
    for axis in range(6):
        value = word[_X + axis if axis < 3 else _A + axis - 3]
        if np.isnan(value):
            continue
        value *= unit if axis < 3 else 1.0
        if state[DISTANCE] == 91:
            step[axis] = value
        elif np.isnan(offset[axis]):
            return rows, UNKNOWN_POSITION
        else:
            step[axis] = value + offset[axis] - position[axis]
    rows = _event(events, rows, motion, line, position)
    row = events[rows - 1]
    length = math.sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
    if length == 0.0:
        length = math.sqrt(step[3] ** 2 + step[4] ** 2 + step[5] ** 2)
    if motion >= 2:
        if np.isnan(state[PLANE]):
            return rows - 1, UNKNOWN_MODE
        turn, radius = _arc(word, motion, unit, int(state[PLANE]), step, row)
        if radius < 0:
            return rows - 1, BAD_ARC
        normal = step[2 if state[PLANE] == 17 else 1 if state[PLANE] == 18 else 0]
        length = math.sqrt((turn * radius) ** 2 + normal**2)
    position += step
    row[AXES : AXES + 6] = position
    if motion == 0:
        return rows, 0
    inverse = state[FEED_MODE] == 93
    if inverse and np.isnan(word[_F]):
        return rows - 1, NO_FEED
    feed = state[FEED]
    if not feed > 0:
        return rows - 1, NO_FEED
    if inverse:
        row[EVENT_FEED], row[SECONDS] = -feed, 60 / feed
    else:
        row[EVENT_FEED] = feed * unit
        row[SECONDS] = 60 * length / row[EVENT_FEED]
    return rows, 0


@compiled
def _arc(word: Floats, motion: int, unit: float, plane: int, step: Floats, row: Floats) -> tuple[float, float]:
    """Returns the angle, rad, and radius, mm, of an arc in centre or radius format (3.5.3); a negative radius marks an
    error. Writes its centre to the row."""
    first, second = (0, 1) if plane == 17 else (2, 0) if plane == 18 else (1, 2)
    dx, dy = step[first], step[second]
    if np.isnan(word[_X + first]) and np.isnan(word[_X + second]):
        return 0.0, -1.0
    across = word[_I + (0, 1, 2)[first]], word[_I + (0, 1, 2)[second]]
    unused = word[_K if plane == 17 else _J if plane == 18 else _I]
    if not np.isnan(unused):
        return 0.0, -1.0
    if not np.isnan(word[_R]):
        if not (np.isnan(across[0]) and np.isnan(across[1])):
            return 0.0, -1.0
        r = word[_R] * unit
        half = math.hypot(dx, dy) / 2
        if half == 0.0 or half > abs(r) + ARC_ENDS:
            return 0.0, -1.0
        height = math.sqrt(max(r * r - half * half, 0.0))
        # The centre lies left of the chord for a short anticlockwise arc and for a long clockwise one.
        side = 1.0 if (motion == 3) == (r > 0) else -1.0
        cx = dx / 2 - side * height * dy / (2 * half)
        cy = dy / 2 + side * height * dx / (2 * half)
    else:
        if np.isnan(across[0]) and np.isnan(across[1]):
            return 0.0, -1.0
        cx = 0.0 if np.isnan(across[0]) else across[0] * unit
        cy = 0.0 if np.isnan(across[1]) else across[1] * unit
    radius = math.hypot(cx, cy)
    if radius == 0.0 or abs(math.hypot(dx - cx, dy - cy) - radius) > ARC_ENDS:
        return 0.0, -1.0
    turn = math.atan2(dy - cy, dx - cx) - math.atan2(-cy, -cx)
    if motion == 2:
        turn = -turn
    turn = turn % (2 * math.pi)
    if turn == 0.0:
        turn = 2 * math.pi
    row[CENTRE], row[CENTRE + 1], row[PLANE_OF] = cx, cy, plane
    return turn, radius


@compiled
def run_lines(
    data: Bytes,
    begins: Integers,
    ends: Integers,
    before: int,
    longest: int,
    state: Floats,
    position: Floats,
    offset: Floats,
    events: Floats,
) -> tuple[int, int, int]:
    """Executes the lines data[begins:ends], (k,) positions in the bytes; position, offset: (6,) mm.

    Returns the number of events, the number of lines executed, and the error code of the next line."""
    letters, values = np.zeros(MOST_WORDS, dtype=np.int64), np.zeros(MOST_WORDS)
    rows = 0
    for k in range(len(begins)):
        if state[ENDED]:
            return rows, len(begins), 0
        end = ends[k]
        if end > begins[k] and data[end - 1] == 13:
            end -= 1
        count, wrong = read_words(data, begins[k], end, longest, letters, values)
        if wrong:
            return rows, k, wrong
        if count == PERCENT:
            state[PERCENTS] += 1
            if state[PERCENTS] == 2:
                state[ENDED] = 1.0
            continue
        if count == 0:
            continue
        rows, wrong = execute(letters, values, count, before + k + 1, state, position, offset, events, rows)
        if wrong:
            return rows, k, wrong
    return rows, len(begins), 0
