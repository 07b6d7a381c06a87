"""What the editing keys do with the picked things: Delete takes joints apart, cutting and pasting moves them.

Each is said in the Line as it would be typed, and done as Enter would: who goes dark is shown first, and a line that
darkens a live service is held once. A key can do nothing that typing cannot.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.document import Notice
from model.entities import FibreEnd, Splice
from model.ids import SpliceId
from model.line.names import quoted
from model.line.wording import plural, runs
from model.plant import Plant
from render.refs import split_ref

if TYPE_CHECKING:
    from gui.window import MainWindow


def picked_joints(plant: Plant, site: str | None, pick: Sequence[str]) -> list[Splice]:
    """The joints at a site that are picked, themselves or by one of their fibres, in the order picked."""
    by_fibre: dict[tuple[str, int], list[Splice]] = {}
    for splice in plant.splices.values():
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and splice.site == site:
                by_fibre.setdefault((end.cable, end.fibre), []).append(splice)
    found: list[Splice] = []
    for ref in pick:
        kind, key, number = split_ref(ref)
        if kind == "splice" and SpliceId(key) in plant.splices:
            found.append(plant.splices[SpliceId(key)])
        elif kind == "fibre":
            found += by_fibre.get((key, int(number)), [])
    return list({splice.id: splice for splice in found}.values())


def slots_said(plant: Plant, joints: Sequence[Splice]) -> str:
    """Joints in slots as the Line takes them: ``tray 1 3-5,tray 2 1``; those in no slot are left out."""
    by_tray: dict[str, list[int]] = {}
    for joint in joints:
        if joint.tray is not None and joint.slot is not None:
            by_tray.setdefault(joint.tray, []).append(joint.slot)
    return ",".join(
        f"tray {quoted(tray.name)} {run}"
        for key, slots in by_tray.items()
        for tray in plant.trays.values()
        if tray.id == key
        for run in runs(sorted(dict.fromkeys(slots))).split(",")
    )


class PickWork(QObject):
    """The editing keys of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self.in_hand: tuple[SpliceId, ...] = ()

    def _picked(self) -> list[Splice]:
        session = self.window_.session
        return picked_joints(self.window_.document.plant, session.place, session.pick)

    def take_apart(self) -> None:
        """Delete: take the picked joints apart, as the verb ``part`` does."""
        joints = self._picked()
        said = slots_said(self.window_.document.plant, joints)
        if not said:
            text = "Pick joints to take apart. Fibres and tubes are cut and kept in the Line: cut, keep"
            self.window_.notice.tell(Notice("note", text))
            return
        self.window_.control.do_or_hold(f"part {said}")

    def cut(self) -> None:
        """Ctrl+X: take the picked joints in hand; nothing is changed before they are put somewhere."""
        joints = [joint for joint in self._picked() if joint.slot is not None]
        self.in_hand = tuple(joint.id for joint in joints)
        words = f"{plural(len(joints), 'joint')} in hand: Ctrl+V puts them on the tray in sight"
        self.window_.notice.tell(Notice("note", words if joints else "Pick joints in slots first, then Ctrl+X"))

    def paste(self) -> None:
        """Ctrl+V: put the joints in hand into the first free slots of the tray in sight."""
        plant, shown = self.window_.document.plant, self.window_.boards.tray_in_sight()
        joints = [plant.splices[key] for key in self.in_hand if key in plant.splices]
        tray = next((tray for tray in plant.trays.values() if tray.id == shown), None)
        said = slots_said(plant, joints)
        if not said or tray is None:
            self.window_.notice.tell(Notice("note", "No joint is in hand: pick joints, then Ctrl+X"))
            return
        self.in_hand = ()
        self.window_.control.do_or_hold(f"put {said} on tray {quoted(tray.name)}")
