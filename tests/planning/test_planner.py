"""Planning in another process: same answer, progress, cancel, crash."""

import itertools
import multiprocessing
import os
import time

import numpy as np
import pytest

from tests.support import planning_work
from tests.support.jobs import document_of
from wallwright.document import edits
from wallwright.document.log import keep_log, log_file
from wallwright.planning import worker_process
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Progress, Request, Response
from wallwright.planning.planner import Planner
from wallwright.planning.program_change import is_program_changed
from wallwright.planning.runner import Runner


@pytest.fixture(scope="module", autouse=True)
def as_the_program_starts_it(tests_start_workers_quickly):
    """Processes are started here as the program does it, not as the tests do."""
    quick, worker_process.CONTEXT = worker_process.CONTEXT, multiprocessing.get_context("spawn")
    yield
    worker_process.CONTEXT = quick


@pytest.fixture(autouse=True)
def the_program_stays(monkeypatch):
    """Whoever edits it while tests run would have each crash laid to that."""
    monkeypatch.setattr("wallwright.planning.planner.is_program_changed", lambda: False)


@pytest.fixture(scope="module")
def planner(as_the_program_starts_it):
    planner = Planner()
    planner.start()
    yield planner
    planner.close()


def wait(planner: Planner, until, seconds: float = 60.0) -> list:
    """Messages until `until` says enough."""
    found = []
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found += planner.poll()
        if until(found):
            return found
        time.sleep(0.005)
    pytest.fail(f"nothing came in {seconds} s: {found[-3:]}")


def finals(messages):
    return [m for m in messages if isinstance(m, Response) and m.final]


def heavy_document(spacing: float = 0.06):
    """Hatch lines close together: seconds of work."""
    square = b'<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><rect width="100" height="100"/></svg>'
    document = document_of(square, natural=(26.458, 26.458), centre=(1000.0, 800.0), width=700.0, fill="cross-hatch")
    return edits.set_field(document, "settings.fill.spacing", spacing)


def test_no_worker_runs_before_it_is_wanted_nor_after_closing():
    before, planner = set(multiprocessing.active_children()), Planner()
    assert not planner.busy and planner.poll() == []
    planner.cancel()
    planner.enough()
    planner.close()
    planner.start()
    planner.submit(Request(1, demo_document(), Goal.PREVIEW))
    assert set(multiprocessing.active_children()) == before


def test_the_same_answer_as_here(planner):
    here = Runner().run(Request(1, demo_document(), Goal.PLAN))
    planner.submit(Request(1, demo_document(), Goal.PLAN))
    messages = wait(planner, finals)
    there = finals(messages)[0]
    assert there.plan.estimate == here.plan.estimate
    assert there.plan.checks == here.plan.checks
    assert (there.plan.motion.belts == here.plan.motion.belts).all()
    early = [m for m in messages if isinstance(m, Response) and not m.final]
    assert early and early[0].preview is not None and early[0].plan is None
    assert not planner.busy


def test_progress_goes_through_the_stages(planner):
    planner.submit(Request(2, heavy_document(0.3), Goal.PREVIEW))
    messages = wait(planner, finals)
    stages = [m.stage for m in messages if isinstance(m, Progress)]
    assert stages
    assert all(0 <= m.done <= 1 for m in messages if isinstance(m, Progress))


def test_writing_files_reports_how_far_it_has_come(tmp_path):
    received = []
    request = Request(1, demo_document(), Goal.EXPORT, folder=str(tmp_path / "job"))
    Runner().run(request, lambda stage, done, saving=None: received.append(done) if stage == "write" else None)
    assert received == sorted(received) and received[0] == 0.0 and received[-1] == 1.0
    assert max(b - a for a, b in itertools.pairwise(received)) < 0.3


def test_a_newer_request_replaces_an_older_one(planner):
    planner.submit(Request(3, heavy_document(), Goal.PLAN))
    planner.submit(Request(4, demo_document(), Goal.PREVIEW))
    messages = wait(planner, finals)
    assert {m.id for m in messages} == {4}


def test_cancel_frees_the_planner_and_no_answer_comes(planner):
    planner.submit(Request(5, heavy_document(), Goal.PLAN))
    wait(planner, lambda found: any(isinstance(m, Progress) for m in found))
    planner.cancel()
    assert not planner.busy
    end = time.monotonic() + 0.6
    while time.monotonic() < end:
        assert planner.poll() == []
        time.sleep(0.01)
    planner.submit(Request(6, demo_document(), Goal.PREVIEW))
    assert finals(wait(planner, finals))[0].id == 6


def test_a_crash_is_reported_and_the_next_request_works(planner):
    planner.submit(Request(7, heavy_document(), Goal.PLAN))
    wait(planner, lambda found: any(isinstance(m, Progress) for m in found))
    planner.kill_worker()
    answer = finals(wait(planner, finals))[0]
    assert answer.id == 7 and "unchanged" in answer.trouble
    planner.submit(Request(8, demo_document(), Goal.PREVIEW))
    assert finals(wait(planner, finals))[0].preview is not None


