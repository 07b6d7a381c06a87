"""The lists of a plant as tables, each with the columns of its kind.

Units stand in the headings. A table is there even when it is empty, so that a folder of lists always holds the same
files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from model.graph import Continuity
from model.ids import SiteId
from model.lists.budget_waves import WaveRow, wave_rows
from model.lists.budgets import budget_rows
from model.lists.cuts import cut_list
from model.lists.fibres import fibre_use, use_counts
from model.lists.legs import leg_table
from model.lists.materials import materials
from model.lists.ports import port_table
from model.lists.preps import prep
from model.lists.schedule import fold, schedule
from model.lists.source import Source
from model.lists.splice_log import splice_log
from model.lists.stores import spares, storage
from model.plant import Plant
from model.rules.profiles import InForce, profile_of
from model.rules.run import RULES
from render.columns import table_of
from render.columns_glass import CUTS, PREP, SPARES, STORAGE, SUMS, USE
from render.columns_joints import LOG, RANGES, schedule_columns
from render.columns_light import BUDGET, WAVES, path_columns
from render.columns_parts import LEGS, MATERIALS, PORTS
from render.hopwords import site_name
from render.path_rows import path_rows
from render.tables import Table

R = TypeVar("R")


def all_tables(continuity: Continuity, site: str | None = None) -> list[Table]:
    """Every list of a site, or of the whole plant with its sites by name."""
    source = Source(continuity)
    plant = source.plant
    order = sorted(plant.sites.values(), key=lambda s: (s.name, s.id))
    places: list[str] = [site] if site is not None else [one.id for one in order]

    def each(rows: Callable[[Source, str], Iterable[R]]) -> list[R]:
        return [row for place in places for row in rows(source, place)]

    cables = sorted(plant.cables.values(), key=lambda c: (c.name, c.id))
    cables = [cable for cable in cables if any(stop.site in places for stop in cable.stops)]
    boxes = [box for place in places for box in source.boxes.get(SiteId(place), ())]
    by_site = [schedule(source, place) for place in places]
    rows = [row for found in by_site for row in found]
    folded = [one for found in by_site for one in fold(found)]
    return [
        table_of("splice-schedule", "Splice schedule", schedule_columns(rows), rows),
        table_of("splice-log", "Splice log, every try", LOG, each(splice_log)),
        table_of("splice-ranges", "Splice schedule, ranges", RANGES, folded),
        table_of("cut-list", "Cut list", CUTS, each(cut_list)),
        table_of("preparation", "Preparation", PREP, each(prep)),
        table_of("storage", "Uncut glass and where it lies", STORAGE, each(storage)),
        table_of("stubs-and-spares", "Stubs and spares", SPARES, each(spares)),
        table_of("fibre-use", "Fibre use, span by span", USE, [r for c in cables for r in fibre_use(source, c)]),
        table_of("fibre-sums", "Fibres in use, sums", SUMS, [r for c in cables for r in use_counts(source, c)]),
        table_of("ports", "Ports", PORTS, each(port_table)),
        table_of("splitter-legs", "Splitter legs", LEGS, each(leg_table)),
        table_of("materials", "Materials", MATERIALS, [r for b in boxes for r in materials(source, b)]),
        table_of("budget", "Loss budget", BUDGET, budget_rows(source, site)),
        table_of(
            "budget-waves", "Loss budget by wavelength", WAVES, wave_rows(source, site, ageing_db=ageing_db(plant))
        ),
        table_of("paths", "Paths from the exchange", path_columns(), path_rows(source, site)),
    ]


def wave_table(rows: Iterable[WaveRow]) -> Table:
    """The loss budget with a row for each service and wavelength."""
    return table_of("budget-waves", "Loss budget by wavelength", WAVES, rows)


def ageing_db(plant: Plant) -> float:
    """What the profile in force keeps of every margin for ageing and repairs, dB: the limit of its margin rule."""
    by_name = {rule.name: rule for rule in RULES}
    return InForce(profile_of(plant), RULES).limit(by_name["budget.margin"])


def title_of(plant: Plant, site: str | None, name: str) -> str:
    """What all tables of a plant are headed with: the project or else ``name``, the site, the work order."""
    job = plant.job
    place = site_name(plant, site) if site is not None else "whole plant"
    return ", ".join(word for word in (job.project or name, place, job.work_order) if word)
