"""What the limits strip shows while a ticket is in hand: how well the suspects fit, how sure the mark is, who is near.

Value and limit as plain data, like every gauge; the findings of the place stay at the end of the strip.
"""

from __future__ import annotations

from collections.abc import Sequence

from gui.panels.gauge_data import GaugeData
from gui.views.trace_answer import AnswerData
from gui.views.trace_state import TraceState, suspects_in
from model.correlate.suspects import Answer
from model.graph import Continuity
from model.layout import tray_load
from model.lookup import enclosures_at, trays_of
from render.refs import service_ref, site_ref

WIDE_BAND_M = 50.0
"""A band wider than this to one side is no place to dig: common practice, no source."""


def ticket_gauges(
    continuity: Continuity, state: TraceState, answer: Answer | None, data: AnswerData, rest: Sequence[GaugeData]
) -> list[GaugeData]:
    """The gauges of a ticket, with the findings of the place (last of ``rest``) at the end."""
    made: list[GaugeData] = []
    suspects = suspects_in(answer)
    if answer is not None and suspects:
        best, down, up = suspects[0], len(answer.down), len(answer.up)
        explained = len(answer.pair.explains) if answer.pair is not None and not answer.single else len(best.explains)
        against = len(best.contradicted_by)
        made.append(
            GaugeData(
                "downs",
                "Downs explained",
                str(explained),
                f"of {down}",
                explained / down,
                1.0,
                "fine" if explained == down else "warning",
                service_ref(answer.down[0]),
            )
        )
        made.append(
            GaugeData(
                "ups",
                "Ups against it",
                str(against),
                f"of {up}",
                against / up if up else 0.0,
                0.0,
                "warning" if against else "fine",
                service_ref(answer.up[0]) if up else "",
            )
        )
    located = state.located
    if located is not None:
        band = max(located.near_m, located.far_m)
        made.append(
            GaugeData(
                "band",
                "Band, printed marks",
                f"\u00b1 {band:.0f} m",
                f"of {WIDE_BAND_M:.0f} most",
                min(band / WIDE_BAND_M, 1.0),
                1.0,
                "fine" if band <= WIDE_BAND_M else "warning",
                site_ref(located.nearest.site),
            )
        )
    if data.mind_site:
        count = data.mind_count
        made.append(
            GaugeData(
                "beside",
                "Live beside the work",
                str(count),
                f"at {data.mind_site}",
                min(count / 12, 1.0),
                0.0,
                "warning" if count else "fine",
                site_ref(data.mind_id),
            )
        )
        free, most = free_slots(continuity, data.mind_id)
        if most:
            made.append(
                GaugeData(
                    "repair",
                    f"Slots for a repair, {data.mind_site}",
                    str(free),
                    f"of {most} free",
                    1.0 - free / most,
                    1.0,
                    "fine" if free else "warning",
                    site_ref(data.mind_id),
                )
            )
    return [*made, *[gauge for gauge in rest if gauge.counts is not None]] if made else list(rest)


def free_slots(continuity: Continuity, site: str) -> tuple[int, int]:
    """(free places for joints, all of them) on the trays of a site."""
    plant = continuity.plant
    loads = [tray_load(plant, tray) for box in enclosures_at(plant, site) for tray in trays_of(plant, box.id)]
    most = sum(load.kind.slots * load.kind.per_slot for load in loads)
    return max(most - sum(load.joints for load in loads), 0), most
