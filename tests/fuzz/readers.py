"""What is fuzzed: each reader with the inputs it starts from, how they are changed, and what it may say."""

from __future__ import annotations

import functools
import io
import os
import random
import tempfile
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.fuzz import corpus, mutation
from wallwright.document.errors import UserError


@dataclass(frozen=True)
class Fuzzed:
    """One reader."""

    corpus: Callable[[], Sequence[bytes]]
    read: Callable[[bytes], None]
    """Reads one input as the program does, with what follows at once from it."""
    mutations: Sequence[mutation.Mutation]
    change: Callable[[random.Random, Sequence[bytes], Sequence[mutation.Mutation]], bytes] = mutation.mutated
    sentences: tuple[type[Exception], ...] = (UserError,)
    """What it may raise: a person reads it as a sentence."""


def _read_drawing(data: bytes) -> None:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.rendering import render
    from wallwright.artwork.svg.xml_parser import root_of

    root_of(data)
    drawing = read_artwork(data, "image/svg+xml", "drawing.svg", 0.2)
    assert 0 < drawing.width < np.inf and 0 < drawing.height < np.inf
    for shape in drawing.shapes:
        assert all(np.isfinite(path).all() and len(path) for path in shape.paths), shape.element
        assert np.isfinite(shape.width) and 0 <= shape.paint.opacity <= 1, shape.element
    render(drawing, 40, 40)


def _read_picture(data: bytes) -> None:
    import base64

    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.media import media_of

    drawing = read_artwork(data, media_of(data, "picture.png"), "picture.png", 0.2)
    assert drawing.raster is None or drawing.raster.pixels.ndim == 3
    inside = f'{corpus.SVG_HEAD}<image width="9" href="data:;base64,{base64.b64encode(data).decode()}"/></svg>'
    read_artwork(inside.encode(), "image/svg+xml", "drawing.svg", 0.2)


def _read_project(data: bytes) -> None:
    from wallwright.document.project import decode_project, encode_project

    document = decode_project(data, "project")
    assert decode_project(encode_project(document), "project") == document


def _changed_project(chance: random.Random, inputs: Sequence[bytes], mutations: Sequence[mutation.Mutation]) -> bytes:
    """The zip's bytes, or the description in it as text or as JSON."""
    kind = chance.random()
    if kind < 0.3:
        return mutation.mutated(chance, inputs, mutations)
    buffer = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(chance.choice(inputs))) as archive,
        zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as changed,
    ):
        for name in archive.namelist():
            data = archive.read(name)
            if name == "document.json":
                is_json = kind < 0.8
                data = (
                    mutation.json_mutated(chance, data) if is_json else mutation.mutated(chance, [data], mutation.TEXT)
                )
            if chance.random() < 0.97:
                changed.writestr(zipfile.ZipInfo(name), data)
    return buffer.getvalue()


def _read_clip(data: bytes) -> None:
    from wallwright.document.artwork_exchange import paste_clip
    from wallwright.document.document import Document

    paste_clip(Document(), data)


def _changed_json(chance: random.Random, inputs: Sequence[bytes], mutations: Sequence[mutation.Mutation]) -> bytes:
    if chance.random() < 0.6:
        return mutation.json_mutated(chance, chance.choice(inputs))
    return mutation.mutated(chance, inputs, mutations)


def _read_made(data: bytes) -> None:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.document import generated_artwork

    for media in generated_artwork.TYPES:
        try:
            drawing = read_artwork(data, media, "made", 0.5)
        except UserError:
            continue
        assert np.isfinite([drawing.width, drawing.height]).all()


def _read_table(data: bytes) -> None:
    from wallwright.commands.calibrate import _readings as measures
    from wallwright.commands.line_up import _readings as sightings

    with _file(data, "readings.csv") as path:
        for read in (measures, sightings):
            try:
                read(path)
            except UserError as sentence:
                assert "\n" not in str(sentence)


