"""Packs the self-contained folder into a single executable file for Linux.

    python3 packaging/single_file.py [FOLDER] [--into DIR]     FOLDER: what packaging/folder.py made

The file is a shell script followed by a compressed archive. At its first start it unpacks itself to the user's cache
folder; later starts take as long as those of the folder. A newer file deletes what an older one has unpacked, unless that
is running. `wallwright --delete-unpacked` deletes it, and then the file itself can be deleted.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import os
import sys
import tarfile
from pathlib import Path

import wheel  # beside this script

PROJECT = Path(__file__).resolve().parent.parent
STUB = """\
#!/bin/sh
# Wallwright @VERSION@ in one file: unpacks itself once, then starts what it has unpacked.
set -e
if [ -n "$XDG_CACHE_HOME" ]; then caches="$XDG_CACHE_HOME"
elif [ -n "$HOME" ]; then caches="$HOME/.cache"
else caches="${TMPDIR:-/tmp}/wallwright-$(id -u)"; fi
place="$caches/wallwright"
program="$place/program-@DIGEST@"
if [ "$1" = "--delete-unpacked" ]; then
  rm -rf "$place"/program-*
  rmdir "$place" 2>/dev/null || true
  exit 0
fi
if [ ! -x "$program/wallwright" ]; then
  mkdir -p "$place"
  part=$(mktemp -d "$place/unpacking-XXXXXX")
  trap 'rm -rf "$part"' EXIT
  if ! tail -n +@LINES@ "$0" | tar -xzf - -C "$part"; then
    echo "wallwright: $place has no room for @SIZE@ MB. Make room, or set XDG_CACHE_HOME to another folder." >&2
    exit 2
  fi
  for old in "$place"/program-*; do
    ls -l /proc/[0-9]*/exe 2>/dev/null | grep -qF "$old/" || rm -rf "$old"
  done
  mv "$part/wallwright" "$program" 2>/dev/null || [ -x "$program/wallwright" ]
  rm -rf "$part"
  trap - EXIT
fi
exec "$program/wallwright" "$@"
"""


def pack(folder: Path, file: Path) -> Path:
    """Writes the file. The same folder gives the same bytes."""
    archive = packed(folder)
    size = sum(p.stat().st_size for p in folder.rglob("*") if p.is_file() and not p.is_symlink())
    stub = STUB.replace("@VERSION@", wheel.version()).replace("@DIGEST@", hashlib.sha256(archive).hexdigest()[:16])
    stub = stub.replace("@SIZE@", str(size // 10**6)).replace("@LINES@", str(STUB.count("\n") + 1))
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(stub.encode() + archive)
    file.chmod(0o755)
    return file


def packed(folder: Path) -> bytes:
    """Returns a tar.gz archive, since every system has both programs. Names begin with wallwright/."""
    buffer = io.BytesIO()
    with (
        gzip.GzipFile("", "wb", 6, buffer, wheel.source_date()) as stream,
        tarfile.open(fileobj=stream, mode="w", format=tarfile.GNU_FORMAT) as archive,
    ):
        for path in sorted(folder.rglob("*")):
            entry = archive.gettarinfo(path, f"wallwright/{path.relative_to(folder).as_posix()}")
            entry.mtime, entry.uid, entry.gid, entry.uname, entry.gname = wheel.source_date(), 0, 0, "", ""
            entry.mode = 0o755 if path.is_dir() or os.access(path, os.X_OK) else 0o644
            if entry.isfile():
                with path.open("rb") as content:
                    archive.addfile(entry, content)
            else:
                archive.addfile(entry)
    return buffer.getvalue()


def main(arguments: list[str]) -> int:
    into = Path(arguments[arguments.index("--into") + 1]) if "--into" in arguments else PROJECT / "build" / "single"
    named = arguments and not arguments[0].startswith("--")
    folder = Path(arguments[0]) if named else PROJECT / "build" / "packages" / "wallwright"
    if not (folder / "wallwright").is_file():
        print((__doc__ or "").strip())
        return 2
    file = pack(folder, into / "wallwright")
    print(f"{file}: {file.stat().st_size / 1e6:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
