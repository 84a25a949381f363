"""Pipes and devices where files should be: no command waits for them, and each says which one it is."""

import os

import pytest

from wallwright.commands.export import claim_folder
from wallwright.document.backups import keep_backup, replace_project
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.jobs.job_folder import folder_problems

pytestmark = pytest.mark.skipif(os.name == "nt", reason="pipes of POSIX")


def test_a_pipe_among_the_files_of_a_job(tmp_path):
    (tmp_path / "report.json").write_text('{"sha256": {"belts.ngc": "0"}}')
    os.mkfifo(tmp_path / "belts.ngc")
    _, problems = folder_problems(tmp_path)
    assert len(problems) == 1 and "belts.ngc is a device or a pipe" in problems[0]


def test_a_pipe_where_an_export_would_go(tmp_path):
    os.mkfifo(tmp_path / "report.json")
    with pytest.raises(BadValue, match="has no report of a Wallwright job"):
        claim_folder(tmp_path, may_replace=False)
    claim_folder(tmp_path, may_replace=True)


@pytest.mark.parametrize("write", [keep_backup, lambda path: replace_project(path, Document())])
def test_a_pipe_is_not_kept_as_a_backup(tmp_path, write):
    os.mkfifo(tmp_path / "a.wallwright")
    with pytest.raises(BadFile, match="is a device or a pipe"):
        write(tmp_path / "a.wallwright")
    assert [p.name for p in tmp_path.iterdir()] == ["a.wallwright"]
