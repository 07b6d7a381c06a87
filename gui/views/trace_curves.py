"""The curves and events of the loss plot: what the record expects along the path, what was read, what is missing."""

from __future__ import annotations

from dataclasses import replace

from gui.panels.mark_window import MarkWindow
from gui.panels.plot_layout import PlotData, PlotEvent
from gui.panels.trace_cursors import NO_CURVE, Curve
from gui.views.trace_measured import Loaded, matched_events, measured_curve, plot_events
from gui.views.trace_plan import Plan, Station
from gui.views.trace_state import TraceState
from model.graph import Continuity

DROP_DB = 6.0
"""How far the expected curve falls at the end of the path: to where an instrument sees noise."""
FEET_M = 0.3048


def expected_curve(plan: Plan, wavelength_nm: int) -> Curve:
    """The loss of the record as an instrument would show it from the exchange, 0 dB at the end of the path there."""
    at_m, db = [0.0], [0.0]
    for place, sums in plan.losses:
        loss = sums.get(wavelength_nm)
        if loss is None:
            return Curve()
        at_m.append(place)
        db.append(-loss)
    if len(at_m) < 2:
        return Curve()
    return Curve((*at_m, at_m[-1]), (*db, db[-1] - DROP_DB))


def plot_data(continuity: Continuity, state: TraceState, loaded: Loaded | None = None) -> PlotData:
    """Everything the plot shows of a state; ``loaded`` is a trace of the path in sight."""
    plan, instrument = state.plan, state.instrument
    if plan is None:
        return PlotData()
    nm = state.shot.wavelength_nm if state.shot is not None else 1310
    if loaded is not None:
        nm = round(loaded.trace.wavelength_nm)
    known = plan.losses[-1][1] if plan.losses else {}
    nm = min(known, key=lambda have: abs(have - nm)) if known else nm
    expected = expected_curve(plan, nm) if plan.true else NO_CURVE
    band = None
    if state.located is not None and state.found_m is not None:
        band = (state.found_m - state.located.near_m, state.found_m + state.located.far_m)
    data = PlotData(
        plan, expected, NO_CURVE, tuple(_events(state, plan)), state.found_m, band, window_of(continuity, state), nm
    )
    if loaded is None or not plan.true:
        return data
    found = matched_events(continuity, loaded, instrument, plan)
    return replace(
        data,
        measured=measured_curve(loaded, instrument, expected),
        events=tuple(plot_events(found, loaded, instrument)) if found is not None else data.events,
        note="read in part" if loaded.trace.warnings else "",
        trace=loaded.trace.curve,
        file_m=lambda at_m: loaded.file_m(instrument, at_m),
    )


def _events(state: TraceState, plan: Plan) -> list[PlotEvent]:
    """The end that was read, and the end the record expects where that is another."""
    found = state.found_m
    if found is None or state.shot is None:
        return []
    events = [PlotEvent(1, found, f"END {state.shot.shown:g} {state.shot.unit}", "end")]
    if state.located is not None and plan.length_m - found > state.located.far_m + 2.0:
        end = plan.stations[-1]
        shown = state.instrument.shown_of(plan.length_m)
        events.append(PlotEvent(2, plan.length_m, f"missing: {end.name} end {shown:.0f}", "missing"))
    return events


def window_of(continuity: Continuity, state: TraceState) -> MarkWindow | None:
    """The enlarged marks around a located reading, in the unit of the sheath."""
    located = state.located
    if located is None or state.plan is None:
        return None
    cable = continuity.plant.cables[located.cable]
    unit = FEET_M if cable.mark_unit == "ft" else 1.0
    near: Station | None = next((s for s in state.plan.stations if s.site == located.nearest.site), None)
    stop = next((s for s in cable.stops if s.site == located.nearest.site), None)
    opening = None
    low, high = sorted(located.band_m)
    if stop is not None:
        marks = [m for m in (stop.mark_in_m, stop.mark_out_m) if m is not None]
        reach = high - low
        if marks and min(marks) <= high + reach and max(marks) >= low - reach:
            opening = (min(marks) / unit, max(marks) / unit)
    name = near.name if near is not None else located.nearest.name
    return MarkWindow(low / unit, high / unit, located.mark_m / unit, cable.mark_unit, name if opening else "", opening)
