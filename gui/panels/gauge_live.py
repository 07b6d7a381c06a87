"""The limits strip while something is proposed: a typed line's trays before and after, a dragged route's bend.

Pure functions from the strip at rest to the strip as it would be; nothing here measures anything anew but what moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gui.canvas.judging import Judged
from gui.marks import State
from gui.panels.gauge_data import GaugeData, bend_gauge, route_words
from model.line.gauges import Gauge as TrayChange
from model.plant import Plant
from render.refs import route_ref, tray_ref

TRAY_KEYS = {"joints": "tray joints", "stored fibres": "tray stored fibres"}


def with_line(rest: Sequence[GaugeData], changes: Sequence[TrayChange]) -> list[GaugeData]:
    """The strip with the trays that a typed line touches: the value it would make, the limit, and what it was.

    Where a line touches several trays, the fullest after it is shown.
    """
    shown = list(rest)
    for what, key in TRAY_KEYS.items():
        mine = [change for change in changes if change.title.endswith(what)]
        if not mine:
            continue
        fullest = max(mine, key=lambda change: change.after / max(change.limit, 1))
        made = _tray(key, fullest)
        at = next((index for index, gauge in enumerate(shown) if gauge.key == key), None)
        if at is None:
            shown.insert(0, made)
        else:
            shown[at] = made
    return shown


def _tray(key: str, change: TrayChange) -> GaugeData:
    fraction = min(change.after / change.limit * 0.85, 1.0) if change.limit > 0 else 1.0
    over = change.after > change.limit
    return GaugeData(
        key,
        change.title,
        str(change.after),
        f"of {change.limit}, was {change.before}",
        fraction,
        0.85,
        "error" if over else "fine",
        tray_ref(change.tray),
        touched=True,
    )


def with_drag(rest: Sequence[GaugeData], judged: Judged, plant: Plant) -> list[GaugeData]:
    """The strip with the bend of the route in hand, unless another route that stays still is worse."""
    words, where = route_words(plant, judged.route), route_ref(judged.route.id)
    if judged.course is None:
        made = GaugeData("bend", f"Tightest bend, {words}", "no course", "", 0.0, 0.62, "error", where)
    elif judged.radius_mm is None or judged.limit_mm <= 0:
        return list(rest)
    else:
        state: State = "error" if judged.bad else "fine"
        made = bend_gauge(f"{words} at {judged.place}", judged.radius_mm, judged.limit_mm, state, where)
    shown = []
    for gauge in rest:
        if gauge.key == "bend" and (gauge.where == where or (gauge.fraction or 0.0) > (made.fraction or 0.0)):
            shown.append(replace(made, touched=True))
        else:
            shown.append(gauge)
    return shown
