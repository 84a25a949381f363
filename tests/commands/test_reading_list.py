"""Lists of readings as spreadsheets of several countries keep them. Common practice, no source."""

import pytest

from wallwright.commands.main import main
from wallwright.commands.readings_csv import number_in, rows_of
from wallwright.document.errors import BadFile


@pytest.mark.parametrize(
    "text",
    [
        "mark,right,down\nA,1.5,-2\nB,,\n",
        '"mark","right","down"\r\n"A","1.5","-2"\r\n"B","",""\r\n',
        "\ufeffmark;right;down\nA;1,5;-2\nB;;\n",
        "mark\tright\tdown\nA\t1,5\t-2\nB\t\t\n",
        "mark,right,down\rA,1.5,-2\rB,,\r",
        '"mark","right","down"\r"A","1.5","-2"\r"B","",""\r',
    ],
)
def test_every_way_to_keep_a_list_reads_the_same(tmp_path, text):
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8", newline="")
    rows = [row for _, row in rows_of(path, ("mark", "right", "down"))]
    assert [row["mark"] for row in rows] == ["A", "B"] and rows[1]["right"] == ""
    assert (number_in(rows[0]["right"]), number_in(rows[0]["down"])) == (1.5, -2.0)


@pytest.mark.parametrize("cell", ["", "nan", "inf", "1.000,5", "far", "1_000"])
def test_no_number_is_made_of_anything_else(cell):
    with pytest.raises(ValueError):
        number_in(cell)


def test_missing_columns_and_other_files_are_reported(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("mark,right\nA,1\n")
    with pytest.raises(BadFile, match=r"line 2: there is no column “down”"):
        list(rows_of(path, ("mark", "right", "down")))
    path.write_text("mark,right,down\nA,1\n")
    with pytest.raises(BadFile, match=r"line 2"):
        list(rows_of(path, ("mark", "right", "down")))
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadFile, match="not a text file"):
        list(rows_of(path, ("mark",)))


@pytest.mark.parametrize("cell", ["x" * 200_000, '"' + "y" * 200_000])
def test_a_cell_that_no_table_has_is_reported_with_its_line(tmp_path, cell):
    path = tmp_path / "list.csv"
    path.write_text(f"mark,right,down\nA,1,2\n{cell},1,2\n")
    with pytest.raises(BadFile, match=r"line [23] cannot be read as a table") as refused:
        list(rows_of(path, ("mark", "right", "down")))
    assert len(str(refused.value)) < 300


def test_points_of_poses_are_read_with_every_line_end(tmp_path, capsys):
    path = tmp_path / "points.csv"
    path.write_bytes(b"\xef\xbb\xbfx,y\r1000,800\r900,850\r")
    assert main(["pose", str(path)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 3
    path.write_text("x,y\n1000," + "8" * 200_000)
    assert main(["pose", str(path)]) == 2
    output = capsys.readouterr().err
    assert "cannot be read as a table" in output and len(output) < 300


@pytest.mark.parametrize("wrong", ["nan", "inf", "1e999"])
def test_options_take_finite_numbers_only(tmp_path, capsys, wrong):
    project = str(tmp_path / "job.wallwright")
    for options in (
        ["compose", project, "--spacing", wrong],
        ["compose", project, "--wall-corner", f"0,{wrong}"],
        ["compose", project, "--turn", wrong],
        ["export", project, "--folder", "x", "--along", wrong],
        ["export", project, "--folder", "x", "--from-time", f"{wrong}:30"],
        ["export", project, "--folder", "x", "--back", wrong],
        ["calibrate", project, "--within", f"0,0,{wrong},9"],
    ):
        assert main(options) == 2
    output = capsys.readouterr().err
    assert output.count("is not") >= 7 and "Traceback" not in output


@pytest.mark.parametrize(
    "corners", [["0,0", "5,0", "9,0"], ["1,1", "1,1", "1,1"], ["0,0", "9,9", "9,0", "0,9"], ["0,0", "1"]]
)
def test_keep_outs_without_area_are_refused_where_they_are_entered(tmp_path, capsys, corners):
    project = tmp_path / "job.wallwright"
    assert main(["compose", str(project), "--keep-out", "Door", *corners]) == 2
    output = capsys.readouterr().err
    assert "--keep-out Door" in output and "fault" not in output and not project.exists()
