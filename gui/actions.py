"""Every command of the window, once: its menu, its words, its keys. A command that is not here does not exist."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu


@dataclass(frozen=True, slots=True)
class Command:
    """One entry of a menu; ``key`` names the method that does it. An empty text is a separator."""

    menu: str
    key: str
    text: str
    keys: tuple[str, ...] = ()
    check: bool = False


COMMANDS: tuple[Command, ...] = (
    Command("&File", "start_page", "&Start page"),
    Command("&File", "new_plant", "&New plant", ("Ctrl+N",)),
    Command("&File", "open_plant", "&Open...", ("Ctrl+O",)),
    Command("&File", "open_trace", "Open a &trace file..."),
    Command("&File", "", ""),
    Command("&File", "save", "&Save", ("Ctrl+S",)),
    Command("&File", "save_as", "Save &as...", ("Ctrl+Shift+S",)),
    Command("&File", "", ""),
    Command("&File", "quit", "&Quit", ("Ctrl+Q",)),
    Command("&Edit", "undo", "&Undo", ("Ctrl+Z",)),
    Command("&Edit", "redo", "&Redo", ("Ctrl+Shift+Z", "Ctrl+Y")),
    Command("&Edit", "", ""),
    Command("&Edit", "cut_pick", "Take the picked &joints in hand", ("Ctrl+X",)),
    Command("&Edit", "paste_pick", "&Put joints in hand on the tray in sight, or paste rows", ("Ctrl+V",)),
    Command("&Edit", "delete_pick", "Take the picked joints &apart", ("Delete",)),
    Command("&Edit", "copy_rows", "&Copy the picked joints as rows", ("Ctrl+C",)),
    Command("&Edit", "next_rows", "Join the ne&xt ones, like those picked or said last", ("Ctrl+Shift+D",)),
    Command("&Edit", "write_out", "Write the line &out, joint by joint", ("Ctrl+Shift+E",)),
    Command("&Edit", "draw_together", "Draw the line to&gether to ranges", ("Ctrl+Alt+E",)),
    Command("&Edit", "", ""),
    Command("&Edit", "focus_line", "Say something in the &Line", ("Ctrl+L",)),
    Command("&Edit", "go_line", "&Go to ...", ("Ctrl+G",)),
    Command("&Edit", "name_outage", "Name an &outage for the line", ("Alt+O",)),
    Command("&Edit", "find", "&Find in the parts", ("Ctrl+F",)),
    Command("&Edit", "type_over", "&Type over a detail, accept a finding", ("F2",)),
    Command("&Edit", "next_support", "Next &bend of the route", ("Ctrl+R",)),
    Command("&View", "view_1", "&Route", ("Ctrl+1",)),
    Command("&View", "view_2", "&Enclosure", ("Ctrl+2",)),
    Command("&View", "view_3", "&Trays", ("Ctrl+3",)),
    Command("&View", "view_4", "&Splices", ("Ctrl+4",)),
    Command("&View", "view_5", "Tra&ce", ("Ctrl+5",)),
    Command("&View", "lists", "Li&sts of this place", ("Ctrl+6",)),
    Command("&View", "", ""),
    Command("&View", "fit", "&Fit", ("Ctrl+0",)),
    Command("&View", "zoom_in", "Zoom &in", ("Ctrl++", "Ctrl+=")),
    Command("&View", "zoom_out", "Zoom &out", ("Ctrl+-",)),
    Command("&View", "true_size", "&True size", ("Ctrl+Alt+1",)),
    Command("&View", "", ""),
    Command("&View", "unfold", "Splices: every fibre its own row", ("Ctrl+B",), True),
    Command("&View", "turn_range", "Splices: open or fold the picked range", ("Ctrl+Shift+R",)),
    Command("&View", "rows", "Splices: as ro&ws of a table", ("Ctrl+Shift+B",), True),
    Command("&View", "tray_side", "Trays: tube side, drop side or both", ("Ctrl+Alt+B",)),
    Command("&View", "docks", "&Parts, details and findings", ("F7",), True),
    Command("&View", "large", "&Large lettering", ("Ctrl+Shift+L",), True),
    Command("&View", "night", "&Night", ("Ctrl+Shift+N",), True),
    Command("&View", "full_screen", "Full s&creen", ("F11",), True),
    Command("&Place", "here", "What is &here, and what to do with it", ("Shift+F10",)),
    Command("&Place", "whole_plant", "&Whole plant", ()),
    Command("&Place", "", ""),
    Command("&Place", "plan_tubes", "Plan which &tubes to open", ("Ctrl+K",)),
    Command("&Place", "plan_trays", "Plan trays and &slots", ("Ctrl+Shift+K",)),
    Command("&Place", "plan_stubs", "Plan what to do with &loose glass", ("Ctrl+Alt+K",)),
    Command("&Checks", "next_finding", "&Next finding", ("F8",)),
    Command("&Checks", "previous_finding", "&Previous finding", ("Shift+F8",)),
    Command("&Checks", "cure", "&Cure it", ("Alt+Return", "Alt+Enter")),
    Command("&Checks", "", ""),
    Command("&Checks", "trace_pick", "&Trace what is picked", ("Ctrl+E",)),
    Command("&Checks", "path_sheet", "Path s&heet in the Trace view"),
    Command("&Checks", "", ""),
    Command("&Checks", "ticket", "Fault t&icket, or the next one", ("Ctrl+T",)),
    Command("&Checks", "new_ticket", "Ne&w fault ticket", ("Ctrl+Alt+T",)),
    Command("&Checks", "down_list", "List of who is &down...", ("Ctrl+D",)),
    Command("&Checks", "put_away", "Put the ticket &away"),
    Command("&Sheets", "export_sheet", "&Sheet of this view as SVG...", ("Ctrl+P",)),
    Command("&Sheets", "print_sheet", "&Print the sheet of this view...", ("Ctrl+Alt+P",)),
    Command("&Sheets", "print_fault", "Print the &fault sheet of the ticket...", ("Ctrl+Shift+P",)),
    Command("&Sheets", "save_fault", "Fault sheet as S&VG..."),
    Command("&Sheets", "export_all", "&All sheets of this place..."),
    Command("&Help", "line_help", "What the &Line understands", ("F1",)),
    Command("&Help", "notices", "&Notices so far"),
    Command("&Help", "to_notice", "Go to the no&tice", ("F9",)),
    Command("&Help", "next_region", "Next &region", ("F6",)),
    Command("&Help", "previous_region", "Pre&vious region", ("Shift+F6",)),
)


def build_menus(window: QMainWindow, does: Mapping[str, Callable[..., object]]) -> dict[str, QAction]:
    """Fill the menu bar; returns the actions by key. Raises KeyError for a command that nothing does."""
    menus: dict[str, QMenu] = {}
    actions: dict[str, QAction] = {}
    for command in COMMANDS:
        menu = menus.get(command.menu)
        if menu is None:
            menu = menus[command.menu] = window.menuBar().addMenu(command.menu)
            menu.setObjectName(f"menu{command.menu.replace('&', '')}")
        if not command.text:
            menu.addSeparator()
            continue
        action = QAction(command.text, window)
        action.setObjectName(f"action {command.key}")
        action.setShortcuts([QKeySequence(keys) for keys in command.keys])
        action.setCheckable(command.check)
        done = does[command.key]
        if command.check:
            action.toggled.connect(done)
        else:
            action.triggered.connect(lambda _=False, done=done: done())
        menu.addAction(action)
        window.addAction(action)
        actions[command.key] = action
    return actions
