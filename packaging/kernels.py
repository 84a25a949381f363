"""Compiles the program's loops ahead of time, for packages without numba and LLVM.

    python packaging/kernels.py build FOLDER     the extension module and its table; needs a C compiler
    python packaging/kernels.py prepare          compiles the listed loops into numba's cache beside the code
    python packaging/kernels.py record TESTS     adds the argument types that these tests use to kernel_signatures.txt

kernel_signatures.txt has one line for each loop and each list of argument types. The build reports loops that are not in
it: they run as Python, with the same result but much slower. Numba's ahead-of-time compiler (numba.pycc) is used; the code
is restricted to the baseline instructions of the architecture.
"""

from __future__ import annotations

import ast
import importlib
import multiprocessing
import os
import pkgutil
import re
import sys
import tempfile
from collections import defaultdict
from pathlib import Path
from types import ModuleType
from typing import Any, TypeGuard

HERE = Path(__file__).resolve().parent
SIGNATURES = HERE / "kernel_signatures.txt"
COMPUTING = ("document", "artwork", "strokes", "statics", "motion", "jobs", "planning")
"""Folders of the program that may hold compiled loops."""
MOST_PROCESSES = 4
"""Largest number of processes; each takes up to 0.4 GB of memory."""


def listed() -> set[str]:
    return {line for line in SIGNATURES.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")}


def write_listed(lines: set[str]) -> None:
    head = "# Loops and the types they are called with; written by `python packaging/kernels.py record`.\n"
    SIGNATURES.write_text(head + "".join(f"{line}\n" for line in sorted(lines)), encoding="utf-8")


def compiled_now() -> set[str]:
    """Returns the signatures that this process has compiled or loaded from numba's cache, in the list's format."""
    return {
        f"{name}({', '.join(map(type_text, types))})"
        for name, loop in dispatchers().items()
        for types in loop.signatures
    }


def dispatchers() -> dict[str, Any]:
    """Returns every loop in the loaded modules by "module:function"."""
    from numba.core.dispatcher import Dispatcher

    return {
        f"{value.py_func.__module__}:{value.py_func.__name__}": value
        for name, module in list(sys.modules.items())
        if name.startswith("wallwright.") and isinstance(module, ModuleType)
        for value in vars(module).values()
        if isinstance(value, Dispatcher)
    }


def type_text(kind: Any) -> str:
    """Returns a numba type in the format of `ahead_of_time.type_key`; a named tuple is prefixed with its class."""
    from numba import typeof, types

    if isinstance(kind, types.Array):
        return f"{kind.dtype.name}[{kind.ndim}{kind.layout}]{'' if kind.mutable else 'r'}"
    if isinstance(kind, types.BaseNamedTuple):
        owner = kind.instance_class
        return f"{owner.__module__}:{owner.__name__}({', '.join(map(type_text, kind.types))})"
    if isinstance(kind, types.BaseTuple):
        return f"({', '.join(map(type_text, kind.types))})"
    if isinstance(kind, types.Omitted):
        return type_text(types.unliteral(typeof(kind.value)))
    return str(types.unliteral(kind).name)


def split_arguments(text: str) -> list[str]:
    """Splits a list at commas outside brackets."""
    parts, depth = [""], 0
    for character in text:
        depth += (character in "([") - (character in ")]")
        if character == "," and depth == 0:
            parts.append("")
        else:
            parts[-1] += character
    return [part.strip() for part in parts if part.strip()]


def numba_type(text: str) -> Any:
    """The inverse of type_text."""
    from numba import types

    if text.endswith(")"):
        head, _, inner = text[:-1].partition("(")
        kinds = [numba_type(part) for part in split_arguments(inner)]
        if head:
            module, _, name = head.partition(":")
            return types.NamedTuple(kinds, getattr(importlib.import_module(module), name))
        return types.Tuple(kinds)
    if "[" in text:
        name, _, rest = text.partition("[")
        shape, _, flag = rest.partition("]")
        return types.Array(_scalar(name), int(shape[:-1]), shape[-1], readonly=flag == "r")
    return _scalar(text)


def _scalar(name: str) -> Any:
    from numba import types

    return types.boolean if name == "bool" else getattr(types, name)


def key(text: str) -> str:
    """Returns the text in the format of `ahead_of_time.type_key`, without the class of a named tuple."""
    if not text.endswith(")"):
        return text
    inner = text[text.index("(") + 1 : -1]
    return f"({', '.join(map(key, split_arguments(inner)))})"


def loop_modules() -> dict[str, ast.Module]:
    """Returns the syntax trees of modules that contain loops or import from such modules, by name; imports none."""
    import wallwright

    root = Path(str(wallwright.__file__)).parent
    texts = {
        ".".join(("wallwright", *file.relative_to(root).with_suffix("").parts)): file.read_text(encoding="utf-8")
        for file in root.rglob("*.py")
    }
    holding = [name for name, text in texts.items() if "@compiled" in text]
    imports = re.compile("|".join(f"from {re.escape(name)} import" for name in holding))
    return {name: ast.parse(text) for name, text in texts.items() if name in holding or imports.search(text)}


def _is_loop(node: ast.AST) -> TypeGuard[ast.FunctionDef]:
    return isinstance(node, ast.FunctionDef) and any(
        isinstance(d, ast.Name) and d.id.startswith("compiled") for d in node.decorator_list
    )


def loops_in(modules: dict[str, ast.Module]) -> set[str]:
    """Returns the names, "module:function", of functions decorated as loops."""
    return {f"{module}:{node.name}" for module, tree in modules.items() for node in ast.walk(tree) if _is_loop(node)}


def called_from_python(modules: dict[str, ast.Module]) -> set[str]:
    """Returns the names, "module:function", of loops called from Python; the others need no entry point."""
    loops, called = loops_in(modules), set()
    for module, tree in modules.items():
        known = {name.partition(":")[2]: name for name in loops if name.startswith(f"{module}:")}
        inside: set[int] = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):  # including those within functions
                known |= {a.asname or a.name: key for a in node.names if (key := f"{node.module}:{a.name}") in loops}
            elif _is_loop(node):
                inside |= {id(part) for part in ast.walk(node)}
        used = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and id(node) not in inside}
        called |= {key for name, key in known.items() if name in used}
    return called


