"""Every action, declared once: menus, tool bar and shortcuts are made from this table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWhatsThis

from wallwright.document import edits_arrangement as arrange
from wallwright.document.language import N_, tr
from wallwright.jobs.checks import Verdict
from wallwright.window.features.clipboard import clipboard
from wallwright.window.features.photo import straighten
from wallwright.window.model.selection import box_of
from wallwright.window.shell import help
from wallwright.window.shell.command_search import find_command
from wallwright.window.shell.focus_regions import visit_next

if TYPE_CHECKING:
    from wallwright.window.model.session import Session
    from wallwright.window.shell.main_window import MainWindow

Key = QKeySequence.StandardKey


@dataclass(frozen=True)
class Action:
    """One action; title and help are translated where they are shown."""

    id: str
    menu: str
    title: str
    help: str
    run: Callable[[MainWindow], None]
    shortcut: QKeySequence.StandardKey | str | None = None
    icon: str | None = None
    """Of window/icons.py."""
    enabled: Callable[[MainWindow], bool] = lambda window: True
    in_tool_bar: bool = False
    apart: bool = False
    """Whether it begins a group of its own in its menu."""


def playable(window: MainWindow) -> bool:
    """Whether there is a fresh plan to play."""
    return window.strip.bar.isEnabled()


def can_go_on(window: MainWindow) -> bool:
    """Whether strokes have the numbers that they have in the job."""
    return playable(window) and window.session.plan_is_final


def why_not_exported(session: Session) -> str:
    """Why the job cannot be exported now; "" when it can."""
    if session.plan_is_stale:
        return tr("The job is not planned yet. Plan it, or wait until it is.")
    bad = [c.title for c in session.plan.checks if c.verdict is Verdict.BAD]
    return tr("Not to be exported as it is: {0}. See the checks.", ", ".join(bad)) if bad else ""


def has_windows(window: MainWindow) -> bool:
    """Whether the window is one of several that there can be."""
    return window.windows is not None


def selected(window: MainWindow, least: int = 1) -> bool:
    """Whether so many artworks are selected."""
    return len(window.session.placement_ids) >= least


def several(window: MainWindow) -> bool:
    """Whether there is more than one hanging."""
    return len(window.session.document.hangings) > 1


def arranged(title: str, edit: Callable, *values: object, **named: object) -> Callable[[MainWindow], None]:
    """Does an edit to the selected artworks."""
    return lambda window: window.editing.arrange(title, edit, *values, **named)


MENUS = (
    N_("File"), N_("Edit"), N_("Add"), N_("Arrange"), N_("View"), N_("Job"), N_("Help"),
)  # fmt: skip
MENU_TITLES = dict(
    zip(
        MENUS,
        (N_("&File"), N_("&Edit"), N_("&Add"), N_("A&rrange"), N_("&View"), N_("&Job"),
         N_("&Help")),
        strict=True,
    )
)  # fmt: skip
"""As the menu bar shows them, each with the letter that opens it."""

LEAVE_TOOLS = ("View", "Help")
"""Menus whose actions change nothing: a tool in hand stays there."""

ACTIONS = (
    Action("new", "File", "&New", "Start an empty project.", lambda w: w.files.new(), Key.New,
             "new"),
    Action("open", "File", "&Open…", "Open a project.", lambda w: w.files.open(), Key.Open,
             "open", in_tool_bar=True),
    Action("save", "File", "&Save", "Save the project with its artwork in one file.", lambda w: w.files.save(),
             Key.Save, "save", in_tool_bar=True, apart=True),
    Action("save-as", "File", "Save &as…", "Save the project under another name.",
             lambda w: w.files.save_as(), Key.SaveAs),
    Action("keep-wall", "File", "&Keep the wall…", "Keep this wall with its anchors; the start page offers it for new "
             "projects.", lambda w: w.files.keep_wall(), apart=True),
    Action("keep-machine", "File", "Keep the &machine…", "Keep this machine; the start page offers it for new projects.",
             lambda w: w.files.keep_machine()),
    Action("new-window", "File", "New &window", "A further window with the start page.",
             lambda w: w.windows.another(), "Ctrl+Shift+N", None, has_windows, apart=True),
    Action("open-in-window", "File", "Open in a new w&indow…", "Open a project beside this one.",
             lambda w: w.files.open_in_window(), "Ctrl+Shift+O", None, has_windows),
    Action("start", "File", "S&tart page", "Demo, new wall, recent projects, and work that was not saved.",
             lambda w: w.files.may_leave() and w.show_start(), "Alt+Home", apart=True),
    Action("demo", "File", "Open the &demo", "A whole job to look at: a harbour in four colours.",
             lambda w: w.files.demo()),
    Action("close", "File", "&Close the window", "Asks first when there are changes that are not saved.",
             lambda w: w.close(), Key.Close, apart=True),
    Action("quit", "File", "&Quit", "Close all windows.", lambda w: w.windows.quit(), Key.Quit, None, has_windows),
    Action("undo", "Edit", "&Undo", "Take the last edit back.", lambda w: w.session.undo(), Key.Undo,
             "undo", lambda w: bool(w.session.history.past), True),
    Action("redo", "Edit", "&Redo", "Do the undone edit again.", lambda w: w.session.redo(), Key.Redo,
             "redo", lambda w: bool(w.session.history.future), True),
    Action("cut", "Edit", "Cu&t", "Take the selected artwork to the clipboard.", lambda w: clipboard.cut(w.session),
             Key.Cut, None, selected, apart=True),
    Action("copy", "Edit", "&Copy", "Copy the selected artwork, with its pens, for this or another window.",
             lambda w: clipboard.copy(w.session), Key.Copy, None, selected),
    Action("paste", "Edit", "&Paste", "Bring what is on the clipboard onto the wall: artwork of another window, or SVG, "
             "pictures and words of other programs.", lambda w: clipboard.paste(w.session, w.canvas.wall_under_pointer()),
             Key.Paste),
    Action("duplicate", "Edit", "&Duplicate", "A second copy of the selected artwork or hanging on the wall.",
             lambda w: w.editing.duplicate(), "Ctrl+D", None,
             lambda w: selected(w) or w.session.selection.startswith("hanging:")),
    Action("remove", "Edit", "Re&move", "Take the selected artwork, pen, keep-out or hanging out of the project.",
             lambda w: w.editing.remove(), Key.Delete, None,
             lambda w: selected(w) or w.session.selection.startswith(("pen:", "keepout:", "line:", "photo"))
             or (w.session.selection.startswith("hanging:") and several(w))),
    Action("select-all", "Edit", "Select &all artwork", "Select every artwork on the wall.",
             lambda w: w.editing.select_all(), Key.SelectAll, apart=True),
    Action("add-artwork", "Add", "Add &artwork…", "Bring SVG files and pictures onto the wall.",
             lambda w: w.files.add_artwork(), "Ctrl+I", "add", in_tool_bar=True),
    Action("add-words", "Add", "&Words", "Lettering in one run of the pen a stroke or in an installed font, on a line "
             "or an arc.", lambda w: w.adding.words(), "Ctrl+T"),
    Action("add-frame", "Add", "&Frame", "A frame around the selected artwork, or in the middle.",
             lambda w: w.adding.figure("frame"), apart=True),
    Action("add-grid", "Add", "&Grid", "Lines at equal distances both ways.", lambda w: w.adding.figure("grid")),
    Action("add-ruler", "Add", "&Ruler", "Marks at equal distances with numbers in mm.",
             lambda w: w.adding.figure("ruler")),
    Action("add-square", "Add", "Test &square", "A square with diagonals to measure once it is drawn.",
             lambda w: w.adding.figure("square")),
    Action("add-chart", "Add", "Colour &chart", "Patches of every pen at growing hatch spacings, to choose fills from.",
             lambda w: w.adding.chart()),
    Action("add-pen", "Add", "&Pen", "One more pen in the list.", lambda w: w.editing.add_pen(), apart=True),
    Action("pens-for-colours", "Add", "Pens for the colo&urs", "Add a pen for each colour of the artwork that no "
             "pen has yet.", lambda w: w.editing.pens_for_colours(), None, None, lambda w: w.session.preview is not None),
    Action("add-keep-out", "Add", "&Keep-out", "A part of the wall that pen and body must not touch.",
             lambda w: w.editing.add_keep_out()),
    Action("add-plumb-line", "Add", "Plu&mb line", "A line from top to bottom that what is dragged comes to rest on; "
             "or pull one out of the left ruler.", lambda w: w.editing.add_guide_line(True)),
    Action("add-level-line", "Add", "L&evel line", "A line from side to side that what is dragged comes to rest on; "
             "or pull one out of the upper ruler.", lambda w: w.editing.add_guide_line(False)),
    Action("hang-right", "Add", "Hanging to the r&ight", "One more hanging to the right of the others, as far along "
             "that both zones meet over the artwork's height.", lambda w: w.editing.hang_beside(True), apart=True),
    Action("hang-left", "Add", "Hanging to the &left", "One more hanging to the left of the others, as far along "
             "that both zones meet over the artwork's height.", lambda w: w.editing.hang_beside(False)),
    Action("hang-as-often", "Add", "&Hang as often as it takes", "Proposes the hangings that are missing to cover the "
             "artwork. Hangings that exist stay where they are, unless you place all anew.",
             lambda w: w.editing.hang_as_often(), None, None,
             lambda w: any(p.visible for p in w.session.document.placements)),
    Action("draw-keep-out", "Edit", "Dra&w a keep-out", "Draw a part of the wall that pen and body must not touch: a "
             "rectangle by dragging, or corner by corner.", lambda w: w.editing.draw_keep_out(), "Ctrl+Shift+K", apart=True),
    Action("photo", "Edit", "P&hoto of the wall…", "Show a photo of the real wall behind the artwork. It is never part of "
             "the job.", lambda w: straighten.choose(w), apart=True),
    Action("straighten", "Edit", "Stra&ighten the photo…", "Click four points of the photo whose distances are known: it "
             "then lies true on the wall.", lambda w: straighten.straighten(w), None, None,
             lambda w: w.session.document.photo is not None),
    Action("fill-zone", "Arrange", "As lar&ge as fits", "Make the selected artwork, or all of it, as large as the draw "
             "zone takes, and put it there.", lambda w: w.editing.mend("fill-zone"), None, None,
             lambda w: any(p.visible and not p.locked for p in w.session.document.placements)),
    Action("mirror-across", "Arrange", "&Mirror left to right", "Mirror the selected artwork about a plumb line through "
             "its middle.", arranged(N_("Mirror"), arrange.mirror_placements, across=True), "Ctrl+M", None,
             selected),
    Action("mirror-down", "Arrange", "Mirror top to &bottom", "Mirror the selected artwork about a level line through "
             "its middle.", arranged(N_("Mirror"), arrange.mirror_placements, across=False), None, None,
             selected),
    *(Action(f"align-{side}", "Arrange", title, words,
               arranged(N_("Align"), arrange.align_placements, side), None, None, selected,
               apart=side == "left")
      for side, title, words in (
          ("left", N_("Align &left sides"), N_("Bring the left sides of the selected artworks to one line; "
           "one alone goes there on the wall.")),
          ("centre", N_("Align &centres"), N_("Bring the centres of the selected artworks to one plumb line; "
           "one alone goes there on the wall.")),
          ("right", N_("Align &right sides"), N_("Bring the right sides of the selected artworks to one line; "
           "one alone goes there on the wall.")),
          ("top", N_("Align &tops"), N_("Bring the tops of the selected artworks to one line; "
           "one alone goes there on the wall.")),
          ("middle", N_("Align m&iddles"), N_("Bring the middles of the selected artworks to one level line; "
           "one alone goes there on the wall.")),
          ("bottom", N_("Align b&ottoms"), N_("Bring the bottoms of the selected artworks to one line; "
           "one alone goes there on the wall.")),
      )),
    Action("distribute-across", "Arrange", "Equal gaps &across", "Make the gaps between three or more artworks equal, "
             "from left to right.", arranged(N_("Equal gaps"), arrange.distribute_placements, True), None,
             None, lambda w: selected(w, 3), apart=True),
    Action("distribute-down", "Arrange", "Equal gaps &down", "Make the gaps between three or more artworks equal, from "
             "top to bottom.", arranged(N_("Equal gaps"), arrange.distribute_placements, False), None, None,
             lambda w: selected(w, 3)),
    Action("to-front", "Arrange", "To the &front", "Put the selected artwork over all other.",
             arranged(N_("To the front"), arrange.reorder_placements, "front"), "Ctrl+Shift+]", None,
             selected, apart=True),
    Action("forward", "Arrange", "For&ward", "Put the selected artwork over the next one.",
             arranged(N_("Forward"), arrange.reorder_placements, "forward"), "Ctrl+]", None, selected),
    Action("backward", "Arrange", "Bac&kward", "Put the selected artwork under the next one.",
             arranged(N_("Backward"), arrange.reorder_placements, "backward"), "Ctrl+[", None, selected),
    Action("to-back", "Arrange", "To the back", "Put the selected artwork under all other.",
             arranged(N_("To the back"), arrange.reorder_placements, "back"), "Ctrl+Shift+[", None, selected),
    Action("lock", "Arrange", "Lock or &unlock", "Keep the selected artwork in its place, or let it be moved again.",
             lambda w: w.editing.toggle_locked(), "Ctrl+L", None, selected, apart=True),
    Action("hide", "Arrange", "&Hide or show", "Leave the selected artwork out of the job, or draw it again.",
             lambda w: w.editing.toggle_visible(), "Ctrl+H", None, selected),
    Action("fit", "View", "&Fit the wall", "Show the whole wall.", lambda w: w.canvas.fit(), "Ctrl+0",
             "fit", in_tool_bar=True),
    Action("fit-selected", "View", "Show what is &selected", "As large as the selected artwork, keep-out or hanging fits.",
             lambda w: w.canvas.look_at(box_of(w.session.document, w.session.chosen)), "Ctrl+2"),
    Action("zoom-in", "View", "Zoom &in", "Larger.", lambda w: w.canvas.zoom(1.4), Key.ZoomIn),
    Action("zoom-out", "View", "Zoom &out", "Smaller.", lambda w: w.canvas.zoom(1 / 1.4), Key.ZoomOut),
    Action("actual-size", "View", "&True size", "A mm on the wall is a mm on this screen.",
             lambda w: w.true_size(), "Ctrl+1"),
    Action("measure-screen", "View", "&Measure this screen…", "Hold a bank card or a ruler against the screen, so that "
             "true size is true.", lambda w: w.measure_screen()),
    Action("inches", "View", "I&nches on the rulers", "Rulers in inches and feet, or in mm, cm and m again.",
             lambda w: w.canvas.toggle_inches(), apart=True),
    Action("plan", "Job", "&Plan now", "Order the strokes, time the motion and look at every check. It also "
             "happens by itself a moment after an edit.", lambda w: w.session.plan_now(), "F5", "plan",
             in_tool_bar=True),
    Action("plan-every", "Job", "Plan all hangings", "Plan every hanging, one after the other, and tell what they take "
             "together.", lambda w: w.session.plan_every(), "Shift+F5", None, several),
    Action("next-hanging", "Job", "Take the next &hanging in hand", "What zone, plan and checks are about; after the last "
             "one comes the first.", lambda w: w.next_hanging(), "Ctrl+PgDown", None, several),
    Action("cancel", "Job", "&Cancel", "Stop reading files and planning at once.", lambda w: w.session.cancel(), "Esc",
             "stop", lambda w: w.session.planning or w.session.reading, apart=True),
    Action("good-enough", "Job", "G&ood enough", "End the search for a quicker order and go on with the best one "
             "found so far.", lambda w: w.session.good_enough(), "Ctrl+Return", None, lambda w: w.session.searching),
    Action("export", "Job", "&Export…", "Write the job files and the hanging sheet into a folder.",
             lambda w: w.export(), "Ctrl+E", "export", lambda w: w.session.exportable, True, apart=True),
    Action("go-on", "Job", "Go on f&rom here…", "After a stop, a slip or a dry pen: draw what is left, from the moment "
             "shown or any other stroke.", lambda w: w.going_on.open(), "Ctrl+Shift+E", None, can_go_on),
    Action("advise-anchors", "Job", "&Better anchors…", "Where on this wall the anchors keep all artwork in the "
             "draw zone with the most to spare; of several hangings those of the one in hand, for what it draws.",
             lambda w: w.advise_anchors(), None, None,
             lambda w: any(p.visible for p in w.session.document.placements), apart=True),
    Action("calibrate", "Job", "Ca&librate…", "Draw a few crosses, measure between them, and learn what machine "
             "and anchors really are.", lambda w: w.calibrate()),
    Action("line-up", "Job", "Line up by &marks…", "Tell where the pen was seen at the crosses that an earlier hanging "
             "drew; the anchors of the hanging in hand are corrected by that.", lambda w: w.line_up(), None, None,
             lambda w: bool(w.marks_in_hand())),
    Action("play", "Job", "Pla&y or pause", "Play the planned job.", lambda w: w.strip.player.toggle(), "Ctrl+P",
             None, playable, apart=True),
    Action("play-back", "Job", "Play backwar&ds", "Play the planned job back from here.",
             lambda w: w.strip.player.toggle(backwards=True), "Ctrl+Shift+P", None, playable),
    Action("faster", "Job", "&Faster", "Play at the next higher speed.", lambda w: w.strip.player.faster(True),
             "Ctrl+Up", None, playable),
    Action("slower", "Job", "&Slower", "Play at the next lower speed.", lambda w: w.strip.player.faster(False),
             "Ctrl+Down", None, playable),
    Action("next-stroke", "Job", "&Next stroke", "To the moment at which the next stroke begins.",
             lambda w: w.strip.player.step_stroke(True), "Ctrl+Right", None, playable, apart=True),
    Action("previous-stroke", "Job", "Pre&vious stroke", "To the moment at which this stroke begins, or the one before.",
             lambda w: w.strip.player.step_stroke(False), "Ctrl+Left", None, playable),
    Action("next-pen", "Job", "Ne&xt pen", "To the moment at which the next pen begins.",
             lambda w: w.strip.player.step_pen(True), "Ctrl+Shift+Right", None, playable),
    Action("previous-pen", "Job", "Previous pen", "To the moment at which this pen begins, or the one before.",
             lambda w: w.strip.player.step_pen(False), "Ctrl+Shift+Left", None, playable),
    Action("whole-job", "Job", "Show the &whole job", "All strokes again instead of a moment.",
             lambda w: w.strip.player.seek(w.strip.player.length), "Ctrl+Shift+End", None, playable, apart=True),
    Action("plots", "Job", "Plo&ts", "Belt tension, pen speed, torque margin and belt length over time.",
             lambda w: w.strip.plots.toggle(), "Ctrl+Shift+G", None, playable),
    Action("next-part", "View", "Ne&xt part", "To the next part of the window: wall, time strip, panels.",
             lambda w: visit_next(w), "F6", apart=True),
    Action("previous-part", "View", "Previous &part", "To the part of the window before this one.",
             lambda w: visit_next(w, back=True), "Shift+F6"),
    Action("search", "Help", "&Find a command…", "By words of what you want to do; Enter carries it out.",
             lambda w: find_command(w, ACTIONS), "Ctrl+K"),
    Action("whats-this", "Help", "&What is this?", "Click anything to read what it is for.",
             lambda w: QWhatsThis.enterWhatsThisMode(), Key.WhatsThis),
    Action("shortcuts", "Help", "&Shortcuts", "All actions with their keys.", lambda w: help.show_shortcuts(w, ACTIONS),
             Key.HelpContents),
    Action("cautions", "Help", "&Cautions", "What can hurt at the wall.", lambda w: help.show_cautions(w), apart=True),
    Action("about", "Help", "&About Wallwright", "Version and log file.", lambda w: help.show_about(w)),
)  # fmt: skip
