"""What ``part`` takes out of ports: plugs of fibres and legs, and whole patch cords."""

from __future__ import annotations

from collections.abc import Sequence

from model.edits.patching import Unplug
from model.entities import FibreEnd, LegEnd, Mating, Port
from model.ids import SiteId
from model.line.context import Bench, Chip, Made
from model.line.faults import LineError
from model.line.picks import LegPick, Picked
from model.line.ports import said_ports
from model.line.syntax import Step
from model.line.wording import plural
from model.lookup import stays_inside


def apart_words(made: Made) -> str:
    """What is done: joints taken apart, plugs taken out."""
    plugs = plural(len(made.pulled), "plug")
    if not made.apart:
        return f"take {plugs} out"
    return f"take {plural(len(made.apart), 'joint')} apart" + (f" and {plugs} out" if made.pulled else "")


def out_of_ports(bench: Bench, step: Step, ports: list[Port]) -> Made:
    """What stands in the front of ports is taken out; a cord goes altogether."""
    made = Made(f"part {said_ports(ports)}")
    found = plugs_in(bench, ports, step)
    cords = {
        m.end.cable for m in found if isinstance(m.end, FibreEnd) and stays_inside(bench.plant.cables[m.end.cable])
    }
    both = [m for m in bench.plant.matings.values() if isinstance(m.end, FibreEnd) and m.end.cable in cords]
    pull(bench, made, list({m.id: m for m in (*found, *both)}.values()))
    made.chips = [
        Chip("do", apart_words(made), step.verb.span),
        Chip("what", said_ports(ports), step.what_span),
        Chip("at", bench.plant.sites[ports[0].site].name, step.at.span if step.at else step.span),
    ]
    if cords:
        made.chips.append(Chip("then", f"{plural(len(cords), 'cord')} taken away", step.span))
    return made


def plugs_on(bench: Bench, picks: Sequence[Picked], site: SiteId) -> dict[int, list[Mating]]:
    """Plugs on each pick at a site, by its index."""
    by_end: dict[object, list[Mating]] = {}
    for mating in bench.plant.matings.values():
        port = bench.plant.ports.get(mating.port)
        if port is None or port.site != site:
            continue
        end = mating.end
        if isinstance(end, LegEnd):
            by_end.setdefault(end, []).append(mating)
        else:
            for known in ((end.cable, end.fibre), (end.cable, end.fibre, end.side)):
                by_end.setdefault(known, []).append(mating)
    found = {}
    for index, pick in enumerate(picks):
        if isinstance(pick, LegPick):
            key: object = pick.leg
        else:
            key = (pick.cable, pick.fibre, pick.side) if pick.side else (pick.cable, pick.fibre)
        if key in by_end:
            found[index] = by_end[key]
    return found


def plugs_in(bench: Bench, ports: Sequence[Port], step: Step) -> list[Mating]:
    """What stands in the front of ports, and in the rear of equipment and outlets. Raises LineError for none."""
    ids = {port.id: port for port in ports}
    found = [
        m for m in bench.plant.matings.values() if m.port in ids and (m.face == "front" or ids[m.port].role != "panel")
    ]
    if not found:
        raise LineError(
            f"nothing is patched to {said_ports(ports)}", step.what_span, hint="Name ports with a cord or leg"
        )
    return found


def pull(bench: Bench, made: Made, matings: Sequence[Mating]) -> None:
    """Take plugs out as part of a step."""
    made.pulled = list(matings)
    bench.do(made, Unplug(tuple(mating.id for mating in matings), name=made.name))