def _read_program(data: bytes) -> None:
    """The place at lines all over a file that ran."""
    from wallwright.document.document import Document
    from wallwright.jobs.place_by_line import place_by_line

    document, strokes = Document(), _strokes()
    lines = data.splitlines()
    for line in {1, 2, len(lines) // 3, len(lines) // 2, len(lines) - 2, len(lines), len(lines) + 1}:
        try:
            place = place_by_line(lines, line, document.machine, document.hangings[0], strokes)
        except UserError:
            continue
        assert np.isfinite(place.along)


@functools.cache
def _strokes():
    from wallwright.strokes.strokes import Strokes

    points = np.array([[500.0, 500], [600, 500], [700, 700], [650, 500], [600, 800], [700, 900]])
    ends = np.array([0, 2, 4, 6])
    return Strokes(points, ends, np.zeros(3, np.int32), np.zeros(3, np.int32), np.zeros(3, dtype=bool))


@functools.cache
def _exported() -> tuple[object, dict[str, bytes]]:
    """A small job and its files."""
    from tests.support.jobs import SQUARE, document_of
    from wallwright.jobs.file_formats import FILE_FORMATS
    from wallwright.planning.export import job_of
    from wallwright.planning.plan import Goal, Request
    from wallwright.planning.runner import Runner

    document = document_of(SQUARE)
    plan = Runner().run(Request(1, document, Goal.PLAN)).plan
    job = job_of(document, 0, plan, lambda stage, done: None)
    return job, {form.file: b"".join(form.write(job, lambda done: None)) for form in FILE_FORMATS}


def _exported_files() -> list[bytes]:
    return [name.encode() + b"\0" + data for name, data in _exported()[1].items()]


def _changed_file(chance: random.Random, inputs: Sequence[bytes], mutations: Sequence[mutation.Mutation]) -> bytes:
    name, _, data = chance.choice(inputs).partition(b"\0")
    return name + b"\0" + mutation.mutated(chance, [data], mutations)


def _read_back(data: bytes) -> None:
    """A job's file compared with its plan, as each export does."""
    from wallwright.jobs.file_formats import FILE_FORMATS

    name, _, content = data.partition(b"\0")
    with _file(content, "job") as path:
        form = next(f for f in FILE_FORMATS if f.file == name.decode())
        form.verify(path, _exported()[0], lambda done: None)


def _read_settings(data: bytes) -> None:
    """As when the window starts: its settings, saved walls and machines, and work that was left behind."""
    from wallwright.document.document import Document
    from wallwright.document.project import write_project
    from wallwright.document.saved_presets import presets_file, read_presets
    from wallwright.window.model import recovery, settings

    folder = presets_file().parent
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "settings.ini").write_bytes(data)
    presets_file().write_bytes(data)
    recovery.folder().mkdir(exist_ok=True)
    left = recovery.folder() / "999999999-1.wallwright"
    if not left.exists():
        write_project(left, Document())
    left.with_suffix(".json").write_bytes(data)
    settings.recent()
    settings.inches_on_rulers()
    from wallwright.window.application.language_choice import wanted_language

    wanted_language()
    recovery.recoverable()
    read_presets()


def _read_font(data: bytes) -> None:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.svg.embed_links import embed_fonts

    with _file(data, "font.ttf") as path:
        drawing = f'{corpus.SVG_HEAD}<text y="9" font-family="Three Letters">ABf ffi é</text></svg>'.encode()
        read_artwork(embed_fonts(drawing, "drawing.svg", path.parent), "image/svg+xml", "drawing.svg", 0.5)


def _read_page(data: bytes) -> None:
    from wallwright.artwork.data_uri import bytes_of
    from wallwright.window.model.foreign_formats import images_in, svgs_in

    text = data.decode("utf-8", "replace")
    svgs_in(text)
    images_in(text)
    bytes_of(text)


class _file:
    """A file in a folder of its own while it is read."""

    def __init__(self, data: bytes, name: str) -> None:
        self._data, self._name = data, name

    def __enter__(self) -> Path:
        self._folder = tempfile.TemporaryDirectory()
        path = Path(self._folder.name) / self._name
        path.write_bytes(self._data)
        return path

    def __exit__(self, *error: object) -> None:
        self._folder.cleanup()


def _read_back_sentences() -> tuple[type[Exception], ...]:
    from wallwright.jobs.read_back import Mismatch

    return (UserError, Mismatch)


READERS = {
    "svg": Fuzzed(corpus.drawings, _read_drawing, mutation.XML),
    "pictures": Fuzzed(corpus.pictures, _read_picture, mutation.BYTES),
    "project": Fuzzed(corpus.projects, _read_project, mutation.BYTES, _changed_project),
    "clip": Fuzzed(corpus.clips, _read_clip, mutation.TEXT, _changed_json),
    "made": Fuzzed(corpus.made, _read_made, mutation.TEXT, _changed_json),
    "tables": Fuzzed(corpus.tables, _read_table, mutation.TEXT),
    "rs274": Fuzzed(corpus.programs, _read_program, mutation.TEXT),
    "read-back": Fuzzed(_exported_files, _read_back, mutation.TEXT, _changed_file, _read_back_sentences()),
    "settings": Fuzzed(corpus.settings, _read_settings, mutation.TEXT),
    "fonts": Fuzzed(corpus.fonts, _read_font, mutation.BYTES),
    "pages": Fuzzed(corpus.pages, _read_page, mutation.XML),
}


def own_state() -> tempfile.TemporaryDirectory:
    """A state folder for as long as it is kept: settings that are tried are never the person's."""
    folder = tempfile.TemporaryDirectory()
    os.environ["WALLWRIGHT_STATE"] = folder.name
    return folder
