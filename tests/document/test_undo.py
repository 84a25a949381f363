"""Every edit there is, in any order: undone to the start the document is the first one, redone it is the last one."""

import importlib
import inspect
import pkgutil

from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright import document
from wallwright.document import (
    artwork_exchange,
    edits,
    edits_arrangement,
    edits_body,
    edits_guide_lines,
    edits_hangings,
    edits_inks,
    edits_interruption,
    edits_keep_outs,
    edits_pens,
    edits_photo,
    edits_register,
)
from wallwright.document.consistency import validate
from wallwright.document.continuation import Interruption, StrokePlace
from wallwright.document.document import Fill, Ink
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.project import decode_project, encode_project
from wallwright.document.register import RegisterMark
from wallwright.planning.demo import demo_document
from wallwright.window.model.history import History

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="8mm"><path d="M0 0h5"/></svg>'


def some(document, n):
    """Ids of some of the placements."""
    return [p.id for i, p in enumerate(document.placements) if (n >> i) & 1 or i == n % 3]


def one(document, n) -> str:
    return document.placements[n % len(document.placements)].id


def keep_out(document, n) -> int:
    return n % len(document.wall.keep_outs)


def corner(document, n) -> int:
    return n % len(document.wall.keep_outs[keep_out(document, n)].outline)


ARRANGE, HANG, INKS, KEEP = edits_arrangement, edits_hangings, edits_inks, edits_keep_outs
LINES = edits_guide_lines
COLOURS = ("#c02020", "#1f4e8c")
EDITS = {
    "set_field": lambda d, n: edits.set_field(d, "machine.body.mass", 0.5 + n / 1000),
    "move_anchor": lambda d, n: edits.move_anchor(d, 0, ("left", "right")[n % 2], (n - 200.0 + 2000 * (n % 2), 7.0)),
    "shift_frame": lambda d, n: edits.shift_frame(edits.shift_frame(d, n, 3.0), -n, -3.0),
    "add_artwork": lambda d, n: edits.add_artwork(d, f"{n}.svg", "image/svg+xml", SVG + b" " * (n % 4), (10, 8))[0],
    "agree_to_read": lambda d, n: edits.agree_to_read(d, d.artworks[n % len(d.artworks)].id if d.artworks else ""),
    "set_anchor_distance": lambda d, n: edits.set_anchor_distance(d, n % len(d.hangings), 900.0 + n),
    "anchors_onto_wall": lambda d, n: edits.anchors_onto_wall(d, n % len(d.hangings)),
    "set_placement": lambda d, n: edits.set_placement(d, one(d, n), x=float(n)),
    "set_ink": lambda d, n: edits.set_ink(
        d, one(d, n), Ink(COLOURS[n % 2], d.pens[n % len(d.pens)].id, group=("a",) * (n % 3))
    ),
    "unset_ink": lambda d, n: edits.unset_ink(d, one(d, n), COLOURS[n % 2], ("a",) * (n % 3)),
    "change_inks": lambda d, n: INKS.change_inks(
        d,
        one(d, n),
        ("a",) * (n % 3),
        dict.fromkeys(COLOURS, d.pens[0].id),
        lambda i: edits.replace(i, fill=Fill(spacing=1.0 + n), outline=bool(n % 2)),
    ),
    "clear_inks": lambda d, n: INKS.clear_inks(d, one(d, n), ("a",) * (n % 3), dict.fromkeys(COLOURS[: 1 + n % 2], "")),
    "add_pen": lambda d, n: edits.add_pen(d, "p", "#00ff00", 1.0 + n)[0],
    "remove_pen": lambda d, n: edits.remove_pen(d, d.pens[n % len(d.pens)].id),
    "carry_placements": lambda d, n: ARRANGE.carry_placements(
        d, some(d, n), (5.0, n), (n, 9.0), 0.9 + n / 2000, n / 50
    ),
    "move_placements": lambda d, n: ARRANGE.move_placements(d, some(d, n), n / 3, -n / 7),
    "mirror_placements": lambda d, n: ARRANGE.mirror_placements(d, some(d, n), bool(n % 2)),
    "upright_placements": lambda d, n: ARRANGE.upright_placements(d, some(d, n)),
    "align_placements": lambda d, n: ARRANGE.align_placements(d, some(d, n), ("left", "middle", "bottom")[n % 3]),
    "distribute_placements": lambda d, n: ARRANGE.distribute_placements(d, some(d, n), bool(n % 2)),
    "reorder_placements": lambda d, n: ARRANGE.reorder_placements(
        d, some(d, n), ("front", "back", "forward", "backward")[n % 4]
    ),
    "set_placements": lambda d, n: ARRANGE.set_placements(d, some(d, n), locked=bool(n % 2), visible=bool(n % 3)),
    "remove_placements": lambda d, n: ARRANGE.remove_placements(d, some(d, n)),
    "duplicate_placements": lambda d, n: ARRANGE.duplicate_placements(d, some(d, n))[0],
    "rename_keep_out": lambda d, n: KEEP.rename_keep_out(d, keep_out(d, n), f"k{n}"),
    "add_keep_out": lambda d, n: KEEP.add_keep_out(d, "k", KEEP.rectangle((n, n), (n + 90.0, 50.0))),
    "move_keep_out": lambda d, n: KEEP.move_keep_out(d, keep_out(d, n), n / 3, 5.0),
    "fit_keep_out": lambda d, n: KEEP.fit_keep_out(d, keep_out(d, n), (0.0, 0.0, n, 40.0)),
    "fit_body": lambda d, n: edits_body.fit_body(d, (-20.0 - n, -50.0, 60.0, 40.0 + n / 3)),
    "move_corner": lambda d, n: KEEP.move_corner(d, keep_out(d, n), corner(d, n), (n, 33.0), bool(n % 2)),
    "move_side": lambda d, n: KEEP.move_side(d, keep_out(d, n), n % 3, (n, 21.0)),
    "add_corner": lambda d, n: KEEP.add_corner(d, keep_out(d, n), corner(d, n), (n, 77.0)),
    "remove_corner": lambda d, n: KEEP.remove_corner(d, keep_out(d, n), corner(d, n)),
    "remove_keep_out": lambda d, n: KEEP.remove_keep_out(d, keep_out(d, n)),
    "add_guide_line": lambda d, n: LINES.add_guide_line(d, bool(n % 2), n / 2),
    "move_guide_line": lambda d, n: LINES.move_guide_line(d, n % len(d.guide_lines), n - 77.5),
    "remove_guide_line": lambda d, n: LINES.remove_guide_line(d, n % len(d.guide_lines)),
    "add_photo": lambda d, n: edits_photo.add_photo(d, "w.png", "image/png", b"\x89PNG" + bytes([n % 3]), (40, 30)),
    "straighten_photo": lambda d, n: edits_photo.straighten_photo(
        d, ((0, 0), (9, 0), (9, 9), (0, 9)), ((0, 0), (n, 0), (n, 9), (1, 9))
    ),
    "remove_photo": lambda d, n: edits_photo.remove_photo(d),
    "add_hanging": lambda d, n: HANG.add_hanging(d, (n, 5.0), (n + 1500.0, 9.0), (n + 700.0, 600.0)),
    "duplicate_hanging": lambda d, n: HANG.duplicate_hanging(d, n % len(d.hangings)),
    "remove_hanging": lambda d, n: HANG.remove_hanging(d, n % len(d.hangings)),
    "set_handover_line": lambda d, n: HANG.set_handover_line(d, n % len(d.hangings), (None, n / 2)[n % 2]),
    "replace_hangings": lambda d, n: HANG.replace_hangings(
        d,
        tuple(
            ((n + 900.0 * i, 0.0), (n + 900.0 * i + 1800, 8.0), (n + 900.0 * (i + 1), 500.0)) for i in range(1 + n % 3)
        ),
    ),
    "remember_interruption": lambda d, n: edits_interruption.remember_interruption(
        d, Interruption(StrokePlace(n, n / 3), 2 * n + 1, "0" * 32)
    ),
    "discard_interruption": lambda d, n: edits_interruption.discard_interruption(d),
    "keep_handover_lines": lambda d, n: edits_register.keep_handover_lines(
        d, {0: n}, {1: (RegisterMark("2A", n, 5.0),)}
    ),
    "in_order": lambda d, n: edits_pens.in_order(d, [(k + n) % len(d.pens) for k in range(len(d.pens))]),
    "move_pen": lambda d, n: edits_pens.move_pen(d, d.pens[n % len(d.pens)].id, n % 7),
    "add_saved_pen": lambda d, n: edits_pens.add_saved_pen(d, d.pens[n % len(d.pens)]),
    "refill_pen": lambda d, n: edits_pens.refill_pen(d, d.pens[n % len(d.pens)].id),
    "with_gaps": lambda d, n: edits_pens.with_gaps(d),
    "paste_clip": lambda d, n: artwork_exchange.paste_clip(d, artwork_exchange.encode_clip(d, some(d, n)))[0],
}
NEEDS = {
    "placement": lambda d: d.placements,
    "keep_out": lambda d: d.wall.keep_outs,
    "corner": lambda d: d.wall.keep_outs,
    "side": lambda d: d.wall.keep_outs,
    "ink": lambda d: d.placements,
    "straighten": lambda d: d.photo,
    "e_guide_line": lambda d: d.guide_lines,
}

