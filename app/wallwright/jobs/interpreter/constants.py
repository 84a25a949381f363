"""Numbers that the parts of the interpreter share: modes, kinds and columns of events, and what may be wrong with a line.

Apart from the compiled code, so that programs which only name them start quickly.
"""

from __future__ import annotations

MOST_WORDS = 64
"""Words of a line that are kept; a legal line has at most 22 letters, some of them several times."""

OK = 0
BAD_CHARACTER, NO_NUMBER, OPEN_COMMENT, TOO_LONG, TOO_MANY_WORDS, EXPRESSION, BLOCK_DELETE, BAD_LINE_NUMBER = range(
    1, 9
)
PERCENT = -1
"""Instead of a count of words: the line is a lone percent sign."""

MOTION, PLANE, DISTANCE, FEED_MODE, UNITS, RADIUS, LENGTH, SYSTEM, TURNING, SPEED, FEED, ENDED, PERCENTS = range(13)
"""Of `state`. SYSTEM: coordinate system. TURNING: 3, 4 or 5, the last of M3, M4 and M5. SPEED: S. FEED: F as a number."""
STATE_SIZE = 13

RAPID, LINE, CLOCKWISE, ANTICLOCKWISE, DWELL, STOP, OPTIONAL_STOP, SPINDLE, END = range(9)
"""Kinds of events. RAPID to ANTICLOCKWISE are G0 to G3."""
KIND, AT_LINE, AXES, EVENT_FEED, SECONDS, CENTRE, VALUE, PLANE_OF = 0, 1, 2, 8, 9, 10, 12, 13
"""Columns of events. AXES: six, the position after it. EVENT_FEED: mm/min; with G93 minus 1/min. CENTRE: two, from where an
arc begins, along the axes of its plane. VALUE: s of a dwell; of a spindle its speed, -1 when it stands, -2 - speed when it
turns anticlockwise."""
EVENT_SIZE = 14

INCH = 25.4
ARC_ENDS = 0.002
"""mm that the two ends of an arc may differ in their distance from its centre (3.5.3.2)."""

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
"""What may be wrong, beside what words.py finds."""
