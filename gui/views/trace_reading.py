"""What the form of a reading shows: the glass it is from, as it can be typed, and what the record knows of it."""

from __future__ import annotations

from gui.panels.reading_form import FormData
from gui.views.trace_plan import Plan
from gui.views.trace_state import TraceState
from model.entities import FibreEnd, GlassEnd, Shot
from model.graph import Continuity, node_end
from model.line.names import quoted
from model.trace import trace


def form_data(continuity: Continuity, state: TraceState, pending: Shot | None) -> FormData:
    """The form for the reading in sight, or for a second one that has no number yet."""
    shot, plant = pending or state.shot, continuity.plant
    glass = shot.glass if shot is not None else glass_on(continuity, state.plan)
    known: list[tuple[str, str]] = [("Index of cable", f"{state.instrument.real:.4f}")]
    if isinstance(glass, FibreEnd) and glass.cable in plant.cables:
        cable = plant.cables[glass.cable]
        kind = plant.cable_types[cable.type]
        side = shot.from_side if shot is not None else "<"
        tail = cable.stops[0 if side == "<" else -1].tail_m
        known.append(("Tail there", f"{tail:g} m"))
        known.append(("Fibre over sheath", f"{kind.excess * 100:g} \u00b1 {kind.excess_tol * 100:g} %"))
    words = glass_words(continuity, glass)
    if shot is None:
        return FormData(words, known=tuple(known))
    return FormData(
        words,
        shot.shown if pending is None else None,
        shot.unit,
        shot.index,
        shot.lead_m,
        shot.from_side,
        shot.wavelength_nm,
        tuple(known),
        state.fault,
    )


def glass_on(continuity: Continuity, plan: Plan | None) -> GlassEnd | None:
    """The glass a reading would be from: the longest piece of the path in sight."""
    if plan is None or not plan.spans:
        return None
    longest = max(plan.spans, key=lambda s: s.to_m - s.from_m)
    starts = continuity.ends_of_fibre(continuity.plant.cables[longest.cable], longest.fibre)
    on_path = set(trace(continuity, plan.node).nodes)
    found = next((node for node in starts if node in on_path), None)
    return node_end(found) if found is not None else None


def glass_words(continuity: Continuity, glass: GlassEnd | None) -> str:
    """Glass as it can be typed: ``MF-48:17``, with the place where the fibre is cut elsewhere."""
    plant = continuity.plant
    if not isinstance(glass, FibreEnd) or glass.cable not in plant.cables:
        return ""
    cable = plant.cables[glass.cable]
    text = f"{quoted(cable.name)}:{glass.fibre}"
    if len(continuity.ends_of_fibre(cable, glass.fibre)) > 1:
        site = next((s.site for s in cable.stops if s.id == glass.stop), None)
        if site is not None:
            text += f"@{quoted(plant.sites[site].name)}{glass.side}"
    return text
