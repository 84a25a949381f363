"""The project file: carries everything, opens again equal, and says what is wrong with a broken one."""

import errno
import io
import json
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.earlier_projects import back_to_2
from wallwright.document import atomic_write, edits, edits_arrangement, edits_photo
from wallwright.document.calibration import CalibrationFit
from wallwright.document.document import Document, GuideLine, Ink, Pen
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.ordering import Ordering
from wallwright.document.picture import PictureSettings
from wallwright.document.project import decode_project, encode_project, read_project, write_project
from wallwright.document.quantity import quantities
from wallwright.document.wall import Anchor, Hanging, KeepOut
from wallwright.planning.demo import demo_document


def full_document() -> Document:
    document = demo_document()
    document = edits.set_ink(document, "placement-1", Ink("#c02020", "blue", False, None))
    hanging = Hanging("Second", Anchor(2500, 10, 5.0, 80.0), Anchor(4200, -30), (3300.0, 700.0))
    return edits.replace(document, hangings=(*document.hangings, hanging))


def test_opens_again_equal(tmp_path):
    document = full_document()
    write_project(tmp_path / "a.wallwright", document)
    assert read_project(tmp_path / "a.wallwright") == document
    assert encode_project(document) == encode_project(document)


def test_artwork_travels_to_the_byte():
    data = bytes(range(256)) * 50
    document = edits.add_artwork(Document(), "odd name é.svg", "image/svg+xml", data, (10, 10))[0]
    assert decode_project(encode_project(document), "x").artworks[0].data == data


def changed(document: Document, change) -> bytes:
    """The project's bytes with its description changed."""
    old = zipfile.ZipFile(io.BytesIO(encode_project(document)))
    head = json.loads(old.read("document.json"))
    change(head)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as new:
        new.writestr("document.json", json.dumps(head))
        for name in old.namelist()[1:]:
            new.writestr(name, old.read(name))
    return out.getvalue()


def put(path: str, value):
    def change(head) -> None:
        at = head["document"]
        *way, last = path.split(".")
        for part in way:
            at = at[int(part)] if part.isdigit() else at[part]
        at[last] = value

    return change


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        ("machine.body.mass", -1.0, "machine, body, mass"),
        ("wall.width", "wide", "wall, width"),
        ("placements.0.artwork", "nothing", "is missing from the project"),
        ("hangings.0.right.x", 10.0, "50 mm to the right"),
        ("pens", [], "at least one pen"),
        ("hangings", [], "at least one hanging"),
        ("pens.0.colour", "red", "pens"),
        ("machine.body.left_exit", [1e12, 0], "left exit"),
        ("settings.outside", "whatever", "settings, outside"),
    ],
)
def test_a_value_that_does_not_fit_is_named(path, value, says):
    with pytest.raises(BadFile, match="cannot be used") as found:
        decode_project(changed(demo_document(), put(path, value)), "file")
    assert says in str(found.value)


