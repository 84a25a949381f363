"""Builds the self-contained folder with PyInstaller, in a separate environment.

    python3 packaging/folder.py [--into DIR]     build/packages/wallwright

The environment (build/environment) has the pinned libraries and the wheel, which is built in it. Loops are compiled ahead
of time, so that numba and LLVM are not needed: 210 MB less. trim.py makes libraries smaller. On Windows and macOS the same
command should give the folder and the bundle; it was run on Linux only.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import wheel  # beside this script

PROJECT = Path(__file__).resolve().parent.parent
PACKAGING = PROJECT / "packaging"
BUILD = PROJECT / "build"
ICONS = {"win32": ".ico", "darwin": ".icns"}
TOOLS = ("pyinstaller==6.22.3", "setuptools>=77", "packaging")


ONLY_LEAST_SQUARES = """\
# Written by packaging/folder.py: the part of scipy.optimize that Wallwright uses. The whole has 9 MB of other solvers.
from ._optimize import OptimizeResult
from ._lsq import least_squares
"""


def environment(folder: Path) -> Path:
    """Returns the Python of an environment with the pinned libraries, Wallwright and the build tools."""
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        run([sys.executable, "-m", "venv", str(folder)])
    install = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    run([*install, "--require-hashes", "-r", str(PACKAGING / "pins-run.txt")])
    run([*install, *TOOLS])
    (archive,) = [p for p in wheel.build(BUILD / "wheel", str(python)) if p.suffix == ".whl"]
    run([*install, "--no-deps", "--force-reinstall", str(archive)])
    code = "import scipy.optimize as o; print(o.__file__)"
    place = subprocess.run([str(python), "-c", code], capture_output=True, text=True, check=True).stdout.strip()
    Path(place).write_text(ONLY_LEAST_SQUARES, encoding="utf-8")
    return python


def build(into: Path, python: Path) -> Path:
    """Builds the folder `wallwright` in the folder `into` and returns it."""
    kernels, components, icons = BUILD / "kernels", BUILD / "components", BUILD / "icons"
    _build_kernels(python, kernels)
    run([str(python), str(PACKAGING / "components.py"), str(components), "--without-compilers"])
    run([str(python), str(PACKAGING / "app_icon.py"), str(icons)], {"QT_QPA_PLATFORM": "offscreen"})
    variables = {
        "WALLWRIGHT_ICON": str(icons / f"wallwright{ICONS[sys.platform]}") if sys.platform in ICONS else "",
        "WALLWRIGHT_VERSION_FILE": str(version_file(BUILD / "version.txt")) if sys.platform == "win32" else "",
        "WALLWRIGHT_KERNELS": str(kernels),
        "WALLWRIGHT_COMPONENTS": str(components),
        "SOURCE_DATE_EPOCH": str(wheel.source_date()),
        "PYTHONHASHSEED": "0",
    }
    run(
        [
            *(str(python), "-m", "PyInstaller", "--noconfirm", "--log-level", "WARN"),
            *("--distpath", str(into), "--workpath", str(BUILD / "pyinstaller"), str(PACKAGING / "wallwright.spec")),
        ],
        variables,
    )
    return into / "wallwright"


def _build_kernels(python: Path, folder: Path) -> None:
    """Compiles the loops, which takes minutes, unless already done from the same sources."""
    sources = [p for p in sorted((PROJECT / "app").rglob("*.py")) if "compiled" in p.read_text(encoding="utf-8")]
    sources += [PACKAGING / "kernels.py", PACKAGING / "kernel_signatures.txt", PACKAGING / "pins.txt"]
    made_from = hashlib.sha256(b"".join(p.read_bytes() for p in sources) + sys.version.encode()).hexdigest()
    stamp = folder / "made-from.txt"
    if stamp.is_file() and stamp.read_text() == made_from:
        return
    stamp.unlink(missing_ok=True)
    run([str(python), str(PACKAGING / "kernels.py"), "build", str(folder)])
    stamp.write_text(made_from)


def version_file(file: Path) -> Path:
    """Writes the program's properties on Windows, in PyInstaller's format (VERSIONINFO resource)."""
    number = wheel.version()
    parts = tuple(map(int, [*number.split("."), "0"][:4]))
    texts = {
        "FileDescription": "Wallwright",
        "FileVersion": number,
        "LegalCopyright": "2026 the Wallwright authors, MIT licence",
        "OriginalFilename": "wallwright.exe",
        "ProductName": "Wallwright",
        "ProductVersion": number,
    }
    strings = ", ".join(f"StringStruct({name!r}, {text!r})" for name, text in texts.items())
    fixed = f"filevers={parts}, prodvers={parts}, mask=0x3F, flags=0, OS=0x40004, fileType=1, subtype=0, date=(0, 0)"
    kids = (
        f"StringFileInfo([StringTable('040904B0', [{strings}])]), VarFileInfo([VarStruct('Translation', [1033, 1200])])"
    )
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(f"VSVersionInfo(ffi=FixedFileInfo({fixed}), kids=[{kids}])\n", encoding="utf-8")
    return file


def size(path: Path) -> int:
    """Returns the size in bytes."""
    files = [path] if path.is_file() else [p for p in path.rglob("*") if p.is_file() and not p.is_symlink()]
    return sum(p.stat().st_size for p in files)


def run(command: list[str], variables: dict[str, str] | None = None) -> None:
    if subprocess.run(command, cwd=PROJECT, env={**os.environ, **(variables or {})}).returncode:
        sys.exit(f"This failed: {' '.join(command)}")


def main(arguments: list[str]) -> int:
    if set(arguments[::2]) - {"--into"} or len(arguments) > 2:
        print((__doc__ or "").strip())
        return 2
    into = Path(arguments[1]) if arguments else BUILD / "packages"
    made = build(into.resolve(), environment(BUILD / "environment"))
    print(f"{made}: {size(made) / 1e6:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
