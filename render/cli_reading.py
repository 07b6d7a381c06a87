"""The options of an OTDR reading, as every verb of the command line that takes one has them, and the reading."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

import click

from model.errors import PlantError
from render.cli_shared import wavelengths

if TYPE_CHECKING:
    from model.otdr.reading import LaunchEnd, Reading

from_end_option: Final = click.option(
    "--from-end",
    "from_end",
    type=click.Choice(["exchange", "field"]),
    default="exchange",
    show_default=True,
    help="The end of the path the OTDR stood at.",
)
_TAIL: Final = "Glass from the connector to the first sheath; as in the plant if not said."
_OPTIONS: Final = (
    click.option("--index", metavar="N", help="Group index set on the OTDR; that of the cable if not said."),
    click.option("--lead", metavar="M", default="0", help="Launch lead before the path, true metres."),
    click.option("--tail", metavar="M", help=_TAIL),
    from_end_option,
    click.option("--nm", default="1550", show_default=True, metavar="NM", help="Wavelength it was measured at."),
)


def reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Gives a command the options of how a reading was taken: ``index``, ``lead``, ``tail``, ``from_end``, ``nm``."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def reading_of(shown: str, index: str | None, lead: str, tail: str | None, from_end: LaunchEnd, nm: str) -> Reading:
    """The reading that ``--reading`` and those options say; raises PlantError naming the option."""
    from model.otdr.reading import Reading, parse_index, parse_metres

    return Reading(
        parse_metres(shown, "--reading"),
        parse_index(index, "--index") if index is not None else None,
        parse_metres(lead, "--lead"),
        parse_metres(tail, "--tail") if tail is not None else None,
        from_end,
        _one_wave(nm),
    )


def _one_wave(text: str) -> int:
    found = wavelengths(text)
    if len(found) != 1:
        raise PlantError("a reading has one wavelength", where="--nm", hint="Write --nm 1550")
    return found[0]
