"""Details of joints: what is joined, and the record of it typed over in place; several picked joints share one record.

Readings belong to one joint. The mean of both directions is shown as the loss, half their difference as what the fibres
do; a reading one way is shown for what it is. No widget is known.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Literal

from gui.panels.detail_types import Details, Entry, Row, Section, rows
from model.edits.recording import Annotate, PlanLoss, SetStatus, TypeReading
from model.entities import Reading, Splice
from model.history import Edit
from model.ids import SpliceId
from model.optics.loss import WAVELENGTHS_NM
from model.optics.readings import (
    WAYS,
    At,
    all_read,
    counted_db,
    estimate_db,
    mismatch_db,
    ratio_of,
    read_at,
    rises,
    times_made,
)
from model.plant import Plant


def _entry(label: str, value: str, make: Callable[[str], Edit]) -> Row:
    return Row(label, "", label.lower(), entry=Entry(value, make, needed=False))


def _db(value: float | None) -> str:
    """Two decimals, three where the third says something."""
    if value is None:
        return ""
    return f"{value:.2f}" if abs(value - round(value, 2)) < 5e-4 else f"{value:.3f}"


def where(plant: Plant, splice: Splice) -> str:
    """A joint in the words of its tray: ``slot 3 of tray 1``."""
    tray = plant.trays.get(splice.tray) if splice.tray else None
    slot = f"slot {splice.slot}" if splice.slot is not None else "joint"
    return f"{slot} of tray {tray.name}" if tray else slot


def splice_details(plant: Plant, name: str, ends: tuple[str, str]) -> Details:
    """One joint; ``ends`` are its two ends in words. Raises KeyError where it is gone."""
    splice: Splice = plant.table("splices")[name]
    held = plant.trays.get(splice.tray) if splice.tray else None
    facts = rows(
        ("A", ends[0]),
        ("B", ends[1]),
        ("Tray", held.name if held else ""),
        ("Slot", str(splice.slot or "")),
        ("Method", splice.method),
        ("Roll", "meant" if splice.roll else ""),
        ("Counts as", _counted(splice)),
    )
    sections = [Section("", facts), _record(plant, (splice,))]
    waves = sorted({*WAVELENGTHS_NM, *(at.wavelength_nm for at in all_read(splice.measured))})
    sections += [_readings(plant, splice, nm) for nm in waves]
    sections.append(_splicer(plant, splice))
    title = f"Joint in slot {splice.slot}" if splice.slot else "Joint"
    at = plant.sites[splice.site].name
    return Details(f"splice:{name}", title, f"at {at}", None, tuple(sections))


def many_joints(plant: Plant, names: Sequence[str]) -> Details:
    """Several joints and what their records share. Raises KeyError where one is gone."""
    splices = tuple(plant.table("splices")[name] for name in names)
    sites = {plant.sites[splice.site].name for splice in splices}
    made = sum(1 for splice in splices if times_made(splice))
    read = sum(1 for splice in splices if any(at.mean_db is not None for at in read_at(splice)))
    counts = rows(("Made", f"{made} of {len(splices)}"), ("Both ways", f"{read} of {len(splices)} measured"))
    sections = (Section("", counts), _record(plant, splices))
    return Details("", f"{len(splices)} joints", f"at {', '.join(sorted(sites))}", None, sections)


def _counted(splice: Splice) -> str:
    """What a budget reckons with at its two wavelengths."""
    found = [(nm, *counted_db(splice, nm)) for nm in WAVELENGTHS_NM]
    if not any(truly for _, _, truly in found):
        return f"{splice.planned_db:.2f} dB as planned"
    return ", ".join(f"{db:.2f} dB {'measured' if truly else 'planned'} at {nm}" for nm, db, truly in found)


def _record(plant: Plant, splices: tuple[Splice, ...]) -> Section:
    """Status, signature, planned loss and evidence of one joint or of several."""
    keys = tuple(SpliceId(splice.id) for splice in splices)
    of = where(plant, splices[0]) if len(splices) == 1 else f"{len(splices)} joints"

    def row(label: str, pick: Callable[[Splice], str], make: Callable[[str], Edit]) -> Row:
        found = {pick(splice) for splice in splices}
        value, blank = (found.pop(), "none yet") if len(found) == 1 else ("", "they differ")
        return Row(label, "", label.lower(), entry=Entry(value, make, needed=False, blank=blank))

    def note(label: str, pick: Callable[[Splice], str], field: str) -> Row:
        def make(text: str) -> Edit:
            return Annotate(keys, name=f"{label.lower()} of {of}", **{field: text})

        return row(label, pick, make)

    return Section(
        "Record",
        (
            row("Status", lambda s: s.status, lambda text: SetStatus(keys, text, f"status of {of}")),
            row("Planned", lambda s: f"{s.planned_db:.2f} dB", lambda text: PlanLoss(keys, text, f"plan {of}")),
            note("Initials", lambda s: s.done_by, "by"),
            note("Date", lambda s: s.done_on, "on"),
            note("Note", lambda s: s.note, "note"),
            note("Evidence", lambda s: s.evidence.kind, "kind"),
            note("Seen by", lambda s: s.evidence.by, "seen_by"),
            note("Seen on", lambda s: s.evidence.date, "seen_on"),
        ),
    )


def _readings(plant: Plant, splice: Splice, nm: int) -> Section:
    """Both directions at a wavelength, with the enclosure open, and what they come to."""
    found = {at.sealed: at for at in all_read(splice.measured) if at.wavelength_nm == nm}
    opened = found.get(False, At(nm, False, None, None))
    fields = []
    for way, db in zip(WAYS, (opened.ab_db, opened.ba_db), strict=True):
        name = f"{way} {nm} nm of {where(plant, splice)}"
        make = partial(_typed, SpliceId(splice.id), nm, way, name)
        fields.append(_entry(f"{way} {nm}", f"{_db(db)} dB" if db is not None else "", make))
    said = [Row("Loss", _loss_words(opened), f"loss {nm}"), Row("Fibres", _fibre_words(opened), f"fibres {nm}")]
    sealed = found.get(True)
    if sealed is not None:
        said += rows((f"Sealed {nm}", _sealed_words(sealed)))
        said += rows(*((f"Rise {how}", f"{db:+.2f} dB") for at, how, db in rises(splice) if at == nm))
    return Section(f"{nm} nm", (*fields, *said))


def _typed(key: SpliceId, nm: int, way: Literal["A-B", "B-A", "estimate"], name: str, text: str) -> Edit:
    return TypeReading(key, nm, way, text, name)


def _loss_words(at: At) -> str:
    if at.mean_db is not None:
        return f"{_db(at.mean_db)} dB, mean of both ways"
    if at.one_way is None:
        return "not measured"
    way, db = at.one_way
    other = "B-A" if way == "A-B" else "A-B"
    return f"apparent gain, not real: read {other} too" if db < 0 else f"not known: read {other} too"


def _fibre_words(at: At) -> str:
    """What half the difference says of the fibres."""
    if at.half_db is None:
        return "not known"
    ratio = ratio_of(at.half_db)
    alike = f"half difference {at.half_db:+.3f} dB"
    if abs(ratio - 1) < 0.005:
        return f"{alike}, alike"
    larger, percent = ("B", 100 * (ratio - 1)) if ratio > 1 else ("A", 100 * (1 / ratio - 1))
    return f"{alike}: mode field of {larger} {percent:.0f} % wider, {mismatch_db(1.0, ratio):.3f} dB of the loss"


def _sealed_words(at: At) -> str:
    ways = [f"{way} {_db(db)}" for way, db in (("A-B", at.ab_db), ("B-A", at.ba_db)) if db is not None]
    mean = [f"mean {_db(at.mean_db)}"] if at.mean_db is not None else []
    return f"{', '.join([*ways, *mean])} dB"


def _splicer(plant: Plant, splice: Splice) -> Section:
    """The splicer's estimate, and every try that was broken open."""
    held = estimate_db(splice.measured)
    name = f"estimate of {where(plant, splice)}"
    make = partial(_typed, SpliceId(splice.id), 0, "estimate", name)
    tries = [
        (f"Try {number}", ", ".join([*_try_words(tried.readings), *filter(None, (tried.by, tried.on))]) or "no record")
        for number, tried in enumerate(splice.attempts, 1)
    ]
    made = times_made(splice)
    right = f"made {made} times, the last kept" if made > 1 else ""
    return Section(
        "Splicer", (_entry("Estimate", f"{_db(held)} dB" if held is not None else "", make), *rows(*tries)), right
    )


def _try_words(readings: tuple[Reading, ...]) -> list[str]:
    held = estimate_db(readings)
    words = [f"estimate {_db(held)} dB"] if held is not None else []
    for at in all_read(readings):
        if at.mean_db is not None:
            words.append(f"mean {_db(at.mean_db)} dB at {at.wavelength_nm}")
        elif at.one_way:
            words.append(f"{at.one_way[0]} {_db(at.one_way[1])} dB at {at.wavelength_nm}")
    return words