def test_a_fault_of_the_program_is_a_sentence_and_its_traceback_is_in_the_log(monkeypatch):
    monkeypatch.setattr("wallwright.planning.planner.work", planning_work.fails)
    keep_log()
    planner = Planner()
    planner.submit(Request(7, demo_document(), Goal.PREVIEW))
    answer = finals(wait(planner, finals))[0]
    planner.close()
    assert "program error (ZeroDivisionError)" in answer.trouble
    written = log_file().read_text()
    assert "Traceback" in written and "in fault" in written and "raise ZeroDivisionError" in written


def test_an_answer_of_another_version_is_a_sentence(monkeypatch):
    """As after an update of the program while a window is open."""
    monkeypatch.setattr("wallwright.planning.planner.work", planning_work.answers_in_another_version)
    keep_log()
    planner = Planner()
    planner.submit(Request(7, demo_document(), Goal.PREVIEW))
    answer = finals(wait(planner, finals))[0]
    planner.close()
    assert answer.id == 7 and "The program was changed while this window was open" in answer.trouble
    assert "not_there" in log_file().read_text()


def test_a_worker_that_ends_after_an_update_is_no_artworks_fault(planner, monkeypatch):
    """The new program's worker may not even understand what it is asked."""
    monkeypatch.setattr("wallwright.planning.planner.is_program_changed", lambda: True)
    planner.submit(Request(7, heavy_document(), Goal.PLAN))
    wait(planner, lambda found: any(isinstance(m, Progress) for m in found))
    planner.kill_worker()
    assert "The program was changed while this window was open" in finals(wait(planner, finals))[0].trouble


def test_a_changed_program_is_noticed_whatever_time_its_files_claim(tmp_path):
    package = tmp_path / "package"
    (package / "room").mkdir(parents=True)
    modules = [package / "__init__.py", package / "room" / "module.py"]
    program = tmp_path / "program"
    for file in (*modules, program):
        file.write_text("")
    since = max(os.stat(file).st_ctime for file in (*modules, program))
    assert not is_program_changed(since, package, str(program))
    (package / "room" / "notes.txt").write_text("Not of the program.")
    assert not is_program_changed(since, package, str(program))
    time.sleep(0.02)  # file systems keep times of a few ms
    for file in modules[1], program:
        new = tmp_path / "new"
        new.write_text("")
        os.utime(new, (1e9, 1e9))  # as packages unpack it
        os.replace(new, file)
        assert is_program_changed(since, package, str(program))
        since = os.stat(file).st_ctime
        time.sleep(0.02)
    modules[0].unlink()
    assert is_program_changed(since, package, str(program))


def test_good_enough_ends_the_search_and_the_plan_is_that_of_the_document_that_says_so(planner):
    document = edits.set_field(demo_document(), "settings.fill.spacing", 2.0)
    document = edits.set_field(document, "settings.order.effort", "best")
    planner.submit(Request(20, document, Goal.PLAN))
    seen = wait(planner, lambda found: any(isinstance(m, Progress) and m.stage == "order" for m in found))
    planner.enough()
    there = finals(seen + wait(planner, finals))[0]
    assert there.ended_after > 0
    changed = edits.set_field(document, "settings.order.tries", there.ended_after)
    here = Runner().run(Request(1, changed, Goal.PLAN))
    np.testing.assert_array_equal(there.plan.strokes.points, here.plan.strokes.points)
    np.testing.assert_array_equal(there.plan.motion.belts, here.plan.motion.belts)
    assert here.ended_after == 0 and there.plan.estimate == here.plan.estimate
    planner.submit(Request(21, changed, Goal.PLAN))
    again = finals(wait(planner, finals))[0]
    assert again.timings["order"] < 0.2 * there.timings["order"]
    assert again.plan.estimate == there.plan.estimate


def test_files_of_a_job_whose_search_was_ended_are_those_of_the_document_that_says_so(tmp_path):
    document = edits.set_field(demo_document(), "settings.order.effort", "best")
    folders = tmp_path / "ended", tmp_path / "again"
    ended = Runner().run(Request(1, document, Goal.EXPORT, folder=str(folders[0])), enough=lambda: True)
    changed = edits.set_field(document, "settings.order.tries", ended.ended_after)
    Runner().run(Request(1, changed, Goal.EXPORT, folder=str(folders[1])))
    names = sorted(p.name for p in folders[0].iterdir())
    assert names == sorted(p.name for p in folders[1].iterdir())
    for name in names:
        assert (folders[0] / name).read_bytes() == (folders[1] / name).read_bytes(), name


def test_trouble_is_a_sentence(planner):
    broken = document_of(b"no drawing")
    planner.submit(Request(9, broken, Goal.PREVIEW))
    answer = finals(wait(planner, finals))[0]
    assert answer.trouble.endswith(".") and "art.svg" in answer.trouble


def test_only_what_changed_is_done_again():
    runner, document = Runner(), demo_document()
    first = runner.run(Request(1, document, Goal.PLAN)).timings
    again = runner.run(Request(2, edits.set_field(document, "hangings.0.name", "Other"), Goal.PLAN)).timings
    assert again["read"] + again["strokes"] < 0.2 * (first["read"] + first["strokes"])
