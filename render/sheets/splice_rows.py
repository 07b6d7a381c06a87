"""The rows of a splice schematic: what lies on the left and on the right of every joint, loop, stub and uncut tube.

Built from a plant at one site, without any place on paper: the exchange side is left, the field side right. A block is
one tube of a cable (or a splitter, or a panel) with its rows in order; ``back`` holds what the other side of a passing
tube does. Numbers are running fibre numbers, losses dB.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import GlassEnd, LegEnd, Splice
from model.graph import end_node, port_node
from model.optics.readings import read_at
from model.plant import Plant

RowState = Literal["express", "joined", "plugged", "loop", "stub"]
BlockState = Literal["express", "opened", "cut", "ends", "starts", "legs", "ports"]


@dataclass(frozen=True, slots=True)
class Bundle:
    """Glass or connectors of one owner that run side by side: fibres of one tube, legs, or ports of one panel.

    ``side`` is ``<`` or ``>`` for fibres, ``in`` or ``out`` for legs, empty for ports. ``nodes`` are those of the
    continuity graph, in the order of ``numbers``.
    """

    kind: Literal["cable", "splitter", "port"]
    owner: str
    name: str
    tube: int
    numbers: tuple[int, ...]
    side: str
    nodes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the schematic: a joint, or glass that is not joined.

    ``splices`` are the ids behind it. ``status`` is "done", "existing", "planned" or "remove" for joints.
    ``stored`` is where a loop or stub lies, ``far`` the node a stub is dark to, or a joint leads to.
    ``losses_db`` are measured when ``measured``, else planned. ``life`` are the states of the services it carries, and
    ``places`` how many nodes a folded range leads to. ``beyond`` is the glass on the other face of the ports it is
    plugged into.
    """

    state: RowState
    left: Bundle | None
    right: Bundle | None
    splices: tuple[str, ...] = ()
    tray: str = ""
    slots: tuple[int, ...] = ()
    status: str = ""
    services: tuple[str, ...] = ()
    far: str = ""
    stored: str = ""
    turns: float = 0.0
    losses_db: tuple[float, ...] = ()
    measured: bool = False
    life: tuple[str, ...] = ()
    places: int = 1
    beyond: Bundle | None = None
    part_of: tuple[str, int, int] | None = None
    """(key, how many, which of them from 0) of the equal range it belongs to; -1 where it stands for all of them."""

    @property
    def bundle(self) -> Bundle:
        """The side that is there, the left one first."""
        found = self.left or self.right
        if found is None:
            raise ValueError("a row of a schematic holds no glass")
        return found

    def bundle_right(self) -> Bundle:
        """The right side, or the left one where there is no other."""
        return self.right or self.bundle

    @property
    def count(self) -> int:
        """How many fibres, legs or ports the line stands for."""
        return len(self.bundle.numbers)


@dataclass(frozen=True, slots=True)
class Block:
    """Rows that start in one tube, splitter or panel; ``owner`` is empty when nothing comes from the left."""

    kind: Literal["cable", "splitter", "port", ""]
    owner: str
    tube: int
    state: BlockState
    rows: tuple[Row, ...]
    back: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class Counts:
    """What one cable's fibres do on one side here; the parts add up to ``total``."""

    cable: str
    side: str
    joined: int
    stub: int
    loop: int
    express: int
    total: int


@dataclass(frozen=True, slots=True)
class SiteTable:
    """All blocks at a site in the order of the sheet, and the counts of every cable."""

    site: str
    blocks: tuple[Block, ...]
    counts: tuple[Counts, ...]


@dataclass(frozen=True, slots=True)
class Joint:
    """Two ends that belong together, the exchange side left; a plug has a port on one side and no splice."""

    left: Bundle
    right: Bundle
    splice: Splice | None


def end_bundle(plant: Plant, end: GlassEnd, tubes: dict[str, tuple[int, ...]]) -> Bundle:
    """A single end as a bundle of one; ``tubes`` holds for each cable the tube of every fibre, from fibre 1."""
    node = end_node(end)
    if isinstance(end, LegEnd):
        name = plant.splitters[end.splitter].name
        return Bundle("splitter", end.splitter, name, 0, (end.number,), end.role, (node,))
    cable = plant.cables[end.cable]
    known = tubes[end.cable]
    # A plant from a file may name a fibre its cable does not have; that is a finding, and the picture shows it.
    tube = known[end.fibre - 1] if 1 <= end.fibre <= len(known) else 0
    return Bundle("cable", end.cable, cable.name, tube, (end.fibre,), end.side, (node,))


def _depth(bundle: Bundle) -> int:
    """How far from the exchange a kind of end lies: what comes from there is small."""
    if bundle.kind == "cable":
        return 0 if bundle.side == "<" else 3
    return 1 if bundle.side == "out" else 2


def tubes_by_fibre(plant: Plant) -> dict[str, tuple[int, ...]]:
    """For each cable the tube of every fibre, from fibre 1."""
    by_type = {
        kind.id: tuple(tube for tube, count in enumerate(kind.tubes, start=1) for _ in range(count))
        for kind in plant.cable_types.values()
    }
    return {cable.id: by_type[cable.type] for cable in plant.cables.values()}


def joints_at(plant: Plant, site: str, tubes: dict[str, tuple[int, ...]]) -> list[Joint]:
    """Every splice and plug at a site; of two ends from the same side the first one stands left."""
    found: list[Joint] = []
    for splice in plant.splices.values():
        if splice.site == site:
            a, b = end_bundle(plant, splice.a, tubes), end_bundle(plant, splice.b, tubes)
            found.append(Joint(b, a, splice) if _depth(b) < _depth(a) else Joint(a, b, splice))
    for mating in plant.matings.values():
        port = plant.ports[mating.port]
        if port.site == site:
            end = end_bundle(plant, mating.end, tubes)
            node = port_node(port.id, mating.face)
            panel = Bundle("port", f"{port.panel}@{site}", port.panel, 0, (port.number,), mating.face, (node,))
            found.append(Joint(panel, end, None) if _depth(end) >= 2 else Joint(end, panel, None))
    return found


def joint_row(joint: Joint, services: tuple[str, ...], far: str, life: tuple[str, ...] = ()) -> Row:
    """The row of one joint; ``far`` is the node its field side leads to, ``life`` the states of its services."""
    splice = joint.splice
    if splice is None:
        return Row("plugged", joint.left, joint.right, services=services, far=far, life=life)
    # Only the mean of both directions is a measured loss; one way, or an estimate, leaves the joint as planned.
    means = [at.mean_db for at in read_at(splice) if at.mean_db is not None] if splice.measured else []
    loss = max(0.0, *means) if means else splice.planned_db
    return Row(
        "joined",
        joint.left,
        joint.right,
        (splice.id,),
        splice.tray or "",
        () if splice.slot is None else (splice.slot,),
        splice.status,
        services,
        far,
        losses_db=(loss,),
        measured=bool(means),
        life=life,
    )
