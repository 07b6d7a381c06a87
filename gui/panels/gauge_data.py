"""What the limits strip shows, as plain data: value, limit, state, and the place it is about.

Pure functions over a plant and its findings; no widget, no clock. A gauge's state is never better than that of the
findings it sums up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from gui.marks import GRAVITY, State
from gui.panels.bend_limits import tightest
from model.entities import Route
from model.graph import Continuity
from model.layout import Drawn, TubeRun, drawn_routes, express_runs, tray_load, tube_runs
from model.lookup import cut_fibres, enclosure_at, passes, stops_at, trays_of
from model.optics.budget import ServiceBudget, budget
from model.plant import Plant
from model.rules.profiles import profile_of
from model.rules.registry import Finding
from model.trace import services_by_node
from render.refs import route_ref, service_ref, site_ref, split_ref, tray_ref, tube_ref

WAVE_NM = 1310
"""The wavelength the loss gauge is for: it loses most of those in use below 1360 nm."""


class Judged(Protocol):
    """A plant with its graph and findings in step; the window's document is one."""

    @property
    def plant(self) -> Plant:
        """The plant."""
        ...

    continuity: Continuity
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class GaugeData:
    """One gauge. ``fraction`` and ``limit_fraction`` place value and limit on its bar, 0 to 1; None for no bar.

    ``where`` is the ref the gauge goes to. ``counts`` (errors, warnings, notes) replaces the value by three marks.
    ``touched`` lights it while a drag or a typed line would move it.
    """

    key: str
    label: str
    value: str
    of: str = ""
    fraction: float | None = None
    limit_fraction: float | None = None
    state: State = "fine"
    where: str = ""
    counts: tuple[int, int, int] | None = None
    touched: bool = False

    @property
    def spoken(self) -> str:
        """Value, limit and state in one breath."""
        if self.counts is not None:
            e, w, n = self.counts
            return f"{e} errors, {w} warnings, {n} notes. {self.of}"
        state = {"error": "error", "warning": "warning", "note": "note", "fine": "in order"}[self.state]
        return ", ".join(part for part in (f"{self.value} {self.of}".strip(), state) if part)


def open_counts(findings: Iterable[Finding]) -> tuple[int, int, int]:
    """(errors, warnings, notes) that nobody has accepted."""
    kinds = [finding.severity for finding in findings if not finding.accepted]
    return kinds.count("error"), kinds.count("warning"), kinds.count("note")


def findings_gauge(document: Judged, site: str | None) -> GaugeData:
    """Counts of the findings of a place, or of the whole plant, with the profile's title."""
    mine = [finding for finding in document.findings if site is None or finding.site == site]
    counts = open_counts(mine)
    state: State = "error" if counts[0] else "warning" if counts[1] else "note" if counts[2] else "fine"
    title = profile_of(document.plant).title
    return GaugeData("findings", "Findings", "", f"Profile: {title}", state=state, where="findings", counts=counts)


def gauges(document: Judged, site: str | None) -> list[GaugeData]:
    """The strip of a place, or of the whole plant when ``site`` is None; the findings come last."""
    if site is None or site not in document.plant.sites:
        return [*_plant_gauges(document), findings_gauge(document, None)]
    plant = document.plant
    enclosure = enclosure_at(plant, site)
    made: list[GaugeData] = []
    if enclosure is not None:
        drawn = drawn_routes(plant, enclosure.id)
        made += [
            *_bend_gauge(plant, drawn),
            *_tray_gauges(plant, enclosure.id),
            *_bay_gauges(plant, site, drawn),
            *_turns_gauge(tube_runs(plant, enclosure, drawn)),
        ]
    made += _loss_gauge(document, site)
    mine = [finding for finding in document.findings if finding.site == site]
    return [*(_no_better(gauge, mine) for gauge in made), findings_gauge(document, site)]


RULES_OF = {
    "tray joints": ("tray.sleeves", "tray.reserve", "slot.exists", "slot.twice"),
    "tray stored fibres": ("tray.stored", "tray.load"),
    "bay": ("bay.passes",),
    "turns": ("tail.landing", "tail.turn"),
    "loss": ("budget.max", "budget.min", "budget.margin"),
}
"""The rules a gauge sums up."""


