"""What makes the packages: pins, components, manual pages, archives with the same bytes, and recipes whose paths exist."""

import ast
import contextlib
import gzip
import importlib.util
import json
import os
import re
import shutil
import struct
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from pathlib import Path

import pytest
from PIL import Image

import wallwright
from wallwright.commands.main import parser
from wallwright.document.language import LANGUAGES

PROJECT = Path(__file__).resolve().parents[1]
PACKAGING = PROJECT / "packaging"


def script(name, monkeypatch):
    monkeypatch.syspath_prepend(str(PACKAGING))
    spec = importlib.util.spec_from_file_location(f"packaging_{name}", PACKAGING / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def pinned(name):
    text = (PACKAGING / name).read_text(encoding="utf-8")
    return {
        re.sub(r"[-_.]+", "-", name).lower(): version
        for name, version in re.findall(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", text, re.MULTILINE)
    }


@pytest.mark.parametrize("name", ["pins-run.txt", "pins-test.txt"])
def test_hashed_pins_are_those_of_the_pins(name):
    plain, hashed = pinned("pins.txt"), pinned(name)
    assert {k: v for k, v in hashed.items() if plain.get(k, v) != v} == {}
    if name == "pins-test.txt":
        assert set(plain) <= set(hashed), "run packaging/pins.py"
    text = (PACKAGING / name).read_text(encoding="utf-8")
    for entry in re.split(r"\n(?=[A-Za-z0-9])", text.split("\n", 1)[1]):
        assert "--hash=sha256:" in entry, entry.splitlines()[0]


def test_archives_do_not_show_when_and_how_they_were_made(tmp_path, monkeypatch):
    wheel = script("wheel", monkeypatch)
    packed = []
    for turn, names in enumerate((["b", "a"], ["a", "b"])):
        zipped, tarred = tmp_path / f"{turn}.whl", tmp_path / f"{turn}.tar.gz"
        with zipfile.ZipFile(zipped, "w") as archive:
            for name in names:
                archive.writestr(zipfile.ZipInfo(name, (2020 + turn, 1, 1, 0, 0, 0)), name * 9)
        with tarfile.open(tarred, "w:gz") as archive:
            for name in names:
                file = tmp_path / f"{name}{turn}"
                file.write_text(name * 9)
                file.chmod(0o600 if turn else 0o644)
                archive.add(file, f"p/{name}")
        packed.append((wheel._plain_zip(zipped), wheel._plain_tar(tarred)))
    assert packed[0] == packed[1]
    (tmp_path / "read.tar").write_bytes(gzip.decompress(packed[0][1]))
    with tarfile.open(tmp_path / "read.tar") as archive:
        assert archive.getnames() == ["p/a", "p/b"]


def test_a_wheel_with_loops_is_one_for_this_python(tmp_path, monkeypatch):
    # Names and files as the binary distribution format wants them; pip is the judge of the record and the tags.
    wheel = script("wheel", monkeypatch)
    about = "thing-1.0.dist-info"
    parts = {
        "thing.py": "import wallwright_kernels_table\n",
        f"{about}/METADATA": "Metadata-Version: 2.1\nName: thing\nVersion: 1.0\nRequires-Dist: numba>=0.61\nRequires-Dist: numpy\n",
        f"{about}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        f"{about}/RECORD": "",
    }
    pure = tmp_path / "thing-1.0-py3-none-any.whl"
    with zipfile.ZipFile(pure, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    kernels = tmp_path / "kernels"
    kernels.mkdir()
    (kernels / "wallwright_kernels_table.py").write_text("TABLE = {}\n")
    (kernels / f"wallwright_kernels{sysconfig.get_config_var('EXT_SUFFIX')}").write_bytes(b"code")
    (kernels / "wallwright_kernels.other-abi.so").write_bytes(b"of another Python")
    made = [wheel.with_loops(pure, kernels, tmp_path) for _ in range(2)]
    assert made[0].read_bytes() == made[1].read_bytes()
    install = [*(sys.executable, "-m", "pip", "install", "--no-deps", "--no-index", "--no-compile", "--quiet")]
    done = subprocess.run([*install, "--target", str(tmp_path / "site"), str(made[0])], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    names = {p.name for p in (tmp_path / "site").iterdir()}
    assert {"thing.py", "wallwright_kernels_table.py"} < names and "wallwright_kernels.other-abi.so" not in names
    assert "numba" not in (tmp_path / "site" / about / "METADATA").read_text()


def test_the_list_of_components_is_one_of_cyclonedx(tmp_path, monkeypatch):
    # Fields as the CycloneDX 1.6 specification requires them.
    components = script("components", monkeypatch)
    count = components.write(tmp_path, components.COMPILERS)
    listed = json.loads((tmp_path / "components.json").read_text())
    assert (listed["bomFormat"], listed["specVersion"]) == ("CycloneDX", "1.6")
    assert re.fullmatch(
        r"urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", listed["serialNumber"]
    )
    names = {one["name"] for one in listed["components"]}
    assert len(names) == len(listed["components"]) == count - 1
    assert {"numpy", "Python", "PySide6_Essentials", "cat.jpg"} <= names
    assert not names & {"numba", "llvmlite"}
    for one in listed["components"]:
        assert (
            one["type"] == ("file" if one["name"] == "cat.jpg" else "library")
            and one["version"]
            and one["purl"].endswith(f"@{one['version']}")
        )
        assert len((tmp_path / "licences" / f"{one['name']}.txt").read_text()) > 100


def test_every_command_has_a_manual_page(monkeypatch, tmp_path):
    pages = script("man_pages", monkeypatch).pages()
    assert set(pages) == {"wallwright.1", *(f"wallwright-{name}.1" for name in parser().commands)}
    assert "\\-\\-folder" in pages["wallwright-export.1"]
    if shutil.which("groff"):
        for name, text in pages.items():
            done = subprocess.run(
                ["groff", "-man", "-Tutf8", "-Kutf8", "-ww", "-z"], input=text, capture_output=True, text=True
            )
            assert done.returncode == 0 and done.stderr == "", f"{name}: {done.stderr}"


def test_types_of_loops_are_named_alike_by_list_and_program(monkeypatch):
    import numpy as np

    from wallwright.document.ahead_of_time import Loop, type_key

    kernels = script("kernels", monkeypatch)
    for line in kernels.listed():
        name, _, arguments = line.partition("(")
        assert ":" in name
        texts = kernels.split_arguments(arguments[:-1])
        assert [kernels.type_text(kernels.numba_type(t)) for t in texts] == texts
        assert [kernels.key(t) for t in texts]
    frozen = np.zeros((2, 3))[:, ::2]
    frozen.flags.writeable = False
    values = (np.zeros(3, np.int32), np.zeros((2, 2)).T[:1], frozen, (1, 2.0), True, np.uint64(3))
    keys = tuple(map(type_key, values))
    assert keys == ("int32[1C]", "float64[2A]", "float64[2A]r", "(int64, float64)", "bool", "uint64")
    calls = []
    loop = Loop(lambda a, b=2: calls.append(("python", a, b)), {("int64", "int64"): lambda a, b: calls.append((a, b))})
    loop(1)
    loop(1.5)
    assert calls == [(1, 2), ("python", 1.5, 2)]


def test_every_loop_that_python_calls_is_listed_for_packages_without_a_compiler(monkeypatch):
    kernels = script("kernels", monkeypatch)
    modules = kernels.loop_modules()
    loops, called = kernels.loops_in(modules), kernels.called_from_python(modules)
    listed = {line.partition("(")[0] for line in kernels.listed()}
    assert "wallwright.strokes.pictures.streamlines:_enter" in called
    assert "wallwright.strokes.pictures.streamlines:_is_clear" in loops - called
    assert called - listed == set(), "record them with a test that calls them: packaging/kernels.py record TESTS"
    assert listed - loops == set(), "these are gone: delete their lines"
    groups = kernels.by_module()  # each is compiled by one process
    shared = [line for group in groups for line in group]
    assert len(shared) == len(set(shared)) and {line.partition("(")[0] for line in shared} == called
    assert all(len({line.partition(":")[0] for line in group}) == 1 for group in groups)
    assert len({group[0].partition(":")[0] for group in groups}) == len(groups)


def test_recipes_name_files_that_exist():
    texts = [p.read_text(encoding="utf-8") for p in (PROJECT / ".github" / "workflows").glob("*.yml")]
    scripts = set(re.findall(r"(packaging/[\w/]+\.py)", "".join(texts)))
    assert len(scripts) > 3
    for name in scripts:
        assert (PROJECT / name).is_file()
    installer = (PACKAGING / "windows" / "wallwright.nsi").read_text(encoding="utf-8")
    for name in re.findall(r'"(\.\.\\[A-Z]+)"', installer):
        assert (PACKAGING / "windows" / name.replace("\\", "/")).exists()
    spec = (PACKAGING / "wallwright.spec").read_text(encoding="utf-8")
    for name in re.findall(r'HERE / "([^"]+)"', spec):
        assert (PACKAGING / name).is_file()
    compile(spec, "wallwright.spec", "exec")


def workflow_lines():
    """What the workflow runs, on one line each."""
    text = (PROJECT / ".github" / "workflows" / "packages.yml").read_text(encoding="utf-8")
    return re.findall(r"^ +- run: (.+)$", text, re.MULTILINE)


def test_the_workflow_gives_options_that_its_scripts_know():
    calls = [
        (name, options.split())
        for line in workflow_lines()
        for name, options in re.findall(r"python3? packaging/(\w+)\.py((?: +[^\s&|)]+)*)", line)
    ]
    assert {name for name, _ in calls} == {"bootstrap", "clean_root", "debian", "folder", "single_file", "wheel"}
    for name, options in calls:
        text = (PACKAGING / f"{name}.py").read_text(encoding="utf-8")
        for option in options:
            if option.startswith("--"):
                assert f'"{option}"' in text or (name, option) == ("bootstrap", "--version"), (name, option)
            elif option.startswith("tests/"):
                assert (PROJECT / option).exists(), option


def test_the_workflow_names_files_that_the_recipes_make():
    # What PyInstaller's COLLECT, EXE and BUNDLE make of a name: PyInstaller manual, "Using Spec Files".
    spec = (PACKAGING / "wallwright.spec").read_text(encoding="utf-8")
    (folder,) = re.findall(r'COLLECT\(.*name="(\w+)"', spec)
    programs = re.findall(r'EXE\(library.*?name="([\w-]+)"', spec, re.DOTALL)
    (bundle,) = re.findall(r'BUNDLE\(\s*folder,\s*name="([\w.]+)"', spec)
    icons = re.findall(r'folder / "(wallwright\.\w+)"', (PACKAGING / "app_icon.py").read_text(encoding="utf-8"))
    packages = "build/packages"
    made = {
        *(f"{packages}/{folder}", "build/single/wallwright", f"{packages}/*.deb", "build/pictures/*.png"),
        *(f"{packages}/{folder}/{program}{suffix}" for program in programs for suffix in ("", ".exe")),
        *(f"{packages}/{bundle}", f"{packages}/{bundle}/Contents/MacOS/{programs[0]}"),
        *(f"build/icons/{name}" for name in icons),
    }
    text = (PROJECT / ".github" / "workflows" / "packages.yml").read_text(encoding="utf-8").replace("\\", "/")
    named = set(re.findall(r"(?<![\w-])build/[\w./*-]+", text))
    assert len(named) > 8 and named - made == set()
    # NSIS works in the folder of its script (manual, 3.1.3, /NOCD); its symbols are given by /D.
    installer = (PACKAGING / "windows" / "wallwright.nsi").read_text(encoding="utf-8")
    (command,) = [line for line in workflow_lines() if line.startswith("makensis ")]
    given = dict(re.findall(r"/D(\w+)=(\$\(.*?\)|\S+)", command))
    assert set(given) == set(re.findall(r"\$\{(VERSION|FOLDER|ICON)\}", installer))
    for path in (given["FOLDER"], given["ICON"]):
        place = os.path.normpath(os.path.join("packaging/windows", path.replace("\\", "/")))
        assert place in made
    assert command.split()[-1].replace("\\", "/") == "packaging/windows/wallwright.nsi"


def spec_list(name):
    """The texts of a list in the recipe for PyInstaller, whatever the environment."""
    tree = ast.parse((PACKAGING / "wallwright.spec").read_text(encoding="utf-8"))
    (value,) = [n.value for n in tree.body if isinstance(n, ast.Assign) and n.targets[0].id == name]
    scope = {"KERNELS": "somewhere"}
    return list(eval(compile(ast.Expression(value), "wallwright.spec", "eval"), scope))


def test_what_the_program_imports_of_qt_is_packed():
    imported = set()
    for file in (PROJECT / "app").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "PySide6":
                imported |= {f"PySide6.{alias.name}" for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("PySide6."):
                imported.add(node.module)
            elif isinstance(node, ast.Import):
                imported |= {alias.name for alias in node.names if alias.name.startswith("PySide6.")}
    assert "PySide6.QtSvg" in imported  # one that is imported within a function
    assert imported & set(spec_list("NEVER")) == set()
    unused = spec_list("UNUSED_FILES")
    for module in imported:
        part = module.removeprefix("PySide6.Qt")
        for file in (f"PySide6/Qt{part}.abi3.so", f"PySide6/Qt/lib/libQt6{part}.so.6", f"PySide6/Qt6{part}.dll"):
            assert not [one for one in unused if one in file], file


def test_what_windows_shows_of_the_program(tmp_path, monkeypatch):
    # Constants of VS_FIXEDFILEINFO (verrsrc.h): VOS_NT_WINDOWS32, VFT_APP; 0409 and 04B0: American English, Unicode.
    names = (
        "VSVersionInfo",
        "FixedFileInfo",
        "StringFileInfo",
        "StringTable",
        "StringStruct",
        "VarFileInfo",
        "VarStruct",
    )
    scope = {name: lambda *given, _name=name, **named: (_name, *given, *named.items()) for name in names}
    _, fixed, (_, kids) = eval(script("folder", monkeypatch).version_file(tmp_path / "v").read_text(), scope)
    number = wallwright.__version__
    assert dict(fixed[1][1:])["filevers"] == (*map(int, number.split(".")), 0)
    assert (dict(fixed[1][1:])["OS"], dict(fixed[1][1:])["fileType"]) == (0x40004, 1)
    (_, code, texts), *_ = kids[0][1]
    assert code == "040904B0"
    assert ("StringStruct", "ProductVersion", number) in texts


def test_icons_of_every_system(tmp_path, monkeypatch):
    script("app_icon", monkeypatch).write(tmp_path)
    with Image.open(tmp_path / "wallwright.ico") as picture:
        assert {(16, 16), (48, 48), (256, 256)} <= picture.info["sizes"]
    with Image.open(tmp_path / "wallwright.icns") as picture:
        assert max(picture.info["sizes"])[0] >= 512
        assert picture.getpixel((picture.width // 2, picture.height * 36 // 64))[:3] == (0x24, 0x31, 0x3C)  # the body


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the single file is for Linux")
def test_the_single_file_unpacks_itself_once(tmp_path, monkeypatch):
    single = script("single_file", monkeypatch)
    folder = tmp_path / "built"
    (folder / "_internal").mkdir(parents=True)
    (folder / "wallwright").write_text('#!/bin/sh\necho "$0" "$@" "$(cat "$(dirname "$0")/_internal/data")"\n')
    (folder / "wallwright").chmod(0o755)
    (folder / "_internal" / "data").write_text("one")
    file = single.pack(folder, tmp_path / "my programs" / "wallwright")
    assert single.pack(folder, tmp_path / "again").read_bytes() == file.read_bytes()
    environment = {"PATH": os.environ["PATH"], "XDG_CACHE_HOME": str(tmp_path / "my caches")}

    def answer(program, *words):
        done = subprocess.run([program, *words], capture_output=True, text=True, env=environment, check=True)
        return done.stdout

    first = answer(file, "check", "a b")
    assert first.endswith("/wallwright check a b one\n")
    (unpacked,) = (tmp_path / "my caches" / "wallwright").iterdir()
    before = (unpacked / "_internal" / "data").stat().st_mtime_ns
    assert answer(file, "check", "a b") == first
    assert (unpacked / "_internal" / "data").stat().st_mtime_ns == before
    (folder / "_internal" / "data").write_text("two")
    newer = single.pack(folder, tmp_path / "newer")
    assert answer(newer).endswith("two\n")
    assert len(list((tmp_path / "my caches" / "wallwright").iterdir())) == 1
    answer(newer, "--delete-unpacked")
    assert list((tmp_path / "my caches").iterdir()) == []
    cut = tmp_path / "cut"
    cut.write_bytes(newer.read_bytes()[:-40])
    cut.chmod(0o755)
    done = subprocess.run([cut], capture_output=True, text=True, env=environment)
    assert done.returncode == 2 and "Make room" in done.stderr
    assert list((tmp_path / "my caches" / "wallwright").iterdir()) == []


def icu_package(items):
    """A package of ICU data as the comment at DataHeader and ToC in ICU's ucmndata.h describes it."""
    header = b"\x20\0\xda\x27\x14\0\0\0\0\0\x02\0CmnD".ljust(32, b"\0")
    names = b"".join(name.encode() + b"\0" for name in items)
    table, place = struct.pack("<I", len(items)), 4 + 8 * len(items)
    begin = place + len(names) + (-(place + len(names)) % 16)
    for name, data in items.items():
        table += struct.pack("<II", place, begin)
        place, begin = place + len(name) + 1, begin + len(data)
    return (header + table + names).ljust(32 + begin - sum(map(len, items.values())), b"\0") + b"".join(items.values())


def test_icu_data_is_taken_apart_and_put_together(monkeypatch):
    icu_data = script("icu_data", monkeypatch)
    package = icu_package(
        {"icudt73l/coll/de.res": b"a" * 16, "icudt73l/coll/sv.res": b"b" * 48, "icudt73l/x.icu": b"c" * 32}
    )
    header, items = icu_data.items_of(package)
    assert items["icudt73l/coll/sv.res"] == b"b" * 48
    assert icu_data.package_of(header, items) == package
    kept = {name: data for name, data in items.items() if icu_data.is_kept(name.partition("/")[2])}
    assert list(kept) == ["icudt73l/coll/de.res", "icudt73l/x.icu"]
    assert icu_data.items_of(icu_data.package_of(header, kept))[1] == kept
    assert {*icu_data.LANGUAGES} == {*LANGUAGES}
    with pytest.raises(ValueError, match="no package"):
        icu_data.items_of(b"\0" * 64)


@pytest.mark.skipif(
    not shutil.which("cc") or not sys.platform.startswith("linux"), reason="needs a C compiler on Linux"
)
def test_qt_sorts_with_the_smaller_icu_data(tmp_path, monkeypatch):
    # German order: DIN 5007, variant 1: umlauts as their vowels, numbers by value as QCollator documents it.
    import PySide6

    found = list((Path(PySide6.__file__).parent / "Qt" / "lib").glob("libicudata.so.*"))
    if not found:
        pytest.skip("this Qt has no ICU")
    small = tmp_path / found[0].name
    shutil.copy(found[0], small)
    script("icu_data", monkeypatch).smaller_library(small)
    assert small.stat().st_size < 0.2 * found[0].stat().st_size
    code = (
        "from PySide6.QtCore import QCollator, QLocale; c = QCollator(QLocale('de_DE')); c.setNumericMode(True);"
        "print(*sorted(['Zoo', 'öl', 'Apfel', 'ähre', 'Oel', '10', '9'], key=c.sortKey));"
        "print([line.split()[-1] for line in open('/proc/self/maps') if 'icudata' in line][0])"
    )
    environment = {**os.environ, "LD_PRELOAD": str(small)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment)
    assert done.stdout.splitlines() == ["9 10 ähre Apfel Oel öl Zoo", str(small)], done.stderr


LINEAR_ALGEBRA = """
import numpy as np
rng = np.random.default_rng(1)
for kind, close in ((np.float32, 1e-2), (np.float64, 1e-8), (np.complex64, 1e-2), (np.complex128, 1e-8)):
    for n in (1, 3, 60):
        a = (rng.normal(size=(n, n)) + 1j * rng.normal(size=(n, n)) * np.issubdtype(kind, np.complexfloating)).astype(kind, casting="unsafe")
        b, one, positive = a[:, : n // 2 + 1], np.eye(n), a @ a.conj().T + np.eye(n, dtype=kind)
        same = lambda x, y: np.abs(x - y).max() <= close * n
        q, r = np.linalg.qr(a)
        u, s, v = np.linalg.svd(a)
        values, vectors = np.linalg.eig(a)
        real, basis = np.linalg.eigh(positive)
        root = np.linalg.cholesky(positive)
        x, _, rank, _ = np.linalg.lstsq(np.vstack([a, a]), np.vstack([b, b]), rcond=None)
        assert rank == n and same(a @ x, b) and np.linalg.lstsq(np.ones((n, n), kind), b, rcond=None)[2] == 1
        assert same(a @ np.linalg.inv(a), one) and same(a @ np.linalg.solve(a, b), b) and same(q @ r, a)
        assert same(u * s @ v, a) and same(a @ vectors, vectors * values) and same(positive @ basis, basis * real)
        assert same(root @ root.conj().T, positive) and same(a.T @ a, np.einsum("ji,jk->ik", a, a))
        assert abs(np.vdot(a, a) - (np.abs(a) ** 2).sum()) < 1e-3 * n * n
        order = rng.permutation(n)  # a determinant by pivots; its sign counts the exchanges
        pairs = sum(order[i] > order[j] for i in range(n) for j in range(i + 1, n))
        assert np.linalg.det(one[order].astype(kind)).real == (-1) ** pairs
    for wrong, by in ((np.zeros((3, 3), kind), np.linalg.inv), (-np.eye(3, dtype=kind), np.linalg.cholesky)):
        try:
            by(wrong)
        except np.linalg.LinAlgError:
            continue
        raise SystemExit(f"{by} took a matrix that it cannot take")
print(*sorted({line.split()[-1].rpartition("/")[2] for line in open("/proc/self/maps") if "openblas" in line}))
"""


@pytest.mark.skipif(
    not shutil.which("cc") or not sys.platform.startswith("linux"), reason="needs a C compiler on Linux"
)
def test_numpy_computes_with_the_blas_of_scipy(tmp_path, monkeypatch):
    # Identities of linear algebra are the judge: A inverse(A) = 1, QR = A, U S V = A, and so on.
    import numpy
    import scipy

    trim = script("trim", monkeypatch)
    folders = [Path(module.__file__).parent.parent / f"{module.__name__}.libs" for module in (numpy, scipy)]
    libraries = [p for folder in folders if folder.is_dir() for p in folder.iterdir() if "openblas" in p.name]
    if len(libraries) != 2:
        pytest.skip("this numpy or scipy bundles no OpenBLAS")
    entries = [(f"{p.parent.name}/{p.name}", str(p), "BINARY") for p in libraries]
    users = [Path(numpy.__file__).parent / "linalg", Path(numpy.__file__).parent / "_core"]
    entries += [(f"numpy/{p.name}", str(p), "EXTENSION") for folder in users for p in folder.glob("*.so")]
    shutil.copytree(folders[1], tmp_path / "scipy.libs")
    answer = trim.with_one_blas(entries, tmp_path)
    (bridge,) = [source for _, source, _ in answer if Path(source).is_relative_to(tmp_path)]
    assert Path(bridge).stat().st_size < 100_000
    environment = {**os.environ, "LD_PRELOAD": bridge}
    done = subprocess.run([sys.executable, "-c", LINEAR_ALGEBRA], capture_output=True, text=True, env=environment)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == sorted(p.name for p in libraries)


def test_libraries_that_nothing_names_are_left_out(monkeypatch):
    trim = script("trim", monkeypatch)
    names = {
        "a.so": ["libb.so.1"],
        "libb.so.1": ["libc.so.2"],
        "libc.so.2": [],
        "libd.so": ["libc.so.2"],
        "x/plugins/libp.so": [],
    }
    monkeypatch.setattr(trim, "names_needed", lambda path: names[str(path)])
    entries = [(name, name, "EXTENSION" if name == "a.so" else "BINARY") for name in names]
    entries += [("links/libb.so.1", "../libb.so.1", "SYMLINK"), ("links/libd.so", "../libd.so", "SYMLINK")]
    kept = ["a.so", "libb.so.1", "libc.so.2", "x/plugins/libp.so", "links/libb.so.1"]
    assert [e[0] for e in trim.needed(entries)] == kept
    binaries = [("numpy.libs/libx.so", "x", "BINARY")]
    links = [
        ("libx.so", "scipy.libs/libx.so", "SYMLINK"),
        ("liby.so", "gone/liby.so", "SYMLINK"),
        ("data", "data", "DATA"),
    ]
    assert trim.relinked(links, binaries) == [("libx.so", "numpy.libs/libx.so", "SYMLINK"), links[2]]
    binaries = [("scipy.libs/libx.so", "other.so", "SYMLINK"), ("scipy.libs/other.so", "x", "BINARY")]
    assert trim.relinked(links, binaries) == [("libx.so", "scipy.libs/libx.so", "SYMLINK"), links[2]]


SMALL, LARGE = "x.libs/libone-01234567.so.1.0", "y.libs/libone-89abcdef.so.1.2"


@pytest.mark.skipif(
    not shutil.which("cc") or not sys.platform.startswith("linux"), reason="needs a C compiler on Linux"
)
@pytest.mark.parametrize(
    ("wanted", "versions", "links", "answers"),
    [("f", (1, 1), {LARGE: SMALL}, [1, 1]), ("g", (1, 1), {SMALL: LARGE}, [2, 3]), ("f", (1, 2), {}, [1, 2])],
)
def test_one_library_serves_for_its_copies(tmp_path, monkeypatch, wanted, versions, links, answers):
    # The system's linker and loader are the judges. The small library has f, the large one f and g. x wants f of the
    # small one, y another function of the large one.
    trim = script("trim", monkeypatch)

    def library(name, code, *options):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        (tmp_path / "code.c").write_text(code)
        fixed = ["-shared", "-fPIC", f"-Wl,-soname,{path.name}", "-Wl,-rpath,$ORIGIN/../x.libs:$ORIGIN/../y.libs"]
        subprocess.run(["cc", *fixed, "-o", str(path), str(tmp_path / "code.c"), *options], check=True)
        return name, str(path), "BINARY" if ".libs" in name else "EXTENSION"

    made = []
    for name, code, version in (
        (SMALL, "int f(void) { return 1; }", versions[0]),
        (LARGE, "int f(void) { return 2; } int g(void) { return 3; } int data[9999] = {1};", versions[1]),
    ):
        (tmp_path / "versions").write_text(f"V{version} {{ global: f; g; local: *; }};")
        made.append(library(name, code, f"-Wl,--version-script={tmp_path / 'versions'}"))
    for name, uses, wants in (("x/x.so", made[0], "f"), ("y/y.so", made[1], wanted)):
        made.append(library(name, f"int {wants}(void); int answer(void) {{ return {wants}(); }}", uses[1]))
    found = {place: source for place, source, kind in trim.without_copies(made) if kind == "SYMLINK"}
    assert found == {place: f"../{target}" for place, target in links.items()}
    for place, target in found.items():
        (tmp_path / place).unlink()
        (tmp_path / place).symlink_to(target)
    code = f"import ctypes; print([ctypes.CDLL({str(tmp_path)!r} + p).answer() for p in ('/x/x.so', '/y/y.so')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout == f"{answers}\n", done.stderr


def test_records_name_what_is_about_a_distribution(tmp_path, monkeypatch):
    trim = script("trim", monkeypatch)
    record = tmp_path / "RECORD"
    record.write_text("a/b.py,sha256=x,1\na-1.dist-info/licenses/LICENSE,sha256=y,2\na-1.dist-info/RECORD,,\n")
    entries = [("a-1.dist-info/RECORD", str(record), "DATA"), ("a/b.txt", "b.txt", "DATA")]
    short, other = trim.with_short_records(entries, tmp_path / "short")
    assert other == entries[1] and short[0] == entries[0][0]
    assert Path(short[1]).read_text().splitlines() == [
        "a-1.dist-info/licenses/LICENSE,sha256=y,2",
        "a-1.dist-info/RECORD,,",
    ]


def test_libraries_that_strip_would_break_are_left_alone(monkeypatch):
    # Fields of the header and of segments: ELF-64 object file format, version 1.5.
    trim = script("trim", monkeypatch)

    def library(*segments):
        head = b"\x7fELF\x02\x01\x01".ljust(32, b"\0") + struct.pack("<Q", 64)
        head = head.ljust(54, b"\0") + struct.pack("<HH", 56, len(segments))
        table = b"".join(
            struct.pack("<IIQQQQQQ", kind, 4, at, address, address, size, size, step)
            for kind, at, address, size, step in segments
        )
        return (head.ljust(64, b"\0") + table).ljust(8192, b"\0")

    assert trim.loads(library((1, 0, 0x10000, 8192, 4096), (2, 512, 0x10200, 256, 8)))
    assert not trim.loads(library((1, 512, 0x10000, 1024, 4096)))  # not aligned
    assert not trim.loads(library((1, 0, 0, 1024, 4096), (2, 4096, 0x11000, 256, 8)))  # nothing loads it
    assert not trim.loads(library((1, 0, 0, 9000, 4096)))  # cut off
    assert trim.loads(Path(sys.executable).resolve().read_bytes())


@pytest.mark.skipif(
    not shutil.which("cc") or not sys.platform.startswith("linux"), reason="needs a C compiler on Linux"
)
def test_libraries_lose_their_gaps_and_still_work(tmp_path, monkeypatch):
    # The system's own loader and linker are the judges: pages of 2 MB make the gaps that some tools leave.
    trim = script("trim", monkeypatch)
    source, library = tmp_path / "seven.c", tmp_path / "seven.so"
    source.write_text("static int seven = 7; int *place(void) { return &seven; }")
    paged = ["-Wl,-z,max-page-size=0x200000", "-Wl,-z,separate-code"]
    subprocess.run(["cc", "-shared", "-fPIC", *paged, "-o", str(library), str(source)], check=True)
    data = library.read_bytes()
    smaller = trim.without_gaps(data)
    assert len(smaller) < 0.5 * len(data) and trim.loads(smaller)
    library.write_bytes(smaller)
    code = f"import ctypes; l = ctypes.CDLL({str(library)!r}); l.place.restype = ctypes.POINTER(ctypes.c_int); print(l.place()[0])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout == "7\n"
    assert trim.without_gaps(smaller) == smaller and trim.without_gaps(b"no library") == b"no library"


def test_the_windows_uninstaller_leaves_what_was_not_installed(tmp_path, monkeypatch):
    # Delete and RMDir as the NSIS 3 manual states them (section 4.9.1), followed here on a real folder.
    lines = script("windows/uninstall_list", monkeypatch).uninstall_lines
    installed, chosen = tmp_path / "built", tmp_path / "chosen"
    for name in ("wallwright.exe", "_internal/PySide6/a $b.dll", "_internal/c.pyd", "licences/d.txt"):
        (installed / name).parent.mkdir(parents=True, exist_ok=True)
        (installed / name).write_text("")
    shutil.copytree(installed, chosen)
    kept = [chosen / "my letters.txt", chosen / "licences" / "mine.txt"]
    for file in kept:
        file.write_text("mine")
    for line in lines(installed):
        word, _, place = line.partition(" ")
        path = chosen / place.strip('"').replace("$INSTDIR\\", "").replace("$$", "$").replace("\\", "/")
        if word == "Delete":
            path.unlink()
        else:
            assert word == "RMDir"
            with contextlib.suppress(OSError):  # not empty
                path.rmdir()
    assert sorted(p for p in chosen.rglob("*") if p.is_file()) == sorted(kept)
    assert not (chosen / "_internal").exists()
    assert "RMDir /r" not in (PACKAGING / "windows" / "wallwright.nsi").read_text(encoding="utf-8")


RESERVED = "Wallwright <packages@wallwright.invalid>"
"""A domain that RFC 2606 reserves: nobody has it."""


def test_a_debian_package_names_the_maintainer_that_was_given(monkeypatch):
    debian = script("debian", monkeypatch)
    monkeypatch.delenv("DEBFULLNAME", raising=False)
    monkeypatch.setenv("DEBEMAIL", RESERVED)
    assert debian.maintainer() == RESERVED
    assert f" -- {RESERVED}  " in debian.changelog()
    monkeypatch.setenv("DEBFULLNAME", "A Person")
    assert debian.maintainer() == "A Person <packages@wallwright.invalid>"
    for missing in ("", "nobody", "Wallwright <>"):
        monkeypatch.setenv("DEBEMAIL", missing)
        with pytest.raises(SystemExit, match="Set DEBEMAIL"):
            debian.main(["nowhere"])


def test_packages_claim_no_domain():
    # RFC 2606, sections 2 and 3, says which names nobody can have; the others are real sites, named by sources.
    own = re.compile(r"\b[\w.@-]*wallwright\.(?:org|com|net|io|app|dev|de)\b|\b(?:org|com|net|io)\.wallwright\b")
    recipes = [p for p in PACKAGING.rglob("*") if p.suffix in (".py", ".spec", ".nsi", ".desktop", ".xml", ".md")]
    for file in [*recipes, *(PROJECT / ".github" / "workflows").glob("*.yml"), PROJECT / "pyproject.toml"]:
        assert not own.search(file.read_text(encoding="utf-8")), file


def test_sums_and_libraries_of_the_debian_package(tmp_path, monkeypatch):
    # MD5 of "abc": RFC 1321, A.5. The C library's number: os.confstr, glibc's own answer.
    debian = script("debian", monkeypatch)
    for name in ("usr/b", "usr/a/c"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("abc")
    (tmp_path / "usr" / "link").symlink_to("b")
    digest = "900150983cd24fb0d6963f7d28e17f72"
    assert debian.md5sums(tmp_path) == f"{digest}  usr/a/c\n{digest}  usr/b\n"
    if "CS_GNU_LIBC_VERSION" in os.confstr_names:
        number = os.confstr("CS_GNU_LIBC_VERSION").split()[1]
        assert debian.depends().startswith(f"libc6 (>= {number}), libgcc-s1, libstdc++6, libegl1, ")
    monkeypatch.setattr(debian.platform, "libc_ver", lambda: ("musl", "1.2"))
    with pytest.raises(SystemExit, match="GNU C library"):
        debian.depends()


@pytest.mark.skipif(not shutil.which("desktop-file-validate"), reason="desktop-file-utils is not installed")
def test_the_desktop_entry_is_valid(tmp_path):
    text = (PACKAGING / "desktop" / "wallwright.desktop").read_text(encoding="utf-8")
    file = tmp_path / "wallwright.desktop"
    file.write_text(text.replace("@PROGRAM@", "wallwright"), encoding="utf-8")
    done = subprocess.run(["desktop-file-validate", str(file)], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (0, "")


def test_started_without_arguments_by_a_desktop_the_window_opens(tmp_path):
    environment = {**os.environ, "WALLWRIGHT_STATE": str(tmp_path), "LANGUAGE": "en"}
    code = "import sys, runpy, wallwright.commands.main as m; m.main = print; sys.argv = ['wallwright']; "
    code += f"runpy.run_path({str(PACKAGING / 'entry.py')!r}, run_name='__main__')"
    output = subprocess.run(
        [sys.executable, "-c", code], stdin=subprocess.DEVNULL, capture_output=True, text=True, env=environment
    )
    assert output.stdout.strip() == "['window']"
