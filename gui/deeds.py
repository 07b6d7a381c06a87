"""What each command of the menus does, by the command's key."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from gui.canvas.view import CanvasView
from gui.session import VIEWS

if TYPE_CHECKING:
    from gui.window import MainWindow


def deeds(window: MainWindow) -> dict[str, Callable[..., object]]:
    """The deed of every command in ``actions.COMMANDS``."""
    session, files = window.session, window.files

    def view() -> CanvasView:
        return window.boards.current.view

    trace = window.trace

    return {
        "start_page": lambda: window._show_start(True),
        "new_plant": files.new_empty,
        "open_plant": files.choose_open,
        "save": files.save,
        "save_as": files.choose_save,
        "quit": window.close,
        "undo": window.undo,
        "redo": window.redo,
        "cut_pick": window.pick_work.cut,
        "paste_pick": window.rows.paste_key,
        "delete_pick": window.pick_work.take_apart,
        "focus_line": window.line.setFocus,
        "go_line": lambda: window.control.say("go "),
        "name_outage": window.control.ask_outage,
        "find": window.way.find_part,
        "type_over": window.way.type_over,
        "next_support": lambda: window.boards.tools.step_support(True),
        **{f"view_{n + 1}": (lambda n=n: session.show_view(n)) for n in range(len(VIEWS))},
        "fit": lambda: window.boards.zoomed.fit(),
        "zoom_in": lambda: window.boards.zoomed.zoom_by(1.25),
        "zoom_out": lambda: window.boards.zoomed.zoom_by(0.8),
        "true_size": lambda: view().set_scale(view().true_px, None),
        "unfold": window.boards.set_unfold,
        "turn_range": lambda: window.boards.turn_ranges(session.pick),
        "rows": window.boards.set_rows,
        "tray_side": window.boards.set_side,
        "docks": window.show_docks,
        "large": window.set_large,
        "night": window.set_night,
        "full_screen": lambda on: window.showFullScreen() if on else window.showNormal(),
        "here": lambda: (
            window.boards.trace.strip.ask_here()
            if window.boards.strip_shown
            else (window.here.open_by_key(window.boards.current))
        ),
        "whole_plant": lambda: session.go(None),
        "copy_rows": window.rows.copy,
        "next_rows": window.rows.carry_on,
        "write_out": window.rows.write_out,
        "draw_together": window.rows.draw_together,
        "plan_tubes": lambda: window.planning.ask("drops"),
        "plan_trays": lambda: window.planning.ask("trays"),
        "plan_stubs": lambda: window.planning.ask("stubs"),
        "next_finding": lambda: window.finding_work.step(1),
        "previous_finding": lambda: window.finding_work.step(-1),
        "cure": window.finding_work.cure,
        "trace_pick": window.way.trace_pick,
        "print_fault": window.fault.print,
        "save_fault": window.fault.save,
        "open_trace": trace.files.choose,
        "ticket": trace.tickets.go_ticket,
        "new_ticket": trace.tickets.new_ticket,
        "down_list": trace.tickets.down_list,
        "put_away": trace.tickets.put_away,
        "path_sheet": lambda: trace.page.show_sheet(not trace.page.sheet_shown),
        "export_sheet": files.choose_sheet,
        "print_sheet": files.print_sheet,
        "export_all": files.choose_all,
        "lists": window.side.show_lists,
        "line_help": window.side.show_help,
        "notices": window.tell_notices,
        "to_notice": window.notice.go,
        "next_region": lambda: window.regions.step(1),
        "previous_region": lambda: window.regions.step(-1),
    }
