"""Motion tables for custom firmware: CSV with chosen columns, or a binary format for a microcontroller.

CSV: a header line with the names of the columns, then one row per line. Names and units: time_s; left_mm and right_mm, or
left_steps and right_steps: belts as the controller counts them; x_mm, y_mm: the pen holder in the wall frame, y down; pen:
-1 off the wall, else the pen's number from 0. Schema of a row: resources/schemas/motion-csv.schema.json.

Binary, little-endian: a header of 64 bytes, then records of equal size.

    offset  type     header
    0       8 bytes  "WWTABLE1"
    8       u32      bytes of the header, 64
    12      u32      bytes of a record: 12 with a fixed time step, else 16
    16      u32      records
    20      u32      time step in µs; 0: each record has its own
    24      f64      microsteps per mm of belt
    32      2 x i32  left and right belt at the first record, microsteps
    40      u32      CRC-32 of all records (as in zip and PNG)
    44      u32      strokes that leave the draw zone because limits are ignored
    48      u32      ignored limits: bits of statics.limits.Limit
    52      12 bytes zero

    offset  type     record
    0       u32      µs since the previous record; absent with a fixed time step
    +0      2 x i32  left and right belt, microsteps
    +8      i8       pen: -1 off the wall, else its number from 0
    +9      3 bytes  zero

Between two rows belts move linearly in time. Machine-readable description: resources/schemas/motion-binary.json.

Neither format has room for a sentence. Where a job ignores limits, the names of both files say so
(file_names.marked_name), and so does the header of the binary format. The cautions are in the report and on the sheet.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.document.language import tr
from wallwright.document.pen import numbers_in_holder
from wallwright.document.table_settings import TableColumn
from wallwright.jobs.columns import Column, numbers, rows, text
from wallwright.jobs.job import Job
from wallwright.jobs.read_back import Mismatch, VerifiedFile
from wallwright.motion.plan import pen_of_runs
from wallwright.motion.trajectory import sample_at

MAGIC = b"WWTABLE1"
HEAD = struct.Struct("<8sIIIIdiiIII12x")
AT_POINTS = np.dtype([("dt", "<u4"), ("left", "<i4"), ("right", "<i4"), ("pen", "i1"), ("pad", "V3")])
AT_STEPS = np.dtype([("left", "<i4"), ("right", "<i4"), ("pen", "i1"), ("pad", "V3")])
AT_ONCE = 50_000
TIME_TOLERANCE = 1e-6
"""Tolerance of times, s, which are written in whole µs."""
DECIMALS = {"time": 6, "left": 4, "right": 4, "x": 3, "y": 3, "pen": 0}
Progress = Callable[[float], None]


@dataclass(frozen=True)
class TableRows:
    """Rows of the motion, at n times."""

    time: Floats
    """(n,) s."""
    belts: Floats
    """(n, 2) belt lengths as the controller counts them, mm."""
    holder: Floats
    """(n, 2) pen holder in the wall frame, mm."""
    pen: Integers
    """(n,) pen number from 0; -1 off the wall."""


def period_us(step: float) -> int:
    """Returns the time step of tables in whole µs."""
    return round(step * 1e6)


def table_times(job: Job, step: float) -> Floats:
    """Returns (n,) s: the times of the motion's points, or multiples of `step` (whole µs) up to the first at or after the
    end."""
    motion, period = job.motion, period_us(step)
    if not period:
        return motion.time
    count = int(np.ceil(motion.time[-1] * 1e6 / period - 1e-9)) + 1
    return 1e-6 * (period * np.arange(count, dtype=np.float64))


def _in_holder(job: Job) -> Integers:
    """Returns (k,) the number of the pen in the holder during each run."""
    numbers = np.array(numbers_in_holder(job.document.pens), dtype=np.int64)
    return numbers[pen_of_runs(job.motion)]


def rows_at(job: Job, time: Floats) -> TableRows:
    """Returns the motion at times (n,), s."""
    motion = job.motion
    pens = np.where(motion.down, _in_holder(job), -1)
    at = sample_at(motion, time)
    return TableRows(time, job.counted(at.belts), at.pen_xy, np.where(at.down, pens[at.run], -1))


def table_rows(job: Job, step: float) -> TableRows:
    """Returns the rows of a table."""
    motion = job.motion
    if step:
        return rows_at(job, table_times(job, step))
    pen = np.repeat(np.where(motion.down, _in_holder(job), -1), np.diff(motion.runs))
    return TableRows(motion.time, job.counted(motion.belts), motion.pen_xy, pen)


def column_names(columns: tuple[TableColumn, ...], unit: str) -> list[str]:
    """Returns the names in the header line."""
    belts = {"left": f"left_{unit}", "right": f"right_{unit}"}
    return [{"time": "time_s", "x": "x_mm", "y": "y_mm", "pen": "pen", **belts}[column] for column in columns]


def _values(job: Job, found: TableRows) -> dict[TableColumn, Floats | Integers]:
    settings = job.document.machine.controller.table
    scale = job.document.machine.controller_steps_per_mm if settings.unit == "steps" else 1.0
    belts = found.belts * scale
    if settings.unit == "steps":
        belts = np.rint(belts)
    return {
        "time": found.time,
        "left": belts[:, 0],
        "right": belts[:, 1],
        "x": found.holder[:, 0],
        "y": found.holder[:, 1],
        "pen": found.pen,
    }


def csv_table(job: Job, progress: Progress) -> Iterator[bytes]:
    """Yields the CSV file in pieces."""
    settings = job.document.machine.controller.table
    values = _values(job, table_rows(job, settings.step))
    yield (",".join(column_names(settings.columns, settings.unit)) + "\n").encode("ascii")
    n = len(values["time"])
    for first in range(0, n, AT_ONCE):
        progress(first / n)
        here = slice(first, min(first + AT_ONCE, n))
        pieces: list[Column] = []
        for column in settings.columns:
            pieces += [text(",")] if pieces else []
            pieces.append(numbers(values[column][here], DECIMALS[column]))
        yield rows(here.stop - here.start, *pieces, text("\n"))


def verify_csv(file: Path, job: Job, progress: Progress) -> VerifiedFile:
    """Reads the CSV file and compares every number with the motion. Raises Mismatch."""
    settings = job.document.machine.controller.table
    time = table_times(job, settings.step)
    with open(file, encoding="ascii") as stream:
        if stream.readline().rstrip("\n").split(",") != column_names(settings.columns, settings.unit):
            raise Mismatch(tr("its column names differ from the settings"))
        try:
            table = np.loadtxt(stream, delimiter=",", ndmin=2)
        except ValueError as error:
            raise Mismatch(str(error)) from error
    if table.shape != (len(time), len(settings.columns)):
        raise Mismatch(tr("it has {0} points instead of {1}", len(table), len(time)))
    read = time
    if settings.step and "time" in settings.columns:  # at the file's own times, which are correct by now
        read = table[:, settings.columns.index("time")]
        if not np.abs(read - time).max(initial=0.0) <= TIME_TOLERANCE:
            raise Mismatch(tr("a time differs from the plan"))
    values = _values(job, rows_at(job, read) if settings.step else table_rows(job, 0.0))
    wanted = np.column_stack([values[column] for column in settings.columns])
    tolerance = [0.6 * 10.0 ** -DECIMALS[column] for column in settings.columns]
    off = np.abs(table - wanted)
    if not (off <= tolerance).all():
        raise Mismatch(tr("line {0} differs from the plan", int(np.argmax((off > tolerance).any(axis=1))) + 2))
    progress(1.0)
    return VerifiedFile(len(table), int(job.motion.down.sum()), round(float(off.max(initial=0.0)), 6))


def _records(job: Job) -> np.ndarray[tuple[int], np.dtype[np.void]]:
    step = job.document.machine.controller.table.step
    found = table_rows(job, step)
    records = np.zeros(len(found.time), dtype=AT_STEPS if step else AT_POINTS)
    if not step:
        records["dt"] = np.diff(np.rint(found.time * 1e6), prepend=0.0)
    records["left"], records["right"] = np.rint(found.belts * job.document.machine.controller_steps_per_mm).T
    records["pen"] = found.pen
    return records


def binary_table(job: Job, progress: Progress) -> Iterator[bytes]:
    """Yields the binary file in pieces."""
    step = job.document.machine.controller.table.step
    records = _records(job)
    data = records.tobytes()
    begin = (int(records["left"][0]), int(records["right"][0])) if len(records) else (0, 0)
    yield HEAD.pack(
        MAGIC,
        HEAD.size,
        records.dtype.itemsize,
        len(records),
        period_us(step),
        job.document.machine.controller_steps_per_mm,
        *begin,
        zlib.crc32(data),
        job.ignored.strokes,
        job.ignored.bits,
    )
    progress(0.5)
    yield data


def verify_binary(file: Path, job: Job, progress: Progress) -> VerifiedFile:
    """Reads the binary file by its header, and compares path, time and pen with the motion. Raises Mismatch."""
    data = file.read_bytes()
    try:
        magic, head, size, count, period, scale, left, right, check, *ignored = HEAD.unpack(data[: HEAD.size])
    except struct.error as error:
        raise Mismatch(tr("its head is damaged")) from error
    body = data[head:]
    if magic != MAGIC or len(body) != size * count or zlib.crc32(body) != check:
        raise Mismatch(tr("its head is damaged"))
    if ignored != [job.ignored.strokes, job.ignored.bits]:
        raise Mismatch(tr("its head does not say which limits are ignored"))
    records = np.frombuffer(body, dtype=AT_STEPS if period else AT_POINTS)
    if records.dtype.itemsize != size:
        raise Mismatch(tr("its head is damaged"))
    step = job.document.machine.controller.table.step
    planned = table_times(job, step)
    if len(records) != len(planned):
        raise Mismatch(tr("it has {0} points instead of {1}", len(records), len(planned)))
    ticks = period * np.arange(count) if period else np.cumsum(records["dt"], dtype=np.int64)
    time: Floats = 1e-6 * ticks.astype(np.float64)
    if bool(period) != bool(step) or not np.abs(time - planned).max(initial=0.0) <= TIME_TOLERANCE:
        raise Mismatch(tr("a time differs from the plan"))
    wanted = rows_at(job, time) if step else table_rows(job, 0.0)
    belts = np.column_stack([records["left"], records["right"]]) / scale
    off = np.abs(belts - wanted.belts)
    if not off.max(initial=0.0) <= 0.501 / scale or (count and (left, right) != tuple(records[["left", "right"]][0])):
        raise Mismatch(tr("a point is off by {0:.4f} mm", float(off.max(initial=0.0))))
    if not np.array_equal(records["pen"], wanted.pen):
        raise Mismatch(tr("the pen is down where it should be up"))
    progress(1.0)
    return VerifiedFile(count, int(job.motion.down.sum()), round(float(off.max(initial=0.0)), 6))
