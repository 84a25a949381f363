"""The project file: a zip with the document and its artwork.

    document.json          {"form": "wallwright project", "version": N, "document": {...}}
    artwork/<sha256>       each imported file, stored under its digest

Numbers are in the units of the document types (mm, rad, s, N, kg, A). Entries are sorted and undated, so the
same document gives the same bytes. Older versions are migrated step by step (migrations.py) before validation; newer
versions are refused with a sentence.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
import zlib
from pathlib import Path
from typing import Any, BinaryIO

import msgspec

from wallwright.document.atomic_write import write_atomic
from wallwright.document.consistency import MOST_ARTWORK, validate
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import tr
from wallwright.document.migrations import MIGRATIONS, VERSION, refuse_newer
from wallwright.document.validation_text import describe_invalid
from wallwright.document.whole_file import LARGEST_FILE, MB, open_regular_file

FORM = "wallwright project"
SUFFIX = ".wallwright"
LARGEST_DESCRIPTION = 64 * MB
"""Largest size of document.json, bytes."""
LARGEST_PROJECT = MOST_ARTWORK + 2 * LARGEST_DESCRIPTION
"""Largest size of a project file, bytes: its content, incompressible."""


def encode_project(document: Document, packed: bool = True) -> bytes:
    """Returns the bytes of a project file. packed False: artwork uncompressed, which is larger and much faster.

    Raises BadFile when a text cannot be encoded.
    """
    empty = tuple(msgspec.structs.replace(artwork, data=b"") for artwork in document.artworks)
    content = msgspec.to_builtins(msgspec.structs.replace(document, artworks=empty))
    files = {}
    for entry, artwork in zip(content["artworks"], document.artworks, strict=True):
        entry["file"] = f"artwork/{artwork.digest}"
        files[entry["file"]] = artwork.data
    try:
        head = msgspec.json.format(
            msgspec.json.encode({"form": FORM, "version": VERSION, "document": content}), indent=1
        )
    except UnicodeEncodeError as error:
        raise BadFile(
            tr(
                "The project cannot be saved: the text {0} contains an invalid character. Change that text.",
                repr(error.object[:80]),
            )
        ) from error
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in [("document.json", head), *sorted(files.items())]:
            archive.writestr(_undated(name, packed or name == "document.json"), data)
    return buffer.getvalue()


def write_project(path: Path, document: Document) -> None:
    """Saves atomically. Raises BadFile."""
    write_atomic(Path(path), encode_project(document))


def read_project(path: Path) -> Document:
    """Opens a project file of this or an older version. Raises BadFile with a sentence."""
    with open_regular_file(Path(path), str(path)) as file:
        return decode_project_file(file, str(path))


def decode_project(data: bytes, name: str) -> Document:
    """Returns the document in the bytes of a project file; name is for messages. Raises BadFile."""
    return decode_project_file(io.BytesIO(data), name)


def decode_project_file(file: BinaryIO, name: str) -> Document:
    """Returns the document in an open project file, read from its current position; name is for messages. Raises BadFile."""
    try:
        if not file.read(1):
            raise BadFile(tr("{0} is empty. Open another copy or a recovered one.", name))
        with zipfile.ZipFile(file) as archive:
            head = msgspec.json.decode(_entry(archive, "document.json", LARGEST_DESCRIPTION, name))
            content = _current(head, name)
            _put_in_artworks(archive, content.get("artworks", ()), name)
    except zipfile.BadZipFile as error:
        raise BadFile(
            tr(
                "{0} is not a complete project file; it may have been cut short in copying. Open another copy.",
                name,
            )
        ) from error
    except KeyError as error:
        raise BadFile(tr("{0} lacks a required part: {1}. Open another copy.", name, error.args[0])) from error
    except (msgspec.DecodeError, UnicodeDecodeError, TypeError, AttributeError) as error:
        raise BadFile(
            tr("{0} contains a description that cannot be read ({1}). Open another copy.", name, error)
        ) from error
    except (
        NotImplementedError,
        RuntimeError,
        ValueError,
        zipfile.LargeZipFile,
        EOFError,
        OSError,
        zlib.error,
    ) as error:
        raise BadFile(tr("{0} cannot be unpacked ({1}). Open another copy.", name, error)) from error
    try:
        document = msgspec.convert(content, Document)
        return validate(document)
    except (msgspec.ValidationError, BadValue) as error:
        raise BadFile(tr("{0} cannot be used: {1}.", name, describe_invalid(str(error)))) from error


def _current(head: Any, name: str) -> dict[str, Any]:
    if not isinstance(head, dict) or head.get("form") != FORM or not isinstance(head.get("version"), int):
        raise BadFile(tr("{0} is a zip file, but not a Wallwright project.", name))
    version = head["version"]
    refuse_newer(version, VERSION, name)
    content: dict[str, Any] = head["document"]
    while version < VERSION:
        content = MIGRATIONS[version](content)
        version += 1
    return content


def _put_in_artworks(archive: zipfile.ZipFile, artworks: list[dict[str, Any]], name: str) -> None:
    """Adds the data to each artwork's description. Artworks of the same file share it."""
    files: dict[str, bytes] = {}
    for artwork in artworks:
        file = artwork.pop("file")
        if file not in files:
            left = MOST_ARTWORK - sum(map(len, files.values()))
            files[file] = _artwork_data(archive, file, artwork, name, left)
        artwork["data"] = files[file]


def _artwork_data(archive: zipfile.ZipFile, file: str, artwork: dict[str, Any], name: str, left: int) -> bytes:
    """Returns the data of an artwork; left: bytes the project may still hold. Raises BadFile."""
    if left <= 0 or archive.getinfo(file).file_size > left:
        raise BadFile(tr("{0} contains more than {1:,} MB of artwork and is not read.", name, MOST_ARTWORK // MB))
    # A file the person agreed to read may exceed the default limits.
    data = _entry(archive, file, left if artwork.get("read_anyway") is True else LARGEST_FILE, name)
    if hashlib.sha256(data).hexdigest() != file.rpartition("/")[2]:
        raise BadFile(tr("{0}: the artwork “{1}” in it is damaged. Open another copy.", name, artwork.get("name")))
    return data


def _entry(archive: zipfile.ZipFile, entry: str, largest: int, name: str) -> bytes:
    """Returns the bytes of an entry, without trusting its stated size. Raises BadFile."""
    with archive.open(entry) as file:
        data = file.read(largest + 1)
    if len(data) > largest:
        raise BadFile(tr("{0} is not read: its part {1} is larger than {2:,} MB.", name, entry, largest // MB))
    return data


def _undated(name: str, packed: bool) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    return info
