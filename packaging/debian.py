"""Builds the Debian package from the self-contained folder.

    DEBEMAIL="Name <address>" python3 packaging/debian.py [FOLDER] [--into DIR]

FOLDER: the folder that packaging/folder.py made; without it that one is built first. The package has the program in
/usr/lib/wallwright, the command, desktop entry, file type, icon, manual pages, licences and the list of components.

DEBEMAIL is the maintainer's address, as in Debian's tools; DEBFULLNAME may hold the name. WALLWRIGHT_PYTHON is the Python,
with Wallwright installed, that writes manual pages and components; default: that of build/environment.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from email.utils import formatdate, parseaddr
from pathlib import Path

import bootstrap  # beside this script
import desktop
import folder as self_contained
import wheel

PACKAGING = Path(__file__).resolve().parent
PROJECT = PACKAGING.parent
DESCRIPTION = """\
composes drawing jobs for a hanging drawing machine
 Wallwright prepares drawings for a machine that hangs on two toothed belts and
 draws on a wall. It places artwork at its real size, checks every limit of the
 machine, turns artwork into pen strokes, corrects them for how the body really
 hangs, and writes the job files and a sheet for hanging the machine.
 .
 The package is self-contained: it carries its own Python, Qt and libraries.
"""
OVERRIDES = """\
# The package carries its own libraries on purpose, so that it is the same on every system; components.json lists them.
wallwright: embedded-library *
wallwright: hardening-no-pie *
wallwright: library-not-linked-against-libc *
wallwright: custom-library-search-path *
wallwright: hardening-no-relro *
wallwright: hardening-no-fortify-functions *
wallwright: unstripped-binary-or-object *
wallwright: shared-library-is-executable *
wallwright: shared-library-lacks-prerequisites *
wallwright: binary-without-manpage *
wallwright: initial-upload-closes-no-bugs *
wallwright: no-code-sections *
"""


def maintainer() -> str:
    """Returns name and address. Exits if there is none, since a package must name a real person."""
    name, address = parseaddr(os.environ.get("DEBEMAIL", ""))
    before, _, domain = address.partition("@")
    if not before or not domain:
        sys.exit('Set DEBEMAIL to the maintainer\'s address, such as DEBEMAIL="Your Name <you@your.domain>".')
    return f"{os.environ.get('DEBFULLNAME') or name or before} <{address}>"


def depends() -> str:
    """Returns the system libraries that Qt needs, also by their names in Debian 13. The C library is at least that of this
    machine, where the compiled loops were linked. Exits if that is not the GNU one."""
    library, number = platform.libc_ver()
    if library != "glibc":
        sys.exit("The package needs the GNU C library. Build it on Debian or Ubuntu.")
    renamed = {"libglib2.0-0": "libglib2.0-0 | libglib2.0-0t64"}
    return ", ".join(
        [
            f"libc6 (>= {number})",
            "libgcc-s1",
            "libstdc++6",
            *(renamed.get(name, name) for name in bootstrap.DEBIAN_PACKAGES),
        ]
    )


def lay_out(root: Path, program: Path, components: Path, man: Path) -> None:
    """Copies every file to its path below root."""
    data = root / "usr" / "share"
    shutil.copytree(program, root / "usr" / "lib" / "wallwright", symlinks=True)
    (root / "usr" / "bin").mkdir(parents=True)
    (root / "usr" / "bin" / "wallwright").symlink_to("../lib/wallwright/wallwright")
    for name, place in desktop.PLACES.items():
        text = (PACKAGING / "desktop" / name).read_text(encoding="utf-8").replace("@PROGRAM@", "wallwright")
        _write(data / place, text.encode())
    for file in sorted(man.glob("*.1")):
        _write(data / "man" / "man1" / f"{file.name}.gz", _packed(file.read_bytes()))
    documents = data / "doc" / "wallwright"
    _write(documents / "copyright", copyright_text(components).encode())
    _write(documents / "changelog.gz", _packed(changelog().encode()))
    for file in sorted((components / "licences").glob("*.txt")):
        _write(documents / "licences" / f"{file.name}.gz", _packed(file.read_bytes()))
    _write(documents / "components.json", (components / "components.json").read_bytes())
    _write(data / "lintian" / "overrides" / "wallwright", OVERRIDES.encode())


def _write(file: Path, data: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)


def _packed(data: bytes) -> bytes:
    return gzip.compress(data, 9, mtime=wheel.source_date())


def changelog() -> str:
    """Returns a changelog in Debian's format; the changes are in packaging/CHANGELOG.md."""
    date = formatdate(wheel.source_date())
    head = f"wallwright ({wheel.version()}) unstable; urgency=medium"
    return f"{head}\n\n  * See the project's changelog.\n\n -- {maintainer()}  {date}\n"


