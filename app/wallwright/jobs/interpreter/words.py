"""Parser of RS-274/NGC lines.

After NISTIR 6556, "The NIST RS274NGC Interpreter, version 3" (Kramer, Proctor, Messina, 2000), section 3.3 and appendix E:
spaces and tabs are ignored outside comments, case does not matter, numbers have no exponent. Expressions, parameters and
block delete are refused, since the effect of such lines depends on more than the file.
"""

from __future__ import annotations

from wallwright.document.arrays import Floats, Integers
from wallwright.document.compiled import compiled
from wallwright.jobs.columns import Bytes
from wallwright.jobs.interpreter.constants import (
    BAD_CHARACTER,
    BAD_LINE_NUMBER,
    BLOCK_DELETE,
    EXPRESSION,
    MOST_WORDS,
    NO_NUMBER,
    OK,
    OPEN_COMMENT,
    PERCENT,
    TOO_LONG,
    TOO_MANY_WORDS,
)


@compiled
def read_words(data: Bytes, begin: int, end: int, longest: int, letters: Integers, values: Floats) -> tuple[int, int]:
    """Reads the line data[begin:end], without its end mark, into letters (upper case ASCII) and values, (m,) numbers.

    Returns the number of words, or PERCENT; and OK or an error code. A line number is read and dropped.
    """
    if end - begin > longest:
        return 0, TOO_LONG
    count, i = 0, begin
    has_text = False
    while i < end:
        c = data[i]
        if c == 32 or c == 9:
            i += 1
            continue
        if c == 40:  # ( begins a comment; no other may begin in it
            i += 1
            while i < end and data[i] != 41:
                if data[i] == 40:
                    return 0, OPEN_COMMENT
                i += 1
            if i == end:
                return 0, OPEN_COMMENT
            i += 1
            continue
        if c == 37:  # %: alone on its line
            i += 1
            while i < end and (data[i] == 32 or data[i] == 9):
                i += 1
            if i < end or has_text:
                return 0, BAD_CHARACTER
            return PERCENT, OK
        if c == 47 and not has_text:
            return 0, BLOCK_DELETE
        if c == 35 or c == 91:
            return 0, EXPRESSION
        if 97 <= c <= 122:
            c -= 32
        # A B C D F G H I J K L M N P Q R S T X Y Z
        if not (65 <= c <= 90) or c == 69 or c == 79 or c == 85 or c == 86 or c == 87:
            return 0, BAD_CHARACTER
        i += 1
        sign, whole, places, digits, has_point = 1.0, 0.0, 0, 0, False
        has_sign = False
        while i < end:
            d = data[i]
            if d == 32 or d == 9:
                pass
            elif (d == 43 or d == 45) and not has_sign and digits == 0 and not has_point:
                has_sign = True
                sign = -1.0 if d == 45 else 1.0
            elif d == 46 and not has_point:
                has_point = True
            elif 48 <= d <= 57:
                whole = 10.0 * whole + (d - 48)
                digits += 1
                places += has_point
            elif (d == 35 or d == 91) and digits == 0:
                return 0, EXPRESSION
            else:
                break
            i += 1
        if digits == 0:
            return 0, NO_NUMBER
        value = sign * whole / 10.0**places
        if c == 78:  # N
            if has_text or has_point or has_sign or digits > 5:
                return 0, BAD_LINE_NUMBER
            has_text = True
            continue
        has_text = True
        if count == MOST_WORDS:
            return 0, TOO_MANY_WORDS
        letters[count], values[count] = c, value
        count += 1
    return count, OK
