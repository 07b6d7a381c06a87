"""Moving joints in the Trays view: drag a sleeve to a slot, or arrows to the next free one. One drag is one edit.

A used slot is refused and the nearest free one named, unless Alt is held: then both change places. Nothing in the plant
changes before the release; Esc, the right button and a lost pointer put everything back.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QPoint, QPointF, QRectF, Qt

from gui.canvas.board import Board
from gui.canvas.in_hand import HandItem, HandTag, InHand
from gui.canvas.view import Gesture
from gui.document import Action, Document, Notice
from gui.panels.detail_data import end_words
from gui.session import Session
from gui.views.trays import Drop, drop_on, held_by, kind_on, move_edits, move_name, slot_at, swap_edit
from model.edits.swapping import SwapTrays
from model.entities import Splice, Tray
from model.graph import end_node
from model.ids import TrayId
from model.trace import services_by_node
from model.traypath import slot_box
from render.refs import split_ref


class TrayTools(QObject):
    """The gestures of the Trays view. ``shown`` tells the tray in sight, ``tray_under`` one under a screen point."""

    def __init__(self, document: Document, session: Session, board: Board, shown: Callable[[], str | None]) -> None:
        super().__init__(board.view)
        self.document, self.session, self.board = document, session, board
        self.shown = shown
        self.tray_under: Callable[[QPoint], str | None] = lambda _point: None
        self.item = HandItem(board.overlay)
        board.scene.addItem(self.item)
        self.tag = HandTag(board.view.viewport(), board.overlay, "slotTag")

    @property
    def tray(self) -> Tray | None:
        """The tray in sight."""
        trays = self.document.plant.trays
        return next((tray for key, tray in trays.items() if key == self.shown()), None)

    def gesture_at(self, at: QPointF, reach_mm: float) -> Gesture | None:
        """A drag of the joints in the slot under the pointer, where they may be moved."""
        tray = self.tray
        if tray is None or self.document.read_only:
            return None
        kind = kind_on(self.document.plant, tray)
        slot = slot_at(kind, at.x(), at.y())
        if slot is None:
            return None
        left, top, right, low = slot_box(kind, slot)
        if not (left - reach_mm <= at.x() <= right + reach_mm and top <= at.y() <= low):
            return None
        held = held_by(self.document.plant, tray.id, slot)
        return SleeveDrag(self, tray, slot, held) if held else None

    def nudge(self, dx_mm: float, dy_mm: float) -> bool:
        """Move the picked joint to the next free slot above or below; one press is one edit."""
        tray, moving = self.tray, self._picked()
        if tray is None or not moving or not dy_mm or moving[0].slot is None or self.document.read_only:
            return False
        plant = self.document.plant
        step = 1 if dy_mm > 0 else -1
        slot = moving[0].slot + step
        while 1 <= slot <= kind_on(plant, tray).slots:
            if drop_on(plant, tray, slot, moving).free:
                return self.put(tray, slot, moving)
            slot += step
        self.document.noticed.emit(Notice("note", f"No free slot {'below' if step > 0 else 'above'} on {tray.name}"))
        return True

    def _picked(self) -> list[Splice]:
        tray = self.tray
        for ref in reversed(self.session.pick):
            kind, key, _ = split_ref(ref)
            for splice in self.document.plant.splices.values():
                if kind == "splice" and splice.id == key and tray is not None and splice.tray == tray.id:
                    return held_by(self.document.plant, tray.id, splice.slot) if splice.slot else [splice]
        return []

    def live_on(self, moving: list[Splice]) -> str:
        """Whom the joints in hand carry live, as the end of a sentence; empty where nobody."""
        carried = services_by_node(self.document.continuity)
        keys = {key for splice in moving for key in carried.get(end_node(splice.a), ())}
        services = self.document.plant.services
        names = sorted(services[key].name for key in keys if services[key].status == "live")
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        return f"; live: {', '.join(names[:3])}{more}, keep lit" if names else ""

    def put(self, tray: Tray, slot: int, moving: list[Splice]) -> bool:
        """Make the one edit."""
        plant = self.document.plant
        name = move_name(plant, tray, slot, moving)
        return self.document.do(*move_edits(plant, tray, slot, moving), name=name)

    def swap(self, moving: list[Splice], tray: Tray, slot: int) -> bool:
        """Let the joints in hand and those of a slot change places, as one edit."""
        plant = self.document.plant
        edit = swap_edit(plant, moving, held_by(plant, tray.id, slot))
        return edit is not None and self.document.do(edit, name=edit.name)

    def swap_trays(self, one: str, other: str) -> None:
        """Let two trays change places, as one edit; what is in sight stays."""
        plant = self.document.plant
        names = [plant.trays[TrayId(key)].name for key in (one, other)]
        self.document.do(SwapTrays(TrayId(one), TrayId(other)), name=f"swap tray {names[0]} and tray {names[1]}")

    def refuse(self, tray: Tray, drop: Drop, moving: list[Splice]) -> None:
        """Say what holds the slot, and offer the nearest free one."""
        plant = self.document.plant
        held = held_by(plant, tray.id, drop.slot)
        by = f"{end_words(plant, held[0].a)} to {end_words(plant, held[0].b)}" if held else "as many as it can"
        text = f"Slot {drop.slot} holds {by}."
        near, whole = drop.nearest, swap_edit(plant, moving, held) is not None
        offers = [Action(f"Put it in slot {near}", lambda: self._take(tray, near or 0, moving))] * (near is not None)
        offers += [Action("Change places", lambda: self._take(tray, drop.slot, moving, swap=True))] * whole
        free = f"Nearest free slot: {near}" if near is not None else f"No slot of tray {tray.name} is free"
        self.document.noticed.emit(Notice("warning", f"{text} {free}", tuple(offers)))

    def _take(self, tray: Tray, slot: int, moving: list[Splice], *, swap: bool = False) -> None:
        plant = self.document.plant
        if not all(plant.splices.get(s.id) == s for s in moving) or tray.id not in plant.trays:
            self.document.noticed.emit(Notice("note", "The joint has been moved since; drag it again"))
        elif swap:
            self.swap(moving, tray, slot)
        else:
            self.put(tray, slot, moving)

    def clear(self) -> None:
        """Nothing is in hand any more."""
        self.tag.hide()
        self.item.show_hand(InHand())


class SleeveDrag:
    """One drag of the joints of one slot."""

    def __init__(self, tools: TrayTools, tray: Tray, slot: int, moving: list[Splice]) -> None:
        self.tools, self.home, self.slot, self.moving = tools, tray, slot, moving
        self.drop: Drop | None = None
        self.swaps = False
        self.live = tools.live_on(moving)
        kind = kind_on(tools.document.plant, tray)
        left, top, right, low = slot_box(kind, slot)
        self.box = QRectF(left, top, right - left, low - top)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Show the ghost and the slot under it; over the rail another tray comes into sight."""
        tools = self.tools
        view = tools.board.view
        other = tools.tray_under(view.viewport().mapToGlobal(view.mapFromScene(at)))
        if other is not None and other != tools.shown():
            tools.session.show_tray(other)
        tray = tools.tray
        if tray is None:
            return
        plant = tools.document.plant
        kind = kind_on(plant, tray)
        slot = slot_at(kind, at.x(), at.y())
        self.drop = drop_on(plant, tray, slot, self.moving) if slot is not None else None
        alt = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        self.swaps = alt and slot is not None and self.drop is not None and not self.drop.free and not self.drop.own
        self.swaps = self.swaps and swap_edit(plant, self.moving, held_by(plant, tray.id, slot or 0)) is not None
        ghost = self.box.translated(at - self.box.center())
        target = None
        if slot is not None:
            left, top, right, low = slot_box(kind, slot)
            target = QRectF(left, top, right - left, low - top)
        origin = self.box if tray.id == self.home.id else None
        good = self.drop is None or self.drop.free or self.swaps
        label = f"slot {slot}" if good else f"slot {slot} is used"
        if target is not None:
            # The ghost keeps clear of the slot's word.
            ghost = ghost.translated(0.0, max(ghost.height(), view.reach_mm(24.0)))
        tools.item.show_hand(InHand(origin, ghost, target, good, label if slot else ""))
        tools.tag.say(self._words(tray), view.mapFromScene(at), good=good)

    def _words(self, tray: Tray) -> str:
        drop = self.drop
        if drop is None:
            return "Let go over a slot; Esc puts it back"
        if drop.own:
            return f"Slot {drop.slot}, where it was"
        if drop.free:
            return f"To slot {drop.slot} of tray {tray.name}{self.live}"
        if self.swaps:
            return f"Let go: changes places with slot {drop.slot}{self.live}"
        near = f"nearest free: slot {drop.nearest}" if drop.nearest else "no slot is free"
        return f"Slot {drop.slot} is used; {near}; with Alt they change places"

    def commit(self) -> None:
        """Make the one edit, or refuse a used slot; anywhere else it goes back."""
        tools, drop, tray = self.tools, self.drop, self.tools.tray
        tools.clear()
        if drop is None or drop.own or tray is None:
            self._home()
        elif self.swaps:
            tools.swap(self.moving, tray, drop.slot)
        elif drop.free:
            tools.put(tray, drop.slot, self.moving)
        else:
            tools.refuse(tray, drop, self.moving)

    def cancel(self) -> None:
        """Put the sleeve back."""
        self.tools.clear()
        self._home()

    def _home(self) -> None:
        if self.tools.shown() != self.home.id:
            self.tools.session.show_tray(self.home.id)