def copyright_text(components: Path) -> str:
    """Returns copyrights in Debian's machine-readable format (DEP 5). The texts of each component are separate files, since
    Debian does not allow common licences to be repeated here."""
    own = (PACKAGING / "LICENSE").read_text(encoding="utf-8")
    lines = [
        "Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/",
        "Upstream-Name: wallwright",
        "",
        "Files: *",
        "Copyright: 2026 the Wallwright authors",
        "License: Expat",
        *_indented(own),
    ]
    for one in json.loads((components / "components.json").read_text(encoding="utf-8"))["components"]:
        name = one["name"]
        licence = one["licenses"][0]
        short = licence.get("expression") or licence["license"]["name"]
        lines += [
            "",
            f"Files: usr/lib/wallwright/*{name}*",
            f"Copyright: the authors of {name} {one['version']}, see below",
            f"License: {name}-licence",
            *_indented(f"{short}\nThe full text is in /usr/share/doc/wallwright/licences/{name}.txt.gz"),
        ]
    return "\n".join(lines) + "\n"


def _indented(text: str) -> list[str]:
    return [f" {line.rstrip()}" if line.strip() else " ." for line in text.strip().splitlines()]


def md5sums(root: Path) -> str:
    """Returns checksums of the files below root/usr, in the format of md5sum."""
    files = sorted(p for p in (root / "usr").rglob("*") if p.is_file() and not p.is_symlink())
    sums = [(hashlib.md5(p.read_bytes(), usedforsecurity=False).hexdigest(), p.relative_to(root)) for p in files]
    return "".join(f"{digest}  {path.as_posix()}\n" for digest, path in sums)


def build(program: Path, components: Path, man: Path, into: Path) -> Path:
    into.mkdir(parents=True, exist_ok=True)
    architecture = subprocess.run(["dpkg", "--print-architecture"], capture_output=True, text=True).stdout.strip()
    with tempfile.TemporaryDirectory() as temporary:
        root = Path(temporary) / "root"
        lay_out(root, program, components, man)
        for path in [root, *root.rglob("*")]:
            if path.is_symlink():
                continue
            is_program = path.parent == root / "usr" / "lib" / "wallwright" and path.name == "wallwright"
            path.chmod(0o755 if path.is_dir() or is_program else 0o644)
        size = self_contained.size(root) // 1024
        control = [
            "Package: wallwright",
            f"Version: {wheel.version()}",
            f"Architecture: {architecture}",
            f"Maintainer: {maintainer()}",
            f"Installed-Size: {size}",
            f"Depends: {depends()}",
            "Section: graphics",
            "Priority: optional",
            f"Description: {DESCRIPTION}",
        ]
        _write(root / "DEBIAN" / "control", "\n".join(control).encode())
        _write(root / "DEBIAN" / "md5sums", md5sums(root).encode())
        target = into / f"wallwright_{wheel.version()}_{architecture}.deb"
        environment = {**os.environ, "SOURCE_DATE_EPOCH": str(wheel.source_date())}
        done = subprocess.run(
            ["dpkg-deb", "--root-owner-group", "-Zxz", "-z1", "--build", str(root), str(target)],
            env=environment,
            capture_output=True,
            text=True,
        )
        if done.returncode:
            sys.exit(f"{done.stderr}The package could not be built.")
    return target


def main(arguments: list[str]) -> int:
    maintainer()  # before anything is built
    into = Path(arguments[arguments.index("--into") + 1]) if "--into" in arguments else PROJECT / "build" / "packages"
    if arguments and not arguments[0].startswith("--"):
        program = Path(arguments[0])
    else:
        program = self_contained.build(into.resolve(), self_contained.environment(self_contained.BUILD / "environment"))
    man = self_contained.BUILD / "man"
    python = self_contained.BUILD / "environment" / "bin" / "python"
    chosen = os.environ.get("WALLWRIGHT_PYTHON", str(python))
    self_contained.run([chosen, str(PACKAGING / "man_pages.py"), str(man)])
    components = self_contained.BUILD / "components"
    self_contained.run([chosen, str(PACKAGING / "components.py"), str(components), "--without-compilers"])
    made = build(program, components, man, into)
    print(f"{made}: {made.stat().st_size / 1e6:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
