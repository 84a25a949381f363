"""Every action, declared once: menus, tool bar and shortcuts are made from this table."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWhatsThis

from wallwright.document import edits_arrangement as arrange
from wallwright.document.document import Document
from wallwright.document.language import N_
from wallwright.window.features.clipboard import feature as clipboard
from wallwright.window.model.items import GuideLineItem, HangingItem, KeepOutItem, PenItem, PhotoItem, box_of
from wallwright.window.shell import help
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.command_search import find_command
from wallwright.window.shell.focus_regions import visit_next
from wallwright.window.shell.window_parts import WindowParts

Key = QKeySequence.StandardKey


def playable(parts: WindowParts) -> bool:
    """Whether there is a fresh plan to play."""
    return parts.strip.bar.isEnabled()


def can_go_on(parts: WindowParts) -> bool:
    """Whether strokes have the numbers that they have in the job."""
    return playable(parts) and parts.models.planning.plan_is_final


def has_windows(parts: WindowParts) -> bool:
    """Whether the window is one of several that there can be."""
    return parts.windows is not None


def selected(parts: WindowParts, least: int = 1) -> bool:
    """Whether so many artworks are selected."""
    return len(parts.models.selection.placement_ids) >= least


def several(parts: WindowParts) -> bool:
    """Whether there is more than one hanging."""
    return len(parts.models.project.document.hangings) > 1


def can_duplicate(parts: WindowParts) -> bool:
    """Whether artwork or a hanging is selected."""
    return selected(parts) or isinstance(parts.models.selection.item, HangingItem)


def can_remove(parts: WindowParts) -> bool:
    """Whether something is selected that the document can do without."""
    item = parts.models.selection.item
    if isinstance(item, HangingItem):
        return several(parts)
    return selected(parts) or isinstance(item, PenItem | KeepOutItem | GuideLineItem | PhotoItem)


def arranged(
    title: str, edit: Callable[..., Document], *values: object, **named: object
) -> Callable[[WindowParts], None]:
    """Does an edit to the selected artworks."""
    return lambda parts: parts.editing.arrange(title, edit, *values, **named)


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
    Action(Id.NEW, "File", "&New", "Start an empty project.", lambda w: w.files.new(), Key.New,
             "new"),
    Action(Id.OPEN, "File", "&Open…", "Open a project.", lambda w: w.files.open(), Key.Open,
             "open", in_tool_bar=True),
    Action(Id.SAVE, "File", "&Save", "Save the project with its artwork in one file.", lambda w: w.files.save(),
             Key.Save, "save", in_tool_bar=True, apart=True),
    Action(Id.SAVE_AS, "File", "Save &as…", "Save the project under another name.",
             lambda w: w.files.save_as(), Key.SaveAs),
    Action(Id.KEEP_WALL, "File", "&Keep the wall…", "Keep this wall with its anchors; the start page offers it for new "
             "projects.", lambda w: w.files.keep_wall(), apart=True),
    Action(Id.KEEP_MACHINE, "File", "Keep the &machine…", "Keep this machine; the start page offers it for new projects.",
             lambda w: w.files.keep_machine()),
    Action(Id.NEW_WINDOW, "File", "New &window", "A further window with the start page.",
             lambda w: w.windows and w.windows.another(), "Ctrl+Shift+N", None, has_windows, apart=True),
    Action(Id.OPEN_IN_WINDOW, "File", "Open in a new w&indow…", "Open a project beside this one.",
             lambda w: w.files.open_in_window(), "Ctrl+Shift+O", None, has_windows),
    Action(Id.START, "File", "S&tart page", "Demo, new wall, recent projects, and work that was not saved.",
             lambda w: w.files.may_leave() and w.start.show(), "Alt+Home", apart=True),
    Action(Id.DEMO, "File", "Open the &demo", "A whole job to look at: a harbour in four colours.",
             lambda w: w.files.demo()),
    Action(Id.CLOSE, "File", "&Close the window", "Asks first when there are changes that are not saved.",
             lambda w: w.widget.close(), Key.Close, apart=True),
    Action(Id.QUIT, "File", "&Quit", "Close all windows.", lambda w: w.windows and w.windows.quit(), Key.Quit, None,
             has_windows),
    Action(Id.UNDO, "Edit", "&Undo", "Take the last edit back.", lambda w: w.models.project.undo(), Key.Undo,
             "undo", lambda w: bool(w.models.project.history.past), True),
    Action(Id.REDO, "Edit", "&Redo", "Do the undone edit again.", lambda w: w.models.project.redo(), Key.Redo,
             "redo", lambda w: bool(w.models.project.history.future), True),
    Action(Id.CUT, "Edit", "Cu&t", "Take the selected artwork to the clipboard.", lambda w: clipboard.cut(w.models),
             Key.Cut, None, selected, apart=True),
    Action(Id.COPY, "Edit", "&Copy", "Copy the selected artwork, with its pens, for this or another window.",
             lambda w: clipboard.copy(w.models), Key.Copy, None, selected),
    Action(Id.PASTE, "Edit", "&Paste", "Bring what is on the clipboard onto the wall: artwork of another window, or SVG, "
             "pictures and words of other programs.", lambda w: clipboard.paste(w.models, w.canvas.wall_under_pointer()),
             Key.Paste),
    Action(Id.DUPLICATE, "Edit", "&Duplicate", "A second copy of the selected artwork or hanging on the wall.",
             lambda w: w.editing.duplicate(), "Ctrl+D", None,
             can_duplicate),
    Action(Id.REMOVE, "Edit", "Re&move", "Take the selected artwork, pen, keep-out or hanging out of the project.",
             lambda w: w.editing.remove(), Key.Delete, None,
             can_remove),
    Action(Id.SELECT_ALL, "Edit", "Select &all artwork", "Select every artwork on the wall.",
             lambda w: w.editing.select_all(), Key.SelectAll, apart=True),
    Action(Id.ADD_ARTWORK, "Add", "Add &artwork…", "Bring SVG files and pictures onto the wall.",
             lambda w: w.files.add_artwork(), "Ctrl+I", "add", in_tool_bar=True),
    Action(Id.ADD_WORDS, "Add", "&Words", "Lettering in one run of the pen a stroke or in an installed font, on a line "
             "or an arc.", lambda w: w.generated_artwork.words(), "Ctrl+T"),
    Action(Id.ADD_FRAME, "Add", "&Frame", "A frame around the selected artwork, or in the middle.",
             lambda w: w.generated_artwork.figure("frame"), apart=True),
    Action(Id.ADD_GRID, "Add", "&Grid", "Lines at equal distances both ways.", lambda w: w.generated_artwork.figure("grid")),
    Action(Id.ADD_RULER, "Add", "&Ruler", "Marks at equal distances with numbers in mm.",
             lambda w: w.generated_artwork.figure("ruler")),
    Action(Id.ADD_SQUARE, "Add", "Test &square", "A square with diagonals to measure once it is drawn.",
             lambda w: w.generated_artwork.figure("square")),
    Action(Id.ADD_CHART, "Add", "Colour &chart", "Patches of every pen at growing hatch spacings, to choose fills from.",
             lambda w: w.generated_artwork.chart()),
    Action(Id.ADD_PEN, "Add", "&Pen", "One more pen in the list.", lambda w: w.editing.add_pen(), apart=True),
    Action(Id.PENS_FOR_COLOURS, "Add", "Pens for the colo&urs", "Add a pen for each colour of the artwork that no "
             "pen has yet.", lambda w: w.editing.pens_for_colours(), None, None,
             lambda w: w.models.planning.preview is not None),
    Action(Id.ADD_KEEP_OUT, "Add", "&Keep-out", "A part of the wall that pen and body must not touch.",
             lambda w: w.editing.add_keep_out()),
    Action(Id.ADD_PLUMB_LINE, "Add", "Plu&mb line", "A line from top to bottom that what is dragged comes to rest on; "
             "or pull one out of the left ruler.", lambda w: w.editing.add_guide_line(True)),
    Action(Id.ADD_LEVEL_LINE, "Add", "L&evel line", "A line from side to side that what is dragged comes to rest on; "
             "or pull one out of the upper ruler.", lambda w: w.editing.add_guide_line(False)),
    Action(Id.HANG_RIGHT, "Add", "Hanging to the r&ight", "One more hanging to the right of the others, as far along "
             "that both zones meet over the artwork's height.", lambda w: w.editing.hang_beside(True), apart=True),
    Action(Id.HANG_LEFT, "Add", "Hanging to the &left", "One more hanging to the left of the others, as far along "
             "that both zones meet over the artwork's height.", lambda w: w.editing.hang_beside(False)),
    Action(Id.HANG_AS_OFTEN, "Add", "&Hang as often as it takes", "As many hangings as it takes to cover the artwork, with "
             "anchors as far apart as those in hand, instead of the hangings there are.",
             lambda w: w.editing.hang_as_often(), None, None,
             lambda w: any(p.visible for p in w.models.project.document.placements)),
    Action(Id.DRAW_KEEP_OUT, "Edit", "Dra&w a keep-out", "Draw a part of the wall that pen and body must not touch: a "
             "rectangle by dragging, or corner by corner.", lambda w: w.editing.draw_keep_out(), "Ctrl+Shift+K", apart=True),
    Action(Id.PHOTO, "Edit", "P&hoto of the wall…", "Show a photo of the real wall behind the artwork. It is never part of "
             "the job.", lambda w: w.photo.choose(), apart=True),
    Action(Id.STRAIGHTEN, "Edit", "Stra&ighten the photo…", "Click four points of the photo whose distances are known: it "
             "then lies true on the wall.", lambda w: w.photo.straighten(), None, None,
             lambda w: w.models.project.document.photo is not None),
    Action(Id.FILL_ZONE, "Arrange", "As lar&ge as fits", "Make the selected artwork, or all of it, as large as the draw "
             "zone takes, and put it there.", lambda w: w.editing.fill_zone(), None, None,
             lambda w: any(p.visible and not p.locked for p in w.models.project.document.placements)),
    Action(Id.MIRROR_ACROSS, "Arrange", "&Mirror left to right", "Mirror the selected artwork about a plumb line through "
             "its middle.", arranged(N_("Mirror"), arrange.mirror_placements, across=True), "Ctrl+M", None,
             selected),
    Action(Id.MIRROR_DOWN, "Arrange", "Mirror top to &bottom", "Mirror the selected artwork about a level line through "
             "its middle.", arranged(N_("Mirror"), arrange.mirror_placements, across=False), None, None,
             selected),
    *(Action(Id(f"align-{side}"), "Arrange", title, words,
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
    Action(Id.DISTRIBUTE_ACROSS, "Arrange", "Equal gaps &across", "Make the gaps between three or more artworks equal, "
             "from left to right.", arranged(N_("Equal gaps"), arrange.distribute_placements, True), None,
             None, lambda w: selected(w, 3), apart=True),
    Action(Id.DISTRIBUTE_DOWN, "Arrange", "Equal gaps &down", "Make the gaps between three or more artworks equal, from "
             "top to bottom.", arranged(N_("Equal gaps"), arrange.distribute_placements, False), None, None,
             lambda w: selected(w, 3)),
    Action(Id.TO_FRONT, "Arrange", "To the &front", "Put the selected artwork over all other.",
             arranged(N_("To the front"), arrange.reorder_placements, "front"), "Ctrl+Shift+]", None,
             selected, apart=True),
    Action(Id.FORWARD, "Arrange", "For&ward", "Put the selected artwork over the next one.",
             arranged(N_("Forward"), arrange.reorder_placements, "forward"), "Ctrl+]", None, selected),
    Action(Id.BACKWARD, "Arrange", "Bac&kward", "Put the selected artwork under the next one.",
             arranged(N_("Backward"), arrange.reorder_placements, "backward"), "Ctrl+[", None, selected),
    Action(Id.TO_BACK, "Arrange", "To the back", "Put the selected artwork under all other.",
             arranged(N_("To the back"), arrange.reorder_placements, "back"), "Ctrl+Shift+[", None, selected),
    Action(Id.LOCK, "Arrange", "Lock or &unlock", "Keep the selected artwork in its place, or let it be moved again.",
             lambda w: w.editing.toggle_locked(), "Ctrl+L", None, selected, apart=True),
    Action(Id.HIDE, "Arrange", "&Hide or show", "Leave the selected artwork out of the job, or draw it again.",
             lambda w: w.editing.toggle_visible(), "Ctrl+H", None, selected),
    Action(Id.FIT, "View", "&Fit the wall", "Show the whole wall.", lambda w: w.canvas.fit(), "Ctrl+0",
             "fit", in_tool_bar=True),
    Action(Id.FIT_SELECTED, "View", "Show what is &selected", "As large as the selected artwork, keep-out or hanging fits.",
             lambda w: w.canvas.look_at(box_of(w.models.project.document, w.models.selection.items)), "Ctrl+2"),
    Action(Id.ZOOM_IN, "View", "Zoom &in", "Larger.", lambda w: w.canvas.zoom(1.4), Key.ZoomIn),
    Action(Id.ZOOM_OUT, "View", "Zoom &out", "Smaller.", lambda w: w.canvas.zoom(1 / 1.4), Key.ZoomOut),
    Action(Id.ACTUAL_SIZE, "View", "&True size", "A mm on the wall is a mm on this screen.",
             lambda w: w.screen_scale.show_true_size(), "Ctrl+1"),
    Action(Id.MEASURE_SCREEN, "View", "&Measure this screen…", "Hold a bank card or a ruler against the screen, so that "
             "true size is true.", lambda w: w.screen_scale.measure()),
    Action(Id.ZONE_MAP, "View", "&Colour map", "Show or hide a colour map of the draw zone, such as belt tension. While "
             "anchors or machine are edited it is shown by itself.", lambda w: w.canvas.toggle_map(), "Ctrl+Shift+M", None,
             apart=True),
    Action(Id.INCHES, "View", "I&nches on the rulers", "Rulers in inches and feet, or in mm, cm and m again.",
             lambda w: w.canvas.toggle_inches()),
    Action(Id.PLAN, "Job", "&Plan now", "Order the strokes, time the motion and look at every check. It also "
             "happens by itself a moment after an edit.", lambda w: w.models.planning.plan_now(), "F5", "plan",
             in_tool_bar=True),
    Action(Id.PLAN_EVERY, "Job", "Plan all hangings", "Plan every hanging, one after the other, and tell what they take "
             "together.", lambda w: w.models.planning.plan_every(), "Shift+F5", None, several),
    Action(Id.NEXT_HANGING, "Job", "Take the next &hanging in hand", "What zone, plan and checks are about; after the last "
             "one comes the first.", lambda w: w.editing.select_next_hanging(), "Ctrl+PgDown", None, several),
    Action(Id.CANCEL, "Job", "&Cancel", "Stop reading files and planning at once.", lambda w: w.models.cancel(), "Esc",
             "stop", lambda w: w.models.planning.is_planning, apart=True),
    Action(Id.GOOD_ENOUGH, "Job", "G&ood enough", "End the search for a quicker order and go on with the best one "
             "found so far.", lambda w: w.models.planning.end_search(), "Ctrl+Return", None,
             lambda w: w.models.planning.is_searching),
    Action(Id.EXPORT, "Job", "&Export…", "Write the job files and the hanging sheet into a folder.",
             lambda w: w.export.open(), "Ctrl+E", "export", lambda w: w.models.planning.is_exportable, True, apart=True),
    Action(Id.GO_ON, "Job", "Go on f&rom here…", "After a stop, a slip or a dry pen: draw what is left, from the moment "
             "shown or any other stroke.", lambda w: w.continue_job.open(), "Ctrl+Shift+E", None, can_go_on),
    Action(Id.ADVISE_ANCHORS, "Job", "&Better anchors…", "Where on this wall the anchors keep all artwork in the "
             "draw zone with the most to spare; of several hangings those of the one in hand, for what it draws.",
             lambda w: w.anchor_advice.open(), None, None,
             lambda w: any(p.visible for p in w.models.project.document.placements), apart=True),
    Action(Id.PROVE, "Job", "Proof &drawing…", "For a machine that takes drawings: two crosses and a line show what its "
             "page does with a drawing.", lambda w: w.proof.open(), None, None, lambda w: w.proof.makes_sense),
    Action(Id.CALIBRATE, "Job", "Ca&librate…", "Draw a few crosses, measure between them, and learn what machine "
             "and anchors really are.", lambda w: w.calibration.open()),
    Action(Id.LINE_UP, "Job", "Line up by &marks…", "Tell where the pen was seen at the crosses that an earlier hanging "
             "drew; the anchors of the hanging in hand are corrected by that.", lambda w: w.register_marks.open(), None,
             None, lambda w: bool(w.register_marks.marks)),
    Action(Id.PLAY, "Job", "Pla&y or pause", "Play the planned job.", lambda w: w.strip.player.toggle(), "Ctrl+P",
             None, playable, apart=True),
    Action(Id.PLAY_BACK, "Job", "Play backwar&ds", "Play the planned job back from here.",
             lambda w: w.strip.player.toggle(backwards=True), "Ctrl+Shift+P", None, playable),
    Action(Id.FASTER, "Job", "&Faster", "Play at the next higher speed.", lambda w: w.strip.player.faster(True),
             "Ctrl+Up", None, playable),
    Action(Id.SLOWER, "Job", "&Slower", "Play at the next lower speed.", lambda w: w.strip.player.faster(False),
             "Ctrl+Down", None, playable),
    Action(Id.NEXT_STROKE, "Job", "&Next stroke", "To the moment at which the next stroke begins.",
             lambda w: w.strip.player.step_stroke(True), "Ctrl+Right", None, playable, apart=True),
    Action(Id.PREVIOUS_STROKE, "Job", "Pre&vious stroke", "To the moment at which this stroke begins, or the one before.",
             lambda w: w.strip.player.step_stroke(False), "Ctrl+Left", None, playable),
    Action(Id.NEXT_PEN, "Job", "Ne&xt pen", "To the moment at which the next pen begins.",
             lambda w: w.strip.player.step_pen(True), "Ctrl+Shift+Right", None, playable),
    Action(Id.PREVIOUS_PEN, "Job", "Previous pen", "To the moment at which this pen begins, or the one before.",
             lambda w: w.strip.player.step_pen(False), "Ctrl+Shift+Left", None, playable),
    Action(Id.WHOLE_JOB, "Job", "Show the &whole job", "All strokes again instead of a moment.",
             lambda w: w.strip.player.seek(w.strip.player.length), "Ctrl+Shift+End", None, playable, apart=True),
    Action(Id.PLOTS, "Job", "Plo&ts", "Belt tension, pen speed, torque margin and belt length over time.",
             lambda w: w.strip.plots.toggle(), "Ctrl+Shift+G", None, playable),
    Action(Id.NEXT_PART, "View", "Ne&xt part", "To the next part of the window: wall, time strip, panels.",
             lambda w: visit_next(w), "F6", apart=True),
    Action(Id.PREVIOUS_PART, "View", "Previous &part", "To the part of the window before this one.",
             lambda w: visit_next(w, back=True), "Shift+F6"),
    Action(Id.SEARCH, "Help", "&Find a command…", "By words of what you want to do; Enter carries it out.",
             lambda w: find_command(w.widget, ACTIONS, w.actions), "Ctrl+K"),
    Action(Id.WHATS_THIS, "Help", "&What is this?", "Click anything to read what it is for.",
             lambda w: QWhatsThis.enterWhatsThisMode(), Key.WhatsThis),
    Action(Id.SHORTCUTS, "Help", "&Shortcuts", "All actions with their keys.",
             lambda w: help.show_shortcuts(w.widget, ACTIONS, w.actions), Key.HelpContents),
    Action(Id.CAUTIONS, "Help", "&Cautions", "What can hurt at the wall.", lambda w: help.show_cautions(w.widget),
             apart=True),
    Action(Id.ABOUT, "Help", "&About Wallwright", "Version and log file.", lambda w: help.show_about(w.widget, w.log_file)),
)  # fmt: skip
