"""The columns of a splice schematic across a page: bars, tags, fan, chips, tray field, lanes and words.

Millimetres on paper. Columns keep the widths their lettering needs and share what is left between the fan and the two
lanes; a page too narrow drops columns of text, the least needed first. Nothing here draws.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.errors import PlantError

BAR = 8.0
EDGE_LEFT, EDGE_RIGHT = 9.0, 12.0  # bars stand this far inside the frame
TRAY = 34.0
STATUS = 15.0
GAP = 2.0
FAN, LANE_LEFT, LANE_RIGHT = 29.0, 48.0, 49.0
LEAST, TIGHT = (10.0, 5.0, 9.0), (7.0, 2.0, 6.0)
DROPPED = {3: "place", 4: "loss", 5: "service", 6: "status", 8: "name"}  # what goes at which try


@dataclass(frozen=True, slots=True)
class Needs:
    """Widths in mm that the lettering of a site asks for."""

    tag: float
    chip: float
    right_chip: float
    name: float
    service: float
    place: float
    loss: float


@dataclass(frozen=True, slots=True)
class Columns:
    """Left edges of the columns, mm; a column of text that is dropped has the width 0."""

    bar_left: float
    tag: float
    tube_end: float
    chip: float
    chip_end: float
    tray: float
    tray_width: float
    right_chip: float
    name: float
    name_width: float
    service: float
    service_width: float
    place: float
    place_width: float
    status: float
    status_width: float
    loss_right: float
    loss_width: float
    bar_right: float

    @property
    def tray_middle(self) -> float:
        """Middle of the tray field."""
        return self.tray + self.tray_width / 2

    @property
    def lanes(self) -> float:
        """Room for the fan and the two lanes together."""
        return (self.chip - self.tube_end) + (self.tray - self.chip_end) + (self.right_chip - self.tray_end)

    @property
    def widths(self) -> tuple[float, ...]:
        """Widths of what may be narrowed or dropped on a narrow page; a place may be cut short at 30 mm."""
        place = min(self.place_width, 30.0)
        return self.tray_width, self.name_width, self.service_width, place, self.status_width, self.loss_width

    @property
    def tray_end(self) -> float:
        """Right edge of the tray field."""
        return self.tray + self.tray_width


def lay_columns(left: float, right: float, needs: Needs) -> Columns:
    """Columns between the frame lines. Raises PlantError when the page is too narrow even without dropped columns."""
    bar_left, bar_right = left + min(EDGE_LEFT, 3.0 + (right - left) / 65), right - EDGE_RIGHT - BAR
    if right - left < 300.0:
        bar_right = right - 4.0 - BAR
    wanted = {
        "name": needs.name,
        "service": needs.service,
        "place": needs.place,
        "status": STATUS,
        "loss": needs.loss,
    }
    tray, gap, least = TRAY, GAP, LEAST
    for step in range(9):
        if step == 1:
            wanted["place"] = min(wanted["place"], 30.0)
        elif step == 2:
            tray, wanted["service"] = 26.0, min(wanted["service"], 18.0)
        elif step in DROPPED:
            wanted[DROPPED[step]] = 0.0
        if step == 5:
            tray, least, wanted["name"] = 22.0, TIGHT, min(wanted["name"], 18.0)
        elif step == 7:
            wanted["name"] = min(wanted["name"], 13.0)
        gap = 5.0 if step == 0 else GAP
        texts = sum(width + gap for width in wanted.values() if width)
        fixed = BAR + 6.0 + needs.tag + 3.0 + needs.chip + tray + needs.right_chip + GAP + 2.0 + texts + 4.0
        room = bar_right - bar_left - fixed
        if room >= sum(least):
            break
    else:
        raise PlantError("the page is too narrow for a schematic", where="page", hint="Use A3 or turn the page")
    natural = FAN + LANE_LEFT + LANE_RIGHT
    # What is left beyond the natural widths goes to the lanes, where it hurts no fan.
    share = min(1.0, (room - sum(least)) / (natural - sum(least)))
    fan, one, two = (low + share * (wide - low) for low, wide in zip(least, (FAN, LANE_LEFT, LANE_RIGHT), strict=True))
    spare = room - fan - one - two
    tag = bar_left + BAR + 6.0
    tube_end = tag + needs.tag + 3.0
    chip = tube_end + fan + 1.0
    chip_end = chip + needs.chip
    tray_x = chip_end + one - 1.0 + spare / 2
    right_chip = tray_x + tray + two + spare / 2
    name = right_chip + needs.right_chip + GAP + 2.0
    service = name + (wanted["name"] + gap if wanted["name"] else 0.0)
    place = service + (wanted["service"] + gap if wanted["service"] else 0.0)
    status = place + (wanted["place"] + gap if wanted["place"] else 0.0)
    loss_right = status + wanted["status"] + (gap + wanted["loss"] if wanted["loss"] else 0.0)
    return Columns(
        bar_left,
        tag,
        tube_end,
        chip,
        chip_end,
        tray_x,
        tray,
        right_chip,
        name,
        wanted["name"],
        service,
        wanted["service"],
        place,
        wanted["place"],
        status,
        wanted["status"],
        loss_right,
        wanted["loss"],
        bar_right,
    )
