"""Tables for own firmware, read by the csv module and by struct after their published descriptions."""

from __future__ import annotations

import csv
import json
import struct
import zlib
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

from tests.support.jobs import document_of, planned_job
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.resources import resource
from wallwright.document.table_settings import TableSettings
from wallwright.jobs.file_formats import formats_of
from wallwright.jobs.file_names import BINARY, CSV
from wallwright.jobs.read_back import Mismatch
from wallwright.motion.trajectory import sample_at

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 20H90M10 80L90 60" fill="none" stroke="#202020"/></svg>'
)


@pytest.fixture(scope="module")
def job():
    return planned_job(document_of(ART, centre=(1000.0, 950.0), width=400.0))


def with_table(job, **settings):
    machine = edits.replace(job.document.machine, controller=Controller(table=TableSettings(**settings)))
    return replace(job, document=edits.replace(job.document, machine=machine))


def written(job, name, folder):
    form = next(form for form in formats_of(job) if form.file == name)
    path = folder / name
    path.write_bytes(b"".join(form.write(job, lambda done: None)))
    assert form.verify(path, job, lambda done: None).strokes == 2
    return form, path


def test_csv_has_the_chosen_columns(job, tmp_path):
    own = with_table(job, form="csv", columns=("pen", "time", "x", "y", "right", "left"), unit="steps")
    _, path = written(own, CSV, tmp_path)
    rows = list(csv.DictReader(path.read_text().splitlines()))
    assert list(rows[0]) == ["pen", "time_s", "x_mm", "y_mm", "right_steps", "left_steps"]
    check = jsonschema.Draft202012Validator(json.loads(resource("schemas", "motion-csv.schema.json").read_text()))
    for row in rows[::17]:
        check.validate({k: int(v) if k == "pen" or k.endswith("steps") else float(v) for k, v in row.items()})
    belts = np.array([[float(row["left_steps"]), float(row["right_steps"])] for row in rows]) / 80
    assert np.abs(belts - job.counted(job.motion.belts)).max() <= 0.5 / 80 + 1e-9
    assert {int(row["pen"]) for row in rows} == {-1, 0}


def test_rows_at_fixed_times(job, tmp_path):
    own = with_table(job, form="csv", columns=("time", "left"), step=0.05)
    _, path = written(own, CSV, tmp_path)
    rows = list(csv.DictReader(path.read_text().splitlines()))
    time = np.array([float(row["time_s"]) for row in rows])
    assert np.allclose(np.diff(time), 0.05)
    assert job.motion.time[-1] <= time[-1] < job.motion.time[-1] + 0.05
    left = job.counted(sample_at(job.motion, time).belts)[:, 0]
    assert np.abs(left - [float(row["left_mm"]) for row in rows]).max() < 1e-4


@pytest.mark.parametrize("step", [1 / 300, 0.0014996, 0.0100004])
def test_rows_are_at_whole_microseconds_to_the_end(job, tmp_path, step):
    """A step that is no whole number of µs: rows are where the motion is at the times that the head says."""
    own = with_table(job, form="both", columns=("time", "left", "right"), step=step)
    _, path = written(own, BINARY, tmp_path)
    data = path.read_bytes()
    count, period = struct.unpack_from("<II", data, 16)
    assert abs(period - step * 1e6) <= 0.5
    time = 1e-6 * (period * np.arange(count))
    assert job.motion.time[-1] <= time[-1] + 1e-9 and time[-2] < job.motion.time[-1]
    table = np.array(list(struct.iter_unpack("<iib3x", data[64:])), dtype=float)
    belts = job.counted(sample_at(job.motion, time).belts)
    assert np.abs(table[:, :2] / 80 - belts).max() <= 0.5 / 80 + 1e-9
    _, path = written(own, CSV, tmp_path)
    rows = np.loadtxt(path, delimiter=",", skiprows=1)
    assert np.abs(rows[:, 0] - time).max() < 1e-9
    assert np.abs(rows[:, 1:] - belts).max() <= 0.5e-4 + 1e-9


def test_another_time_step_in_the_head_is_noticed(job, tmp_path):
    own = with_table(job, form="binary", step=0.02)
    form, path = written(own, BINARY, tmp_path)
    data = path.read_bytes()
    path.write_bytes(data[:20] + struct.pack("<I", 20_001) + data[24:])
    with pytest.raises(Mismatch, match="a time differs from the plan"):
        form.verify(path, own, lambda done: None)


@pytest.mark.parametrize("step", [0.0, 0.02])
def test_the_binary_form_is_as_described(job, tmp_path, step):
    """Read by struct, after resources/schemas/motion-binary.json alone."""
    own = with_table(job, form="binary", step=step)
    _, path = written(own, BINARY, tmp_path)
    data = path.read_bytes()
    report = json.loads(resource("schemas", "motion-binary.json").read_text())
    codes = {"u32": "I", "i32": "i", "f64": "d", "i8": "b"}
    head = {
        f["name"]: struct.unpack_from("<" + codes[f["type"]], data, f["offset"])[0]
        for f in report["head"]["fields"]
        if f["type"] in codes
    }
    assert data[:8] == b"WWTABLE1" and head["head_bytes"] == report["head"]["bytes"]
    fields = [f for f in report["record"]["fields"] if not (step and f["name"] == "dt_us")]
    form = struct.Struct("<" + "".join(codes.get(f["type"], f"{f.get('size', 0)}x") for f in fields))
    assert form.size == head["record_bytes"] == (12 if step else 16)
    records = list(form.iter_unpack(data[head["head_bytes"] :]))
    assert len(records) == head["records"]
    assert zlib.crc32(data[head["head_bytes"] :]) == head["crc32"]
    table = np.array(records, dtype=float)
    assert tuple(table[0, -3:-1]) == (head["left_begin"], head["right_begin"])
    if step:
        assert head["period_us"] == 20_000
        return
    assert np.abs(np.cumsum(table[:, 0]) / 1e6 - job.motion.time).max() < 1e-6
    assert np.abs(table[:, 1:3] / head["steps_per_mm"] - job.counted(job.motion.belts)).max() <= 0.5 / 80 + 1e-9


def test_a_damaged_table_is_noticed(job, tmp_path):
    own = with_table(job, form="both")
    for name in (CSV, BINARY):
        form, path = written(own, name, tmp_path)
        whole = path.read_bytes()
        for at in (10, len(whole) // 2, len(whole) - 3):
            path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
            if path.read_bytes() == whole:
                continue
            with pytest.raises(Mismatch):
                form.verify(path, own, lambda done: None)
        path.write_bytes(whole[:-20])
        with pytest.raises(Mismatch):
            form.verify(path, own, lambda done: None)


def test_none_are_written_unasked(job):
    assert not {CSV, BINARY} & {form.file for form in formats_of(job)}
