"""The words of a splice schematic: what ends, services, states and losses are called, and how wide they are.

Numbers as ranges, losses in dB with two decimals. Knows the plant and the rows, no place on paper.
"""

from __future__ import annotations

from collections.abc import Iterable

from model.entities import Cable
from model.lookup import cable_type, passes, stops_at, tray_type
from model.plant import Plant
from render.blocks import chip_width, tag_width
from render.looks import GlassLook, fibre_look, ranges, tube_look
from render.sheets.splice_grid import Needs
from render.sheets.splice_rows import Bundle, Row
from render.text import fits, shorten, text_width

TAG_ROOM = 34.0  # widest lettering of a tag of a tube, mm


class Words:
    """Names things of one plant, each look computed once."""

    def __init__(self, plant: Plant, site: str, rows: Iterable[Row] = ()) -> None:
        """``rows`` are all those of the site: they say what feeds its splitters."""
        self.plant = plant
        self.feeds: dict[str, list[Bundle]] = {}
        for row in rows:
            if row.left and row.right and row.right.kind == "splitter":
                self.feeds.setdefault(row.right.owner, []).append(row.left)
        self.through = {cable.id for cable, index, _ in stops_at(plant, site) if passes(cable, index)}
        self._tubes: dict[tuple[str, int], GlassLook] = {}
        self._fibres: dict[tuple[str, int], GlassLook] = {}

    def tube(self, cable: str, tube: int) -> GlassLook:
        """Look of a tube."""
        key = (cable, tube)
        if key not in self._tubes:
            self._tubes[key] = tube_look(self.plant, self.plant.cables[cable], tube)
        return self._tubes[key]

    def fibre(self, cable: str, fibre: int) -> GlassLook:
        """Look of a fibre."""
        key = (cable, fibre)
        if key not in self._fibres:
            self._fibres[key] = fibre_look(self.plant, self.plant.cables[cable], fibre)
        return self._fibres[key]

    def tubes(self, cable: str) -> int:
        """How many tubes a cable has."""
        return len(cable_type(self.plant, self.plant.cables[cable]).tubes)

    def count(self, cable: str) -> int:
        """How many fibres a cable has."""
        return cable_type(self.plant, self.plant.cables[cable]).fibre_count

    def tube_tag(self, bundle: Bundle) -> str:
        """ "T3-GR 25-36" of fibres of one tube."""
        label = self.tube(bundle.owner, bundle.tube).label
        return f"{label} {self.numbers(bundle, TAG_ROOM - text_width(label, weight='bold'))}"

    def numbers(self, bundle: Bundle, room: float) -> str:
        """The numbers of a bundle as ranges, or how many there are where the ranges are wider than ``room`` mm."""
        text = ranges(bundle.numbers)
        if fits(text, room, weight="bold"):
            return text
        kind = {"cable": "fibres", "splitter": "legs", "port": "ports"}[bundle.kind]
        return f"{len(bundle.numbers)} {kind}"

    def end(self, bundle: Bundle) -> str:
        """ "D-01:1", "SP-1 in 1", "PE 1-12", and a side where a cable passes."""
        numbers = ranges(bundle.numbers)
        if bundle.kind == "splitter":
            return f"{bundle.name} {bundle.side} {numbers}"
        if bundle.kind == "port":
            return f"{bundle.name} {numbers}"
        side = {"<": " A", ">": " B"}.get(bundle.side, "") if bundle.owner in self.through else ""
        return f"{bundle.name}:{numbers}{side}"

    def service(self, row: Row) -> str:
        """The service of a row, or how many there are."""
        if not row.services:
            return ""
        if len(row.services) == 1:
            return self.plant.services[row.services[0]].name
        return f"{len(row.services)} services"

    def place(self, row: Row) -> str:
        """Who or where the row leads to; of a range behind ports the glass that carries it on."""
        if len(row.services) == 1:
            customer = self.plant.services[row.services[0]].customer
            return customer or row.far
        if row.beyond is not None and row.count > 1:
            return f"on to {self.end(row.beyond)}"
        if row.places > 1:
            return f"to {row.places} places"
        return f"to {row.far}" if row.far else ""

    def feed(self, splitter: str) -> str:
        """What feeds a splitter: "FD 5"; empty where nothing does, or nobody has said."""
        return ", ".join(self.end(bundle) for bundle in self.feeds.get(splitter, ()))

    def stub(self, row: Row) -> str:
        """Where a stub lies and what it is dark to."""
        where = self.stored(row)
        return ", ".join(filter(None, (where, f"dark to {row.far}" if row.far else "dark")))

    def stub_names(self, row: Row) -> tuple[str, ...]:
        """What stands at the end of a stub, longest first."""
        if row.bundle.kind == "splitter":
            return self.parked(row)
        head = f"STUB {ranges(row.bundle.numbers)}"
        far = f", dark to {row.far}" if row.far else ", dark"
        # A long name of a node is cut short itself, so that place and state stay readable.
        return (
            f"{head}, {self.stub(row)}",
            f"{head}{far}",
            f"{head}, {shorten(self.stub(row), 60.0)}",
            f"{head}, dark",
            f"STUB {row.count}",
        )

    def parked(self, row: Row) -> tuple[str, ...]:
        """What stands at the end of legs or inputs that meet nothing, longest first."""
        count, numbers = row.count, ranges(row.bundle.numbers)
        kind, word = ("leg", "PARKED") if row.bundle.side == "out" else ("input", "NOT FED")
        several = f"{kind}s" if count != 1 else kind
        return f"{word}: {count} {several}, {numbers}", f"{word} {numbers}", f"{word} {count}"

    def stored(self, row: Row) -> str:
        """Where a loop or stub lies: "on tray 2", "in the slack bay", or nothing when nobody has said."""
        if row.tray:
            return f"on tray {self.plant.trays[row.tray].name}"
        return "in the slack bay" if row.stored == "bay" else ""

    def state(self, row: Row) -> str:
        """The boxed word of a row."""
        kinds = {self.plant.services[key].status for key in row.services}
        if "live" in kinds:
            return "LIVE"
        if row.status == "remove":
            return "remove"
        if row.status in ("done", "existing"):
            return "done"
        if "planned" in kinds:
            return "planned"
        if row.state == "stub":
            return "stored" if row.stored else "STUB"
        return "plugged" if row.state == "plugged" else "planned"

    def loss(self, row: Row) -> tuple[str, str]:
        """("meas." or "plan", the loss or the range of losses); empty where there is no splice."""
        if not row.losses_db:
            return "", ""
        low, high = min(row.losses_db), max(row.losses_db)
        text = f"{low:.2f}" if f"{low:.2f}" == f"{high:.2f}" else f"{low:.2f}-{high:.2f}"
        return "meas." if row.measured else "plan", text

    def tray(self, tray: str) -> tuple[str, str]:
        """("TRAY 2", "slots 1-24")."""
        held = self.plant.trays[tray]
        return f"TRAY {held.name}", f"slots 1-{tray_type(self.plant, held).slots}"

    def bar(self, cable: Cable, side: str) -> tuple[str, ...]:
        """What stands on a bar of sheath, longest first."""
        count = cable_type(self.plant, cable).fibre_count
        first, last = (self.plant.sites[cable.stops[i].site] for i in (0, -1))
        head = f"{cable.name} {count} F"
        letter = (" side A" if side == "<" else " side B") if cable.id in self.through else ""
        if side == "<":
            kind = " (exchange)" if first.kind == "exchange" else ""
            return f"{head}{letter} from {first.name}{kind}", f"{head} from {first.name}", head, cable.name
        return f"{head}{letter} to {last.name} (field)", f"{head} to {last.name}", head, cable.name

    def left_chips(self, row: Row) -> float:
        """Width of the chips of a row on the left, mm."""
        bundle = row.bundle
        if bundle.kind != "cable":
            return tag_width(ranges(bundle.numbers), square=False)
        if len(bundle.numbers) > 2:
            return tag_width(ranges(bundle.numbers), square=False)
        looks = [self.fibre(bundle.owner, n) for n in bundle.numbers]
        return sum(chip_width(look.label, stripes=look.marks) for look in looks) + len(looks) - 1

    def right_chips(self, bundle: Bundle) -> float:
        """Width of what names the glass on the right, mm."""
        if bundle.kind != "cable":
            return tag_width(ranges(bundle.numbers), square=False)
        if len(bundle.numbers) > 2:
            return tag_width(self.tube_tag(bundle))
        looks = [self.fibre(bundle.owner, n) for n in bundle.numbers]
        if self.tubes(bundle.owner) > 1:
            looks.insert(0, self.tube(bundle.owner, bundle.tube))
        return sum(chip_width(look.label, stripes=look.marks) for look in looks) + len(looks) - 1

    def needs(self, rows: Iterable[Row]) -> Needs:
        """Widths the columns need for all these rows, within bounds no single long name may break."""
        tag, chip, right, name, service, place, loss = 24.0, 12.0, 12.0, 10.0, 0.0, 0.0, 0.0
        for row in rows:
            if row.left and row.left.kind == "cable":
                whole = tuple(self.whole(row.left.owner, row.left.tube))
                tag = max(tag, tag_width(f"{self.tube(row.left.owner, row.left.tube).label} {ranges(whole)}"))
            if row.state == "express":
                continue
            if row.left and row.state in ("joined", "plugged"):
                chip = max(chip, self.left_chips(row))
            if row.right and row.state != "loop":
                right = max(right, self.right_chips(row.right))
                name = max(name, text_width(self.end(row.right), weight="bold"))
                if row.services:
                    service = max(service, 14.0, text_width(self.service(row)))
                if row.state == "stub":
                    place = max(place, min(40.0, text_width(self.stub(row))))
                elif row.services or row.far:
                    place = max(place, 20.0, text_width(self.place(row)))
                if row.losses_db:
                    loss = max(loss, 12.0, sum(map(text_width, self.loss(row))) + 2.0)
        return Needs(
            min(tag, 40.0), min(chip, 30.0), right, min(name, 32.0), min(service, 30.0), min(place, 62.0), loss
        )

    def whole(self, cable: str, tube: int) -> range:
        """All fibres of a tube."""
        counts = cable_type(self.plant, self.plant.cables[cable]).tubes
        first = sum(counts[: tube - 1]) + 1
        return range(first, first + counts[tube - 1])