MODULES = [
    importlib.import_module(f"{document.__name__}.{found.name}")
    for found in pkgutil.iter_modules(document.__path__)
    if found.name.split("_")[0] == "edits"
]


def test_no_kind_of_edit_is_missing_here():
    """Functions of the edit modules that take a document first and give one."""
    found = set()
    for module in MODULES:
        for name, function in inspect.getmembers(module, inspect.isfunction):
            first = next(iter(inspect.signature(function).parameters), "")
            gives = str(inspect.signature(function).return_annotation)
            if (
                function.__module__ == module.__name__
                and first == "document"
                and "Document" in gives
                and name[0] != "_"
            ):
                found.add(name)
    assert found == set(EDITS) - {"paste_clip"}


@given(st.lists(st.tuples(st.sampled_from(sorted(EDITS)), st.integers(0, 400)), min_size=1, max_size=30))
@settings(deadline=None, max_examples=80, derandomize=True)
def test_undo_of_everything_gives_the_first_document(steps):
    first = demo_document()
    history = History(first)
    for name, n in steps:
        present = history.present
        if not all(there(present) for word, there in NEEDS.items() if word in name):
            continue
        if name == "move_side" and not KEEP.is_rectangle(present.wall.keep_outs[keep_out(present, n)].outline):
            continue
        try:
            new = validate(EDITS[name](present, n))
        except (BadValue, BadFile):
            continue  # the window says why, and nothing changes
        history.edit(name, new, merge=name if n % 3 == 0 else None)
    last = history.present
    assert decode_project(encode_project(last), "it") == last
    steps = len(history.past)
    while history.past:
        history.undo()
    assert history.present == first
    while history.future:
        history.redo()
    assert history.present == last and len(history.past) == steps
