"""Public functions that take or return arrays say their shapes, and their units or what the numbers count.

Public functions say which exceptions they raise themselves, and every exception that a docstring names exists.
"""

from __future__ import annotations

import ast
import builtins
import functools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

CODE = Path(__file__).parents[1] / "app" / "wallwright"
LAYERS = ("document", "artwork", "strokes", "statics", "motion", "jobs", "planning", "commands")
ARRAY = re.compile(r"\b(Floats|Points|Integers|Indices|Flags|Objects|NDArray|ndarray)\b")
SHAPE = re.compile(r"\([a-z0-9 .+*-]+,[a-z0-9 ,.+*-]*\)")
UNIT = re.compile(
    r"\b(mm|px|user units|mm²|1/mm|mm/s²?|mm²/s²|m|s|rad|rad/s|N|J|kg|%|pixels?|cells?|sRGB|linear light|CIELAB"
    r"|bool|bits?|bytes?|digests?|numbers?|number of|ind(ex|ices)|places?|counts?|shares?|factor|tones?|coverage|density|weights?"
    r"|0 to 1|0 to 255|0, 1|geometries|polygons|regions|LineStrings|LinearRings)(?!\w)|°|µm",
    re.IGNORECASE,
)
"""A unit; or what a number without one counts or stands for."""
FOREIGN = {"SelectorError", "ArgumentTypeError"}
"""Exceptions of cssselect2 and argparse."""


def arrays_in(function: ast.FunctionDef) -> bool:
    arguments = (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)
    annotations = [a.annotation for a in arguments] + [function.returns]
    return any(a is not None and ARRAY.search(ast.unparse(a)) for a in annotations)


def public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """Of the module, and of its public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from (n for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_"))


@functools.cache
def of_layer(layer: str) -> list[tuple[str, str]]:
    """Where each public function with arrays stands, and its docstring."""
    found = []
    for file in sorted((CODE / layer).rglob("*.py")):
        for function in public_functions(ast.parse(file.read_text("utf-8"))):
            if arrays_in(function):
                place = f"{file.relative_to(CODE)}:{function.lineno} {function.name}"
                found.append((place, ast.get_docstring(function) or ""))
    return found


@pytest.mark.parametrize("layer", LAYERS)
def test_shapes_and_units_of_arrays_are_documented(layer: str) -> None:
    poor = [
        f"{place}: {' and '.join(lacks)}"
        for place, text in of_layer(layer)
        if (lacks := [what for what, rule in (("shape", SHAPE), ("unit", UNIT)) if not rule.search(text)])
    ]
    assert not poor, "\n" + "\n".join(poor)


def own_nodes(function: ast.FunctionDef) -> Iterator[ast.AST]:
    """Nodes of a function, but for functions in it and for what is inside a try: it may be caught there."""
    todo: list[ast.AST] = list(function.body)
    while todo:
        node = todo.pop()
        yield node
        if isinstance(node, ast.Try):
            todo += [child for child in ast.iter_child_nodes(node) if child not in node.body]
        elif not isinstance(node, ast.FunctionDef | ast.Lambda):
            todo += ast.iter_child_nodes(node)


def raised_in(function: ast.FunctionDef) -> set[str]:
    """Names of the exceptions in its raise statements. NotImplementedError marks what a subclass must define."""
    found = set()
    for node in own_nodes(function):
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call | ast.Name):
            made = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            found.add(ast.unparse(made).split(".")[-1])
    return {name for name in found if name[0].isupper()} - {"NotImplementedError"}


@pytest.fixture(scope="module")
def modules() -> list[tuple[str, ast.Module]]:
    """Where each module stands, and its tree: all tests here share them, and those of other files need none."""
    return [(str(file.relative_to(CODE)), ast.parse(file.read_text("utf-8"))) for file in sorted(CODE.rglob("*.py"))]


def own_exceptions(modules: list[tuple[str, ast.Module]]) -> dict[str, tuple[str, ...]]:
    """Each class of the program with its base classes, by name."""
    return {
        node.name: tuple(ast.unparse(base).split(".")[-1] for base in node.bases)
        for _, tree in modules
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef)
    }


def with_bases(name: str, classes: dict[str, tuple[str, ...]]) -> set[str]:
    built_in = getattr(builtins, name, None)
    bases = classes.get(name, tuple(c.__name__ for c in built_in.__mro__) if built_in else ())
    return {name}.union(*(with_bases(base, classes) for base in bases if base != name))


def test_raised_exceptions_are_documented(modules: list[tuple[str, ast.Module]]) -> None:
    classes, poor = own_exceptions(modules), []
    for place, tree in modules:
        for function in public_functions(tree):
            text = ast.get_docstring(function) or ""
            poor += [
                f"{place}:{function.lineno} {function.name}: {name}"
                for name in sorted(raised_in(function))
                if not any(re.search(rf"\b{known}\b", text) for known in with_bases(name, classes))
            ]
    assert not poor, "\n" + "\n".join(poor)


def test_documented_exceptions_exist(modules: list[tuple[str, ast.Module]]) -> None:
    known, poor = {*own_exceptions(modules), *dir(builtins), *FOREIGN}, []
    for place, tree in modules:
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef):
                named = re.findall(r"\b[Rr]aises ([A-Z]\w+)", ast.get_docstring(node) or "")
                poor += [f"{place}:{node.lineno} {n}" for n in named if n not in known]
    assert not poor, "\n" + "\n".join(poor)


def test_there_is_something_to_look_at() -> None:
    """Guards the rules above: arrays are still recognised by the names that the code gives them."""
    assert sum(len(of_layer(layer)) for layer in LAYERS) > 250