def test_broken_files_get_a_sentence(tmp_path):
    whole = encode_project(demo_document())
    newer = changed(demo_document(), lambda h: h.update(version=99))
    foreign = changed(demo_document(), lambda h: h.update(form="something"))
    lost = io.BytesIO()
    with zipfile.ZipFile(lost, "w") as archive:
        archive.writestr("document.json", zipfile.ZipFile(io.BytesIO(whole)).read("document.json"))
    cases = {
        "empty": b"",
        "short": whole[: len(whole) // 2],
        "text": b"hello",
        "zip": b"PK\x05\x06" + b"\0" * 18,
        "newer": newer,
        "foreign": foreign,
        "lost artwork": lost.getvalue(),
        "not json": zip_of("document.json", b"{"),
        "not text": zip_of("document.json", b"\xff\xfe"),
    }
    for name, data in cases.items():
        with pytest.raises(BadFile) as found:
            decode_project(data, "job.wallwright")
        text = str(found.value)
        assert "job.wallwright" in text and text.endswith(".") and "Traceback" not in text, name
    with pytest.raises(BadFile, match="cannot be read"):
        read_project(tmp_path / "missing.wallwright")
    with pytest.raises(BadFile, match="is a folder"):
        read_project(tmp_path)


def zip_of(name: str, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(name, data)
    return out.getvalue()


@given(st.integers(0, 10_000), st.integers(0, 255))
@settings(deadline=None, max_examples=200, derandomize=True)
def test_a_flipped_byte_is_noticed_or_harmless(place, value):
    """Whatever a bad disk does: the same document, or BadFile; never another exception."""
    whole = bytearray(
        encode_project(edits.add_artwork(Document(), "a.svg", "image/svg+xml", b"<svg/>" * 40, (1, 1))[0])
    )
    whole[place % len(whole)] = value
    try:
        decode_project(bytes(whole), "file")
    except BadFile:
        return


def test_a_full_disk_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "a.wallwright"
    write_project(path, Document())
    before = path.read_bytes()

    def full(descriptor):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(atomic_write.os, "fsync", full)
    with pytest.raises(BadFile, match=r"no space left.*unchanged"):
        write_project(path, demo_document())
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["a.wallwright"]


def test_every_number_has_unit_range_title_help():
    document = full_document()
    structs = [
        document.wall,
        document.hangings[0].left,
        document.pens[0],
        document.placements[0],
        document.settings,
        document.settings.fill,
        *(part for f in document.machine.__struct_fields__[1:] if (part := getattr(document.machine, f)) is not None),
    ]
    for struct in structs:
        table = quantities(type(struct))
        assert table
        for name, quantity in table.items():
            assert quantity.low < quantity.high and quantity.title and quantity.help, name
            assert quantity.low <= getattr(struct, name) <= quantity.high, name


@given(st.floats(-900, 900), st.floats(-300, 300))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_moving_the_origin_moves_nothing_on_the_wall(x, y):
    """Distances between things stay; only the left anchor goes elsewhere."""
    document = demo_document()
    moved = edits.move_anchor(document, 0, "left", (x, y))
    left = moved.hangings[0].left
    assert (left.x, left.y) == (0.0, 0.0)
    for before, after in (
        (document.wall.left, moved.wall.left),
        (document.placements[0].x, moved.placements[0].x),
        (document.hangings[0].right.x, moved.hangings[0].right.x),
        (document.hangings[0].start_point[0], moved.hangings[0].start_point[0]),
        (document.wall.keep_outs[0].outline[0][0], moved.wall.keep_outs[0].outline[0][0]),
    ):
        assert after == pytest.approx(before - x, abs=1e-6)


def test_edits_refuse_what_would_leave_nothing():
    document = demo_document()
    for pen in document.pens[1:]:
        document = edits.remove_pen(document, pen.id)
    with pytest.raises(BadValue):
        edits.remove_pen(document, document.pens[0].id)
    assert edits_arrangement.remove_placements(document, ["placement-1"]).artworks == ()


def test_a_removed_pen_gives_its_colours_back():
    document = edits.set_ink(demo_document(), "placement-1", Ink("#c02020", "blue"))
    assert edits.remove_pen(document, "blue").placements[0].inks == ()
    assert isinstance(document.pens[0], Pen) and isinstance(document.wall.keep_outs[0], KeepOut)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("socket", "electrical"),
        ("Light switch", "electrical"),
        ("Steckdose links", "electrical"),
        ("Lichtschalter", "electrical"),
        ("Radiator 2", "water"),
        ("Heizkörper", "water"),
        ("Door", "obstacle"),
        ("Sockets and so on", "obstacle"),
        ("", "obstacle"),
    ],
)
def test_keep_outs_of_an_old_project_get_their_kind_by_their_name(name, kind):
    """Version 1 had no kinds. A kind that is there stays."""

    def old(head) -> None:
        back_to_2(head)
        head["version"] = 1
        for keep_out in head["document"]["wall"]["keep_outs"]:
            keep_out["name"] = name
            del keep_out["kind"]
        head["document"]["wall"]["keep_outs"][0]["kind"] = "water"

    kinds = [k.kind for k in decode_project(changed(demo_document(), old), "file").wall.keep_outs]
    assert len(kinds) > 1 and kinds == ["water"] + [kind] * (len(kinds) - 1)


@pytest.mark.parametrize("keep_outs", [None, "door", [None], [{"name": 3}], [["Socket"]]])
def test_an_old_project_with_damaged_keep_outs_gets_a_sentence(keep_outs):
    def old(head) -> None:
        head["version"] = 1
        head["document"]["wall"]["keep_outs"] = keep_outs

    with pytest.raises(BadFile, match="cannot be"):
        decode_project(changed(demo_document(), old), "file")


def renamed_document() -> Document:
    """A document that has every field and choice whose name has changed, none at its default."""
    document = demo_document()
    document, ids = edits.add_artwork(document, "a.png", "image/png", b"x", (20, 20), (900, 800), 300)
    document = edits.set_placement(document, ids, picture=PictureSettings(gap=0.7))
    hanging = edits.replace(
        document.hangings[0],
        left=edits.replace(document.hangings[0].left, rating=310.0),
        right=edits.replace(document.hangings[0].right, rating=420.0),
        start_point=(987.0, 654.0),
        calibration=CalibrationFit(("left anchor x",), (1.0,), ((0.25,),), 4),
        handover=1111.0,
    )
    return edits.replace(
        edits_photo.add_photo(document, "wall.png", "image/png", b"y", (400, 300)),
        hangings=(hanging,),
        guide_lines=(GuideLine(True, 412.0), GuideLine(False, 333.0)),
        settings=edits.replace(document.settings, outside="draw-anyway", order=Ordering("balanced")),
    )


def test_a_project_of_version_2_is_the_same_document():
    """Fields and choices had other names; nothing else."""
    document = renamed_document()
    document = edits.set_field(document, "photo.opacity", 0.3)
    old = changed(document, back_to_2)
    head = zipfile.ZipFile(io.BytesIO(old)).read("document.json")
    for name in (b"datum", b"learnt", b"meets", b"holds", b"choke", b"strength", b"plumb", b"override"):
        assert b'"%s"' % name in head and b'"%s"' % name not in zipfile.ZipFile(
            io.BytesIO(encode_project(document))
        ).read("document.json")
    assert decode_project(old, "file") == document


@pytest.mark.parametrize(
    "damage",
    [
        {"hangings": None},
        {"hangings": [None, 3]},
        {"photo": [1]},
        {"guide_lines": "x"},
        {"settings": {"outside": 3}},
        {"settings": {"order": [1]}},
        {"placements": [{"picture": "x"}]},
    ],
)
def test_a_damaged_project_of_version_2_gets_a_sentence(damage):
    def old(head) -> None:
        back_to_2(head)
        head["document"].update(damage)

    with pytest.raises(BadFile, match="cannot be used"):
        decode_project(changed(demo_document(), old), "file")