def load_computing() -> None:
    """Imports every module that may contain loops."""
    import wallwright

    for part in COMPUTING:
        package = importlib.import_module(f"{wallwright.__name__}.{part}")
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)


def build(folder: Path) -> None:
    """Writes the extension module and its table into the folder."""
    # Loops called by loops are also compiled for any processor, and not taken from numba's cache.
    os.environ |= {"NUMBA_CPU_NAME": "generic", "NUMBA_CPU_FEATURES": "", "NUMBA_CACHE_DIR": tempfile.mkdtemp()}
    os.environ.setdefault("SOURCE_DATE_EPOCH", "315532800")
    import warnings

    from numba.core.errors import NumbaPendingDeprecationWarning

    warnings.simplefilter("ignore", NumbaPendingDeprecationWarning)
    from numba.core.typing.templates import Signature
    from numba.pycc import CC, compiler

    from wallwright.document.ahead_of_time import EXTENSION, TABLE

    load_computing()
    loops, called = dispatchers(), called_from_python(loop_modules())
    options: dict[Any, dict[str, Any]] = {}
    compile_extra = compiler.compile_extra

    def compile_with_options(
        typing: Any, target: Any, function: Any, args: Any, result: Any, flags: Any, **rest: Any
    ) -> Any:
        """Sets the options of `compiled`, which numba.pycc does not support."""
        flags.release_gil = True
        flags.error_model = options[function].get("error_model", "python")
        return compile_extra(typing, target, function, args, result, flags, **rest)

    compiler.compile_extra = compile_with_options
    extension = CC(EXTENSION)
    table: dict[str, dict[tuple[str, ...], str]] = defaultdict(dict)
    for number, line in enumerate(sorted(listed())):
        name, _, arguments = line.partition("(")
        if name not in called:
            continue
        texts = split_arguments(arguments[:-1])
        function = loops[name].py_func
        options[function] = loops[name].targetoptions
        exported = f"loop_{number}"
        signature = Signature(None, tuple(map(numba_type, texts)), None)
        extension._exported_functions[exported] = compiler.ExportEntry(exported, signature, function)
        table[name][tuple(map(key, texts))] = exported
    folder.mkdir(parents=True, exist_ok=True)
    extension.output_dir = str(folder)
    extension.compile()
    text = f'"""Names in {EXTENSION} by loop and argument types."""\n\nTABLE = {dict(table)!r}\n'
    (folder / f"{TABLE}.py").write_text(text, encoding="utf-8")
    print(f"{sum(map(len, table.values()))} loops in {folder}")
    if forgotten := sorted(called - set(table)):
        print(f"Not listed, so they will run as Python; record them: {', '.join(forgotten)}")


def by_module() -> list[list[str]]:
    """Returns the listed entry points by module, those with most code first. Loops of a module share callees, compiled with
    their first caller, so one process compiles them all."""
    modules = loop_modules()
    called = called_from_python(modules)
    groups: dict[str, list[str]] = defaultdict(list)
    for line in sorted(listed()):
        if (name := line.partition("(")[0]) in called:
            groups[name.partition(":")[0]].append(line)
    size = {
        name: sum(1 for loop in filter(_is_loop, ast.walk(modules[name])) for _ in ast.walk(loop)) for name in groups
    }
    return [groups[name] for name in sorted(groups, key=lambda name: (-size[name], name))]


def prepare() -> None:
    """Compiles in one process per core, each taking the next module, so that later runs need not wait."""
    with multiprocessing.get_context("spawn").Pool(min(MOST_PROCESSES, os.cpu_count() or 1), load_computing) as pool:
        for _ in pool.imap_unordered(_compile, by_module()):
            pass


def _compile(lines: list[str]) -> None:
    loops = dispatchers()
    for line in lines:
        name, _, arguments = line.partition("(")
        loops[name].compile(tuple(map(numba_type, split_arguments(arguments[:-1]))))


def record(arguments: list[str]) -> int:
    import pytest

    code = int(pytest.main(["-n", "0", "-q", "--no-header", *arguments]))
    if code == 0:
        before = listed() if SIGNATURES.exists() else set()
        write_listed(before | compiled_now())
        print(f"{len(compiled_now() - before)} signatures added to {SIGNATURES}")
    return code


def main(arguments: list[str]) -> int:
    if len(arguments) == 2 and arguments[0] == "build":
        build(Path(arguments[1]))
        return 0
    if arguments == ["prepare"]:
        prepare()
        return 0
    if len(arguments) > 1 and arguments[0] == "record":
        return record(arguments[1:])
    print(__doc__.strip())
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