def _no_better(gauge: GaugeData, findings: Sequence[Finding]) -> GaugeData:
    """The gauge, with the worst state of an open finding that it sums up and that is about its own thing."""
    rules = RULES_OF.get(gauge.key, ())
    about = set(split_ref(gauge.where)[1:2])
    state = gauge.state
    for finding in findings:
        mine = gauge.key == "bay" or about & set(finding.refs)
        if finding.rule in rules and mine and not finding.accepted and GRAVITY[finding.severity] < GRAVITY[state]:
            state = finding.severity
    return replace(gauge, state=state)


def bend_words(plant: Plant, drawn: Drawn) -> str:
    """A drawn route in two or three words."""
    return route_words(plant, drawn.route)


def route_words(plant: Plant, route: Route) -> str:
    """A route in two or three words: ``T2 A``, ``TM-B1 B``, ``drops``."""
    side = {"<": " A", ">": " B", "": ""}[route.side]
    if route.kind == "tube":
        return "/".join(f"T{tube}" for tube in route.tubes) + side
    names = [cable.name for cable in plant.cables.values() if any(stop.id in route.stops for stop in cable.stops)]
    if len(names) == 1:
        return f"{names[0]}{side}"
    return f"{len(names)} drops"


def _bend_gauge(plant: Plant, drawn: tuple[Drawn, ...]) -> list[GaugeData]:
    broken = next((item for item in drawn if item.course is None), None)
    if broken is not None:
        label = f"Tightest bend, {bend_words(plant, broken)}"
        return [GaugeData("bend", label, "no course", "", 0.0, 0.5, "error", route_ref(broken.route.id))]
    found = tightest(plant, drawn)
    if found is None:
        return []
    name = f"{bend_words(plant, found.drawn)} at {found.corner.name}"
    where = route_ref(found.drawn.route.id)
    return [bend_gauge(name, found.corner.radius_mm, found.limit.radius_mm, found.corner.state, where)]


def bend_gauge(name: str, radius_mm: float, limit_mm: float, state: State, where: str) -> GaugeData:
    """The gauge of one bend; a radius of 0 is a kink."""
    # The limit stands a little right of the middle, so that both a shortfall and room to spare can be seen.
    fraction, limit = min(radius_mm / limit_mm * 0.62, 1.0), 0.62
    value = "kink" if radius_mm == 0 else f"{_cut(radius_mm)} mm"
    label = f"Tightest bend, {name}"
    return GaugeData("bend", label, value, f"of {limit_mm:g} least", fraction, limit, state, where)


def _cut(value: float) -> str:
    """One decimal, never rounded up: 37.96 against a limit of 38 must not read 38.0."""
    return f"{int(value * 10 + 1e-6) / 10:.1f}"


def _tray_gauges(plant: Plant, enclosure: str) -> list[GaugeData]:
    """Joints and stored fibres of the fullest tray."""
    loads = [tray_load(plant, tray) for tray in trays_of(plant, enclosure)]
    if not loads:
        return []
    fullest = max(loads, key=lambda load: (load.stored, load.joints, -load.tray.position))
    made = []
    for what, count, most in (
        ("joints", fullest.sleeves, fullest.most),
        ("stored fibres", fullest.stored, fullest.kind.stored_max),
    ):
        made.append(
            GaugeData(
                f"tray {what}",
                f"Tray {fullest.tray.name} {what}",
                str(count),
                f"of {most}",
                *_share(count, most),
                "error" if count > most else "fine",
                tray_ref(fullest.tray.id),
            )
        )
    return made


def _share(value: float, most: float) -> tuple[float, float]:
    """(fraction, limit fraction) of a value that may rise to ``most``: the limit stands at 0.85 of the bar."""
    return (min(value / most * 0.85, 1.0) if most > 0 else 1.0), 0.85


def _bay_gauges(plant: Plant, site: str, drawn: tuple[Drawn, ...]) -> list[GaugeData]:
    enclosure = enclosure_at(plant, site)
    runs = [run for run in express_runs(plant, enclosure, drawn) if run.passes is not None] if enclosure else []
    if not runs:
        return []
    by_bay: dict[str, tuple[float, int, str]] = {}
    for run in runs:
        used, most, where = by_bay.get(run.bay.name, (0.0, run.capacity, route_ref(run.routes[0].route.id)))
        by_bay[run.bay.name] = (used + (run.passes or 0.0), min(most, run.capacity), where)
    used, most, where = max(by_bay.values(), key=lambda bay: bay[0] / max(bay[1], 1))
    state: State = "error" if used > most else "fine"
    return [GaugeData("bay", "Slack bay passes", f"{used:.1f}", f"of {most}", *_share(used, most), state, where)]


