#!/usr/bin/env python3
"""Updates the translation catalogues from the code: .venv/bin/python packaging/translations.py

Messages are the arguments of `tr`, `plural` and `N_`, and the titles and help texts of quantities and actions. New messages
are added to resources/languages/CODE.po with an empty translation, obsolete ones are dropped, existing translations are
kept; then CODE.mo, which the program reads, is compiled from it. Both are under version control, so that a fresh clone has
all languages. Needs Babel, which the test environment has.
"""

from __future__ import annotations

import ast
import io
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

PROJECT = Path(__file__).resolve().parent.parent
CATALOGUES = PROJECT / "resources" / "languages"
TABLES = {"tr": (0,), "N_": (0,), "quantity": (3, 4, 5), "Action": (2, 3), "arrange": (0,)}
"""By function: indices of the arguments that are messages."""
HEADER = """msgid ""
msgstr ""
"Language: {code}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

"""
"""Header without dates, so that the same messages give the same file."""


class Bare(Catalog):
    """A catalogue with a minimal header, so that the same messages give the same bytes."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        named = dict(super().mime_headers)
        return [(name, named[name]) for name in ("Content-Type", "Plural-Forms")]


def messages() -> Iterator[tuple[str | tuple[str, str], str]]:
    """Yields (message, or its singular and plural; file) in the order of files and lines.

    Read from the syntax tree: Babel's own extraction does not look into formatted strings.
    """
    for file in sorted((PROJECT / "app").rglob("*.py")):
        name = file.relative_to(PROJECT / "app").as_posix()
        calls = [n for n in ast.walk(ast.parse(file.read_bytes())) if isinstance(n, ast.Call)]
        for call in sorted(calls, key=lambda node: (node.lineno, node.col_offset)):
            function = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
            texts = [a.value if isinstance(a, ast.Constant) else None for a in call.args]
            if function == "plural" and len(texts) > 1 and texts[0] and texts[1]:
                yield (texts[0], texts[1]), name
            for number in TABLES.get(function, ()):
                if number < len(texts) and isinstance(texts[number], str) and texts[number]:
                    yield texts[number], name


def template() -> Catalog:
    """Returns a catalogue of all messages without translations."""
    catalogue = Catalog(project="Wallwright", charset="utf-8", fuzzy=False)
    for text, file in messages():
        catalogue.add(text, locations=[(file, None)])
    return catalogue


def read(file: Path) -> Catalog:
    with file.open("rb") as stream:
        return read_po(stream, locale=file.stem)


def forms(string: str | Sequence[str] | None) -> tuple[str, ...]:
    """Returns the forms of a message or translation: one, or one for each plural form."""
    return (string,) if isinstance(string, str) else tuple(string or ("",))


def missing(catalogue: Catalog) -> list[Message]:
    """Returns messages without a complete translation."""
    return [m for m in catalogue if m.id and not all(forms(m.string))]


def po_text(catalogue: Catalog, code: str) -> bytes:
    buffer = io.BytesIO()
    write_po(buffer, catalogue, width=110, sort_by_file=True, ignore_obsolete=True, omit_header=True)
    return HEADER.format(code=code).encode() + buffer.getvalue()


def mo_bytes(po: bytes, code: str) -> bytes:
    """Returns the compiled catalogue."""
    whole = Bare(locale=code, charset="utf-8", fuzzy=False)
    for message in read_po(io.BytesIO(po), locale=code):
        if message.id and all(forms(message.string)):
            whole.add(message.id, message.string)
    buffer = io.BytesIO()
    write_mo(buffer, whole)
    return buffer.getvalue()


def main() -> int:
    wanted = template()
    for file in sorted(CATALOGUES.glob("*.po")):
        catalogue = read(file)
        catalogue.update(wanted, no_fuzzy_matching=True, update_header_comment=False)
        catalogue.obsolete.clear()
        file.write_bytes(po_text(catalogue, file.stem))
        file.with_suffix(".mo").write_bytes(mo_bytes(file.read_bytes(), file.stem))
        print(f"{file.name}: {len(catalogue)} messages, {len(missing(catalogue))} to be translated")
    return 0


if __name__ == "__main__":
    sys.exit(main())
