"""Public functions that take or return arrays say their shapes, and their units or what the numbers count."""

from __future__ import annotations

import ast
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
    r"|bool|bits?|digests?|numbers?|number of|ind(ex|ices)|places?|counts?|shares?|factor|tones?|coverage|density|weights?"
    r"|0 to 1|0 to 255|0, 1|geometries|polygons|regions|LineStrings|LinearRings)(?!\w)|°|µm",
    re.IGNORECASE,
)
"""A unit; or what a number without one counts or stands for."""


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


def test_there_is_something_to_look_at() -> None:
    """Guards the rules above: arrays are still recognised by the names that the code gives them."""
    assert sum(len(of_layer(layer)) for layer in LAYERS) > 250
