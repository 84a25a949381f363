"""Lists of readings filled in by a person, as CSV with commas or in the variants of localised spreadsheets.

Those separate cells by semicolons or tabs and write decimal commas. Common practice, no source.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from pathlib import Path

from wallwright.commands.options import read_file
from wallwright.document.errors import BadFile
from wallwright.document.language import tr

LONGEST_QUOTE = 40
"""Largest number of characters of a cell that a message quotes."""


def rows_of(path: Path, needed: tuple[str, ...]) -> Iterator[tuple[str, dict[str, str]]]:
    """Yields (where, cells by column) of each row; where is '<path>, line <n>'. Raises BadFile for a binary file or missing
    columns."""
    try:
        text = read_file(path).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(tr("{0} is not a text file in UTF-8", path)) from error
    # Some spreadsheets end lines with a carriage return alone.
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    heading = text.partition("\n")[0]
    apart = max(",;\t", key=heading.count)
    rows = csv.DictReader(io.StringIO(text), delimiter=apart, restkey="")
    while True:
        try:
            row = next(rows, None)
        except csv.Error as error:  # a cell of more than 131,072 characters, a NUL
            raise BadFile(tr("{0}, line {1} cannot be read as a table: {2}", path, rows.line_num + 1, error)) from error
        if row is None:
            return
        where = tr("{0}, line {1}", path, rows.line_num)
        missing = [column for column in needed if row.get(column) is None]
        if missing:
            raise BadFile(tr("{0}: there is no column “{1}”; it needs {2}", where, missing[0], ", ".join(needed)))
        yield where, {name: cell.strip() for name, cell in row.items() if isinstance(cell, str)}


def quoted(cell: str) -> str:
    """Returns a cell for a message: on one line, truncated."""
    text = " ".join(cell.split())
    return text if len(text) <= LONGEST_QUOTE else text[:LONGEST_QUOTE] + "…"


def is_filled_in(path: Path, columns: tuple[str, ...], readings: tuple[str, ...]) -> bool:
    """Whether a file must not be replaced: it contains a reading, or is no such list."""
    try:
        rows = [row for _, row in rows_of(path, columns)]
    except BadFile:
        return True
    heading = read_file(path).decode("utf-8-sig").partition("\n")[0]
    return any(row[name] for row in rows for name in readings) or not all(c in heading for c in columns)


def number_in(cell: str) -> float:
    """Returns a number with a decimal point or comma. Raises ValueError for anything but a finite number."""
    if "_" in cell:  # Python's digit separator
        raise ValueError(f"{cell} is not a number")
    value = float(cell.replace(",", "."))
    if not math.isfinite(value):
        raise ValueError(f"{cell} is not finite")
    return value
