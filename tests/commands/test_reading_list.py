"""Lists of readings as spreadsheets of several countries keep them. Common practice, no source."""

import pytest

from app.commands.reading_list import number_in, rows_of
from app.document.errors import BadFile


@pytest.mark.parametrize(
    "text",
    [
        "mark,right,down\nA,1.5,-2\nB,,\n",
        '"mark","right","down"\r\n"A","1.5","-2"\r\n"B","",""\r\n',
        "\ufeffmark;right;down\nA;1,5;-2\nB;;\n",
        "mark\tright\tdown\nA\t1,5\t-2\nB\t\t\n",
    ],
)
def test_every_way_to_keep_a_list_reads_the_same(tmp_path, text):
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8", newline="")
    rows = [row for _, row in rows_of(path, ("mark", "right", "down"))]
    assert [row["mark"] for row in rows] == ["A", "B"] and rows[1]["right"] == ""
    assert (number_in(rows[0]["right"]), number_in(rows[0]["down"])) == (1.5, -2.0)


@pytest.mark.parametrize("cell", ["", "nan", "inf", "1.000,5", "far"])
def test_no_number_is_made_of_anything_else(cell):
    with pytest.raises(ValueError):
        number_in(cell)


def test_missing_columns_and_other_files_are_told(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("mark,right\nA,1\n")
    with pytest.raises(BadFile, match=r"line 2: there is no column 'down'"):
        list(rows_of(path, ("mark", "right", "down")))
    path.write_text("mark,right,down\nA,1\n")
    with pytest.raises(BadFile, match=r"line 2"):
        list(rows_of(path, ("mark", "right", "down")))
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadFile, match="not a text file"):
        list(rows_of(path, ("mark",)))
