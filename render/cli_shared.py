"""What several verbs of the command line share: the plant and the site they are asked about, days, wavelengths.

Every fault is a PlantError that says what, where and what to do. Heavy modules are imported inside, so that ``--help``
answers at once.
"""

from __future__ import annotations

import datetime
import stat
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from model.errors import PlantError, RefError

if TYPE_CHECKING:
    from model.graph import Continuity
    from model.ids import ServiceId, SiteId
    from model.plant import Plant

PLANT: Final = click.Path(path_type=Path)
as_json = click.option("--json", "as_json", is_flag=True, help="Print machine-readable results.")
nm_option = click.option(
    "--nm", "nm", metavar="NM,NM", default="1310,1550", show_default=True, help="Wavelengths, such as 1490,1550,1625."
)
BAND_NM: Final = (1260, 1675)
"""The single-mode bands O to U (ITU-T names, from memory)."""
MOST_WAVES: Final = 8
MOST_TEXT: Final = 1_000_000
"""Bytes of a small text file; more is some other file."""


def load_plant(path: Path) -> Plant:
    """The plant of a file, or a StorageError naming the file."""
    from model.storage.files import load

    return load(path)


def read_text(path: Path, what: str) -> str:
    """A small text file, or a PlantError naming it; ``what`` it should be, such as ``a list of names``."""
    status = path.stat()
    if not stat.S_ISREG(status.st_mode):
        raise PlantError("is no ordinary file", where=str(path), hint=f"Choose {what}")
    if status.st_size > MOST_TEXT:
        raise PlantError(f"the file is larger than {MOST_TEXT} bytes", where=str(path), hint=f"Choose {what}")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise PlantError("the file is not UTF-8 text", where=str(path), hint="Save it as UTF-8") from None


def site_of(plant: Plant, text: str | None) -> SiteId:
    """The site named, or the only one with an enclosure; raises RefError listing the choices."""
    from model.refs import SiteRef, parse_ref

    if text is not None:
        ref = parse_ref(plant, text)
        if isinstance(ref, SiteRef):
            return ref.site
        names = sorted(site.name for site in plant.sites.values())
        raise RefError(f"{text!r} is no site", hint="Name one of " + some(names))
    found = {enclosure.site for enclosure in plant.enclosures.values()}
    if len(found) == 1:
        return found.pop()
    if not found:
        raise RefError("the plant has no enclosure", hint="Add one, or name a site with --site")
    names = sorted(plant.sites[site].name for site in found)
    raise RefError(f"{len(found)} sites of the plant have enclosures", hint="Say --site and one of " + some(names))


def some(names: Sequence[str], most: int = 6) -> str:
    """The first names of many, and how many more there are."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def path_at(plant_path: Path, ref: str) -> tuple[Continuity, str]:
    """(graph of the plant of a file, node of the light path a reference means); raises RefError where there is none."""
    from model.graph import Continuity

    continuity = Continuity(load_plant(plant_path))
    return continuity, node_at(continuity, ref)


def node_at(continuity: Continuity, ref: str) -> str:
    """Node of the light path a reference means; raises RefError where nothing is joined."""
    from model.nodes import node_of

    node = node_of(continuity, ref)
    if node not in continuity.graph:
        raise RefError(f"nothing is joined at {ref}", hint="Name a fibre, a plugged port or a used slot")
    return node


def wavelengths(text: str) -> tuple[int, ...]:
    """Wavelengths in nm, ascending, from ``1310,1550``; raises PlantError for one that no single-mode band holds."""
    found: set[int] = set()
    for word in text.split(","):
        number = word.strip().removesuffix("nm").strip()
        if not (number.isascii() and number.isdigit() and len(number) <= 6):
            raise PlantError(f"{word.strip()[:40]!r} is no wavelength", where="--nm", hint="Write --nm 1310,1550")
        found.add(int(number))
    low, high = BAND_NM
    beyond = [nm for nm in sorted(found) if not low <= nm <= high]
    if beyond:
        raise PlantError(
            f"{beyond[0]} nm is no wavelength of single-mode fibre", where="--nm", hint=f"Use {low} to {high}"
        )
    if len(found) > MOST_WAVES:
        raise PlantError(f"{len(found)} wavelengths are too many", where="--nm", hint=f"At most {MOST_WAVES} at a time")
    return tuple(sorted(found))


def day(text: str, where: str) -> str:
    """A day as YYYY-MM-DD, or a PlantError naming the option."""
    try:
        return datetime.datetime.strptime(text, "%Y-%m-%d").date().isoformat()
    except ValueError:
        raise PlantError(f"{text[:40]!r} is no date", where=where, hint="Write YYYY-MM-DD") from None


def today() -> str:
    """Today as YYYY-MM-DD."""
    return datetime.date.today().isoformat()


def services_said(plant: Plant, lists: Sequence[str], where: str) -> list[ServiceId]:
    """Ids of services named in lists, ``C5,C6`` or ``@FILE``; raises PlantError with the option or file."""
    from model.correlate.listed import services_listed

    found: list[ServiceId] = []
    for text in lists:
        place = where
        if text.startswith("@"):
            path = Path(text[1:])
            text, place = read_text(path, "a list of names"), str(path)
        try:
            found += services_listed(plant, text)
        except RefError as fault:
            raise PlantError(fault.message, where=place, hint=fault.hint) from None
    return found
