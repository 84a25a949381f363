"""The layers of app/ hold, and the style of the code."""

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]
PACKAGE = PROJECT / "app" / "wallwright"


def run(*command: str) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONPATH": str(PROJECT / "app")}
    return subprocess.run([sys.executable, *command], cwd=PROJECT, capture_output=True, text=True, env=environment)


def test_imports_flow_down_the_layers():
    """The contracts stand in pyproject.toml."""
    code = "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"
    result = run("-c", code)
    assert result.returncode == 0, result.stdout + result.stderr
    assert "0 broken" in result.stdout


def test_qt_stays_where_it_is_needed():
    """Widgets in the window only; QtGui in artwork and jobs only where pictures and paper are made."""
    for path in PACKAGE.rglob("*.py"):
        name, text = path.relative_to(PACKAGE).as_posix(), path.read_text()
        if not name.startswith("window/"):
            assert "QtWidgets" not in text, name
        if "PySide6" in text:
            assert name.startswith(("window/", "jobs/sheet/", "artwork/rendering", "artwork/ink_layers")), name


def imports_of(files: dict[str, str]) -> dict[str, set[str]]:
    """What each module of a package imports of it, by its source: anywhere in the file, for types only too."""
    found: dict[str, set[str]] = {}
    for module, text in files.items():
        names: set[str] = set()
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                names |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module}
        # Of "from package import module" the module counts, not the package around it.
        known = names & files.keys()
        parents = {name.rpartition(".")[0] for name in known}
        found[module] = {name for name in known if name not in parents} - {module}
    return found


def cycles_in(imports: dict[str, set[str]]) -> set[frozenset[str]]:
    """Groups of modules that reach each other by imports (Tarjan, SIAM J. Comput. 1, 1972)."""
    order: dict[str, int] = {}
    lowest: dict[str, int] = {}
    path: list[str] = []
    groups: set[frozenset[str]] = set()

    def visit(module: str) -> None:
        order[module] = lowest[module] = len(order)
        path.append(module)
        for other in imports[module]:
            if other not in order:
                visit(other)
            if other in path:
                lowest[module] = min(lowest[module], lowest[other])
        if lowest[module] == order[module]:
            at = path.index(module)
            if len(path) - at > 1:
                groups.add(frozenset(path[at:]))
            del path[at:]

    for module in imports:
        if module not in order:
            visit(module)
    return groups


def package_sources(folders: Iterable[Path]) -> dict[str, str]:
    """Source of every module below some folders of packages, by its dotted name."""
    return {
        ".".join(path.relative_to(folder.parent).with_suffix("").parts).removesuffix(".__init__"): path.read_text()
        for folder in folders
        for path in folder.rglob("*.py")
    }


def test_no_modules_import_each_other():
    """In fact, not only while running: imports for types and within functions count as well."""
    assert cycles_in(imports_of(package_sources([PACKAGE]))) == set()


def test_cycles_are_found():
    files = {
        "p": "",
        "p.a": "from p import b",
        "p.b": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import p.c",
        "p.c": "def f():\n    from p.a import g",
        "p.d": "from p.a import g",
        "p.e": "from p import missing, d",
    }
    assert cycles_in(imports_of(files)) == {frozenset({"p.a", "p.b", "p.c"})}


def test_only_the_application_knows_the_main_window():
    for path in (PACKAGE / "window").rglob("*.py"):
        if "main_window" in path.read_text() and path.name != "main_window.py":
            assert path.is_relative_to(PACKAGE / "window" / "application"), path.name


def test_the_contracts_can_fail(tmp_path):
    """A module that breaks a rule is found: the check is not blind."""
    folder = tmp_path / "wallwright"
    for name in ("document", "window"):
        (folder / name).mkdir(parents=True)
        (folder / name / "__init__.py").touch()
    (folder / "__init__.py").touch()
    (folder / "document" / "bad.py").write_text("import wallwright.window\n")
    (tmp_path / ".importlinter").write_text(
        "[importlinter]\nroot_package = wallwright\n[importlinter:contract:1]\nname = layers\ntype = layers\n"
        "layers =\n    wallwright.window\n    wallwright.document\n"
    )
    code = "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"
    result = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
    )
    assert result.returncode != 0


def test_style():
    result = run("-m", "ruff", "check", "app", "tests", "packaging")
    assert result.returncode == 0, result.stdout


def test_no_module_is_two_ideas():
    long = [p for p in PACKAGE.rglob("*.py") if len(p.read_text().splitlines()) > 400]
    assert not long


def test_window_and_commands_start_without_heavy_libraries():
    """A module that is loaded at the start has such imports within its functions; all others have them at their top. Of
    the commands only the one that is given is loaded."""
    code = (
        "import sys\n"
        "import wallwright.window.application.main, wallwright.window.shell.main_window\n"
        "from wallwright.commands.main import parser\n"
        "parser('window')\n"
        "heavy = ('pyqtgraph', 'numba', 'scipy', 'shapely', 'contourpy', 'pikepdf', 'mujoco')\n"
        "print(found := [m for m in heavy if m in sys.modules])\n"
        "sys.exit(bool(found))"
    )
    result = run("-c", code)
    assert result.returncode == 0, result.stdout + result.stderr


def test_paths_in_the_developers_page_exist():
    text = (PROJECT / "DEVELOPERS.md").read_text()
    paths = set(re.findall(r"`([\w./-]*(?:/|\.py|\.txt|\.toml))`", text))
    assert len(paths) > 80
    missing = [p for p in paths if not ((PROJECT / p).exists() or (PACKAGE / p).exists())]
    assert not missing
