"""Files that cost more than usual: refused with what they cost, read when the person agrees."""

import pytest

from wallwright.artwork import usage
from wallwright.commands.main import main
from wallwright.document import reading_limits
from wallwright.document.project import read_project

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm"><text y="20">twenty letters</text></svg>'


@pytest.fixture
def costly(tmp_path, monkeypatch):
    """A drawing of more letters than are read unasked."""
    monkeypatch.setattr(usage, "MOST_LETTERS", 5)
    (tmp_path / "long.svg").write_text(SVG)
    return tmp_path / "long.svg"


def test_read_names_the_cost_and_the_option(costly, capsys):
    assert main(["read", str(costly)]) == 2
    output = capsys.readouterr().err
    assert "more than 5 letters" in output and "about 1 GB of memory" in output and "add --read-anyway" in output
    assert main(["read", str(costly), "--read-anyway"]) == 0


def test_what_is_agreed_to_is_kept_in_the_project(costly, capsys, monkeypatch):
    project = costly.with_name("a.wallwright")
    assert main(["compose", str(project), "--artwork", str(costly)]) == 2
    assert "add --read-anyway" in capsys.readouterr().err and not project.exists()
    assert main(["compose", str(project), "--artwork", str(costly), "--read-anyway"]) == 0
    assert [a.read_anyway for a in read_project(project).artworks] == [True]
    assert main(["colours", str(project)]) == 0


def test_a_project_can_be_allowed_later(costly, capsys, monkeypatch):
    project = costly.with_name("a.wallwright")
    monkeypatch.setattr(usage, "MOST_LETTERS", 50)
    assert main(["compose", str(project), "--artwork", str(costly)]) == 0
    monkeypatch.setattr(usage, "MOST_LETTERS", 5)
    capsys.readouterr()
    assert main(["colours", str(project)]) == 2
    assert f"wallwright compose {project} --from {project} --read-anyway" in capsys.readouterr().err
    assert main(["compose", str(project), "--from", str(project), "--read-anyway"]) == 0
    assert main(["colours", str(project)]) == 0


def test_more_than_can_be_agreed_to_is_refused(costly, capsys):
    costly.write_text(SVG.replace("letters", "letters " * 20))
    assert main(["read", str(costly), "--read-anyway"]) == 2
    output = capsys.readouterr().err
    assert "more than 80 letters" in output and "the most that can be read" in output and "--read-anyway" not in output


def test_memory_that_runs_out_is_a_sentence(costly, capsys, monkeypatch):
    from wallwright.artwork import artwork_reader

    def fill_memory(*given: object) -> None:
        bytearray(1 << 30)

    monkeypatch.setattr(reading_limits, "UNASKED", 32 << 20)
    monkeypatch.setitem(artwork_reader.READERS, "image/svg+xml", fill_memory)
    if reading_limits._data_size() is None:
        pytest.skip("the system does not say how much memory is taken")
    assert main(["read", str(costly)]) == 2
    assert "takes more memory to read than it may have" in capsys.readouterr().err
