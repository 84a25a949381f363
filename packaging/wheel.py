"""Builds the source distribution and the wheel reproducibly.

    python3 packaging/wheel.py [FOLDER]     into build/packages unless another folder is given
    python3 packaging/wheel.py --with-loops [FOLDER]     a wheel for this Python and system, in build/packages
    python3 packaging/wheel.py --version    prints the version

The archives are rewritten with sorted entries, one date (SOURCE_DATE_EPOCH, or 1 January 1980) and normal permissions, so
that they do not depend on the date, the umask or the order of a folder.

The usual wheel is for every system; its loops are compiled during the first plan, which takes a minute. The one with loops
has them compiled (FOLDER: output of `kernels.py build`, else build/kernels) and does not need numba.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import tempfile
import time
import zipfile
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
CARRIED = ("pyproject.toml", "README.md", "DEVELOPERS.md", "app", "resources", "packaging")
LEFT_OUT = shutil.ignore_patterns("__pycache__", "*.egg-info", "*.pyc", "build")
EARLIEST = 315532800
"""1 January 1980, the earliest date in a zip file, s since 1970."""


def source_date() -> int:
    return max(EARLIEST, int(os.environ.get("SOURCE_DATE_EPOCH", EARLIEST)))


def version() -> str:
    text = (PROJECT / "app" / "wallwright" / "__init__.py").read_text(encoding="utf-8")
    return text.split('__version__ = "', 1)[1].split('"', 1)[0]


def build(folder: Path, python: str = "") -> list[Path]:
    """Builds the two archives from a copy, since building leaves files beside the sources. python: the Python whose
    setuptools is used; default: one that is found."""
    folder.mkdir(parents=True, exist_ok=True)
    environment = {**os.environ, "SOURCE_DATE_EPOCH": str(source_date())}
    with tempfile.TemporaryDirectory() as temporary:
        tree, made = Path(temporary) / "tree", Path(temporary) / "made"
        made.mkdir()
        tree.mkdir()
        for name in CARRIED:
            source = PROJECT / name
            if source.is_dir():
                shutil.copytree(source, tree / name, ignore=LEFT_OUT)
            else:
                shutil.copy(source, tree / name)
        python = python or _python()
        for kind in ("sdist", "wheel"):  # a process each, since setuptools keeps state between builds
            script = f"import sys; from setuptools import build_meta as b; b.build_{kind}(sys.argv[1])"
            done = subprocess.run(
                [python, "-c", script, str(made)], cwd=tree, env=environment, capture_output=True, text=True
            )
            if done.returncode or not any(made.glob("*.tar.gz" if kind == "sdist" else "*.whl")):
                sys.exit(f"{done.stdout}{done.stderr}The {kind} could not be built.")
        written = []
        for archive in sorted(made.iterdir()):
            target = folder / archive.name
            target.write_bytes(_plain_zip(archive) if archive.suffix == ".whl" else _plain_tar(archive))
            written.append(target)
    return written


def _python() -> str:
    """Returns this Python if its setuptools supports the licence fields of pyproject.toml, else that of the environment."""
    check = "import sys, setuptools; sys.exit(int(setuptools.__version__.split('.')[0]) < 77)"
    if subprocess.run([sys.executable, "-c", check], capture_output=True).returncode == 0:
        return sys.executable
    import bootstrap  # beside this script

    return bootstrap.set_up(extras="[test]")


def _plain_zip(archive: Path) -> bytes:
    date = time.gmtime(source_date())[:6]
    buffer = io.BytesIO()
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(buffer, "w") as new:
        for name in sorted(old.namelist()):
            info = zipfile.ZipInfo(name, date)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o100644 << 16
            new.writestr(info, old.read(name))
    return buffer.getvalue()


def _plain_tar(archive: Path) -> bytes:
    buffer = io.BytesIO()
    with (
        tarfile.open(archive) as old,
        gzip.GzipFile("", "wb", fileobj=buffer, mtime=source_date()) as packed,
        tarfile.open(fileobj=packed, mode="w", format=tarfile.PAX_FORMAT) as new,
    ):
        for member in sorted(old.getmembers(), key=lambda m: m.name):
            if not (member.isfile() or member.isdir()):
                continue
            plain = tarfile.TarInfo(member.name)
            plain.type, plain.size, plain.mtime = member.type, member.size, source_date()
            plain.mode = 0o755 if member.isdir() else 0o644
            new.addfile(plain, old.extractfile(member) if member.isfile() else None)
    return buffer.getvalue()


def with_loops(pure: Path, kernels: Path, folder: Path) -> Path:
    """Builds the wheel with compiled loops for the running Python (binary distribution format, PyPA)."""
    version = f"cp{sys.version_info.major}{sys.version_info.minor}"
    tag = f"{version}-{version}-{sysconfig.get_platform().replace('-', '_').replace('.', '_')}"
    with zipfile.ZipFile(pure) as old:
        files = {name: old.read(name) for name in old.namelist()}
    (record,) = [name for name in files if name.endswith(".dist-info/RECORD")]
    about, metadata = (record.replace("RECORD", name) for name in ("WHEEL", "METADATA"))
    files[about] = files[about].replace(b"Root-Is-Purelib: true", b"Root-Is-Purelib: false")
    files[about] = files[about].replace(b"Tag: py3-none-any", f"Tag: {tag}".encode())
    lines = files[metadata].splitlines(keepends=True)
    files[metadata] = b"".join(line for line in lines if not line.startswith(b"Requires-Dist: numba"))
    for file in kernels.glob("wallwright_kernels*"):
        if file.is_file() and (file.suffix == ".py" or file.name.endswith(sysconfig.get_config_var("EXT_SUFFIX"))):
            files[file.name] = file.read_bytes()
    rows = []
    for name in sorted(set(files) - {record}):
        digest = base64.urlsafe_b64encode(hashlib.sha256(files[name]).digest()).rstrip(b"=").decode()
        rows.append(f"{name},sha256={digest},{len(files[name])}\n")
    files[record] = "".join([*rows, f"{record},,\n"]).encode()
    with tempfile.TemporaryDirectory() as temporary:
        archive = Path(temporary) / "new.whl"
        with zipfile.ZipFile(archive, "w") as new:
            for name, data in files.items():
                new.writestr(name, data)
        target = folder / pure.name.replace("py3-none-any", tag)
        target.write_bytes(_plain_zip(archive))
    return target


def main(arguments: list[str]) -> int:
    if arguments == ["--version"]:
        print(version())
        return 0
    is_with_loops = arguments[:1] == ["--with-loops"]
    named = arguments[1:] if is_with_loops else arguments
    packages = PROJECT / "build" / "packages"
    if is_with_loops:
        kernels = Path(named[0]) if named else PROJECT / "build" / "kernels"
        (pure,) = [file for file in build(packages) if file.suffix == ".whl"]
        made = [with_loops(pure, kernels, packages)]
    else:
        made = build(Path(named[0]) if named else packages)
    for file in made:
        data = file.read_bytes()
        print(f"{hashlib.sha256(data).hexdigest()}  {file}  {len(data) / 1e6:.2f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
