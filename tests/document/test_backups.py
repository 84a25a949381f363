"""Dated copies of what is replaced."""

import pytest

from wallwright.document import edits
from wallwright.document.backups import keep_backup, replace_project
from wallwright.document.document import Document
from wallwright.document.errors import BadFile
from wallwright.document.project import read_project, write_project


def test_copies_of_one_second_do_not_replace_each_other(tmp_path):
    path = tmp_path / "job.wallwright"
    kept = {}
    for text in ("one", "two", "three"):
        path.write_text(text)
        kept[keep_backup(path)] = text
    assert len(kept) == 3
    assert all(copy.read_text() == text and copy.suffix == ".wallwright" for copy, text in kept.items())


def test_a_replaced_project_is_kept_and_the_same_one_is_left_alone(tmp_path):
    path, first = tmp_path / "job.wallwright", Document()
    assert replace_project(path, first) is None
    before = path.stat().st_mtime_ns
    assert replace_project(path, first) is None and path.stat().st_mtime_ns == before
    second = edits.set_field(first, "wall.width", 4000.0)
    copy = replace_project(path, second)
    assert read_project(path) == second and read_project(copy) == first
    assert sorted(tmp_path.iterdir()) == sorted([path, copy])


def test_nothing_is_replaced_while_no_copy_can_be_kept(tmp_path, monkeypatch):
    path = tmp_path / "job.wallwright"
    write_project(path, Document())
    before = path.read_bytes()

    def full(*_):
        raise BadFile("The disk is full.")

    monkeypatch.setattr("wallwright.document.backups.write_atomic", full)
    with pytest.raises(BadFile, match="full"):
        replace_project(path, edits.set_field(Document(), "wall.width", 4000.0))
    assert path.read_bytes() == before and list(tmp_path.iterdir()) == [path]
