"""Constants of the interpreter: modes, kinds and columns of events, and error codes of lines.

Separate from the compiled code, so that importing only these is fast.
"""

from __future__ import annotations

MOST_WORDS = 64
"""Largest number of words kept of a line; a legal line has at most 22 letters, some of them several times."""

OK = 0
BAD_CHARACTER, NO_NUMBER, OPEN_COMMENT, TOO_LONG, TOO_MANY_WORDS, EXPRESSION, BLOCK_DELETE, BAD_LINE_NUMBER = range(
    1, 9
)
PERCENT = -1
"""Special word count: the line is a lone percent sign."""

MOTION, PLANE, DISTANCE, FEED_MODE, UNITS, RADIUS, LENGTH, SYSTEM, TURNING, SPEED, FEED, ENDED, PERCENTS = range(13)
"""Indices of `state`. SYSTEM: coordinate system. TURNING: 3, 4 or 5, the last of M3, M4 and M5. SPEED: S. FEED: F."""
STATE_SIZE = 13

RAPID, LINE, CLOCKWISE, ANTICLOCKWISE, DWELL, STOP, OPTIONAL_STOP, SPINDLE, END = range(9)
"""Kinds of events. RAPID to ANTICLOCKWISE are G0 to G3."""
KIND, AT_LINE, AXES, EVENT_FEED, SECONDS, CENTRE, VALUE, PLANE_OF = 0, 1, 2, 8, 9, 10, 12, 13
"""Columns of events. AXES: six, the position after the event. EVENT_FEED: mm/min; with G93 minus 1/min. CENTRE: two,
relative to the start of an arc, along the axes of its plane. VALUE: s of a dwell; spindle speed, -1 when stopped,
-2 - speed when it turns anticlockwise."""
EVENT_SIZE = 14

INCH = 25.4
ARC_ENDS = 0.002
"""Largest difference between the distances of an arc's ends from its centre, mm (3.5.3.2)."""

(
    SAME_GROUP,
    UNKNOWN_WORD,
    TWICE,
    NOT_FOLLOWED,
    NO_AXIS,
    UNUSED,
    UNKNOWN_MODE,
    UNKNOWN_POSITION,
    NO_FEED,
    BAD_ARC,
    NEGATIVE,
    NO_DWELL_TIME,
) = range(20, 32)
"""Errors in addition to those that words.py finds."""