def _turns_gauge(runs: Sequence[TubeRun]) -> list[GaugeData]:
    """The opened tube whose bare fibre lands worst on its tray's track."""
    known = [run for run in runs if run.on_track is not None and run.tray is not None]
    if not known:
        return []
    worst_run = max(known, key=lambda run: abs(run.on_track.remainder) if run.on_track else 0.0)
    land, tray = worst_run.on_track, worst_run.tray
    if land is None or tray is None:
        return []
    nearest = f"{land.nearest:.1f}"
    return [
        GaugeData(
            "turns",
            f"Turns on tray {tray.name}",
            f"{land.turns:.2f}",
            f"{nearest} \u00b1 0.1",
            min(land.turns / max(land.nearest, 0.5) * 0.85, 1.0),
            0.85,
            "fine" if land.lands else "warning",
            tube_ref(worst_run.cable.id, worst_run.tube),
        )
    ]


def served_here(document: Judged, site: str) -> list[str]:
    """Services whose glass is cut, ends or plugs in at a site, by name; those on uncut glass are not served from it."""
    plant, continuity = document.plant, document.continuity
    nodes: set[str] = set()
    for cable, index, stop in stops_at(plant, site):
        kind = plant.cable_types[cable.type]
        fibres = cut_fibres(kind, stop) if passes(cable, index) else range(1, kind.fibre_count + 1)
        nodes |= {f"{cable.id}:{fibre}@{stop.id}{side}" for fibre in fibres for side in "<>"}
    carried = services_by_node(continuity)
    found = {service for node in nodes for service in carried.get(node, ())}
    return sorted(found, key=lambda key: (plant.services[key].name, key))


def _loss_gauge(document: Judged, site: str) -> list[GaugeData]:
    plant = document.plant
    known: list[ServiceBudget] = []
    for service in served_here(document, site):
        entry = budget(document.continuity, service, wavelengths_nm=(WAVE_NM,))
        if entry.complete:
            known.append(entry)
    if not known:
        return []

    def danger(entry: ServiceBudget) -> tuple[float, float]:
        margin = entry.margin_max_db[WAVE_NM] if entry.margin_max_db else 99.0
        return -margin, entry.loss_db[WAVE_NM]

    worst_entry = max(known, key=danger)
    loss_db = worst_entry.loss_db[WAVE_NM]
    name = plant.services[worst_entry.service].name
    label, where = f"Loss, worst {name} {WAVE_NM}", service_ref(worst_entry.service)
    rated = worst_entry.power_class
    if rated is None or worst_entry.margin_max_db is None:
        # Without a class there is nothing to judge by: the bar is drawn against the widest class in use, 29 dB.
        return [
            GaugeData("loss", label, f"{loss_db:.2f} dB", "no class set", min(loss_db / 34, 1), 0.85, "fine", where)
        ]
    most = loss_db + worst_entry.margin_max_db[WAVE_NM]
    state: State = "error" if worst_entry.margin_max_db[WAVE_NM] < 0 else "fine"
    return [GaugeData("loss", label, f"{loss_db:.2f} dB", f"of {most:g} most", *_share(loss_db, most), state, where)]


def _plant_gauges(document: Judged) -> list[GaugeData]:
    """Of the whole plant: sites without errors, services that reach an exchange, planned joints left."""
    plant = document.plant
    if not plant.sites:
        return []
    bad = {finding.site for finding in document.findings if finding.severity == "error" and not finding.accepted}
    clear = len(plant.sites) - len(bad)
    first_bad = next((site for site in plant.sites if site in bad), None)
    made = [
        GaugeData(
            "sites",
            "Sites without an error",
            str(clear),
            f"of {len(plant.sites)}",
            clear / len(plant.sites),
            1.0,
            "fine" if not bad else "error",
            site_ref(first_bad) if first_bad else "",
        )
    ]
    done = sum(splice.status in ("done", "existing") for splice in plant.splices.values())
    if plant.splices:
        total = len(plant.splices)
        waiting = next((s.site for s in plant.splices.values() if s.status not in ("done", "existing")), None)
        where = site_ref(waiting) if waiting else ""
        made.append(GaugeData("joints", "Joints done", str(done), f"of {total}", done / total, 1.0, "fine", where))
    return made
