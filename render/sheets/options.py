"""What a caller may choose for a sheet, and how a plant fills the title block."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.lookup import cable_type, stops_at
from model.optics.loss import WAVELENGTHS_NM
from model.plant import Plant
from render.titleblock import SheetInfo


@dataclass(frozen=True, slots=True)
class Options:
    """Paper, date and place in a set; ``printed_on`` is an argument because nothing here reads a clock.

    ``mono`` draws glass in black patterns instead of colours. ``trace`` is a node of the continuity graph whose path is
    underlaid. ``page`` and ``orientation`` empty: the sheet chooses the size it is designed for.
    """

    page: str = ""
    orientation: Literal["", "portrait", "landscape"] = ""
    printed_on: str = ""
    file: str = ""
    sheet: int = 1
    sheets: int = 1
    mono: bool = False
    trace: str = ""
    waves: tuple[int, ...] = WAVELENGTHS_NM
    """Wavelengths of a path sheet, nm, ascending."""
    first: int = 0
    """Number of the sheet that is this file's first page; later pages go into numbered files beside it."""

    @property
    def page_file(self) -> str:
        """Name of the file this very page goes into: ``path.svg``, ``path-2.svg``."""
        number = self.sheet - self.first + 1
        stem, dot, ending = self.file.rpartition(".")
        return f"{stem}-{number}{dot}{ending}" if self.first and number > 1 and stem else self.file


def colour_line(plant: Plant, site: str) -> str:
    """The colour orders used at a site, for the foot of the title block."""
    titles: list[str] = []
    for cable, _, _ in stops_at(plant, site):
        kind = cable_type(plant, cable)
        for scheme in (kind.tube_scheme, kind.fibre_scheme):
            title = plant.schemes[scheme].title
            if title not in titles:
                titles.append(title)
    return f"Colour code: {', '.join(titles) or 'none'}, number + two letters."


def sheet_info(
    plant: Plant,
    site: str,
    options: Options,
    *,
    title: str,
    kind: str,
    supplement: str = "",
    scale: str = "no scale",
    units: str = "mm",
    suffix: str = "",
) -> SheetInfo:
    """The title block of one sheet of a plant. ``suffix`` is appended to the drawing number."""
    job = plant.job
    place = plant.sites.get(site)
    revisions = job.revisions
    return SheetInfo(
        owner=job.owner,
        document_type=kind,
        status=job.status.upper(),
        title=title,
        drawing_no=f"{job.drawing_no}{suffix}" if job.drawing_no else "",
        language=job.language,
        supplement=supplement,
        revision=revisions[-1].letter if revisions else "",
        sheet=options.sheet,
        sheets=options.sheets,
        node=place.name if place else "",
        work_order=job.work_order,
        drawn=job.drawn,
        checked=job.checked,
        approved=job.approved,
        issued=job.issued,
        scale=scale,
        units=units,
        profile=job.profile,
        colour_code=colour_line(plant, site),
        printed_on=options.printed_on,
        file=options.page_file,
        revisions=revisions,
    )
