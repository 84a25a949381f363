"""A job that crashes, hangs or fills memory costs itself only."""

import os

import pytest

from tests.benchmarks import worker_pool
from tests.benchmarks.worker_pool import Limits, run_jobs
from tests.support import bad_jobs

FAILURES = {"crash": "crash (signal 6)", "hang": "timeout", "compute": "timeout", "memory": "memory"}


@pytest.mark.skipif(os.name != "posix", reason="limits are those of POSIX")
def test_every_job_is_answered_whatever_the_others_do(monkeypatch):
    monkeypatch.setattr(worker_pool, "PATIENCE", 2.0)
    jobs = ["one", "two", *FAILURES, "three"]
    outcomes = {o.job: o for o in run_jobs(jobs, bad_jobs.run, Limits(1.0, 1000), workers=2)}
    assert set(outcomes) == set(jobs)
    for job in ("one", "two", "three"):
        assert outcomes[job].result == job and 0 < outcomes[job].peak_mb < 500
    assert {job: outcomes[job].failure for job in FAILURES} == FAILURES
