"""The step that sets what a tray is fitted with: ``set tray 1 reserve 4``, ``set tray 1 sleeves 60``."""

from __future__ import annotations

from dataclasses import replace

from model.catalogue import catalogue
from model.edits.parts import Replace
from model.entities import Tray
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError
from model.line.places import tray_named, tray_site
from model.line.syntax import OnTray, Step, Word
from model.line.wording import plural
from model.parts import TrayType


def settle(bench: Bench, step: Step) -> Made:
    """``set``: slots of a tray kept free, or the length of its sleeves, millimetres.

    Raises LineError for anything but one tray, a reserve beyond its slots, or a length no sleeve comes in.
    """
    piece = step.what[0]
    if len(step.what) > 1 or not isinstance(piece, OnTray) or piece.slots is not None:
        raise LineError("one tray is set at a time", step.what_span, hint="Like: set tray 1 reserve 4")
    if step.reserve is None and step.sleeves is None:
        raise LineError(
            "set what of it?", step.what_span, hint="Say reserve and how many slots, or sleeves and their length"
        )
    tray = tray_named(bench, piece.tray, tray_site(bench, piece, bench.context.place))
    kind = bench.plant.tray_types[tray.type]
    new, said = tray, []
    if step.reserve is not None:
        new = replace(new, reserve=_reserve(kind, tray, step.reserve))
        said.append(f"{plural(new.reserve, 'slot')} kept free")
    if step.sleeves is not None:
        length = _sleeves(kind, step.sleeves)
        new = replace(new, sleeve_mm=None if length == kind.sleeve_mm else length)
        said.append(f"sleeves of {length:g} mm")
    made = Made(f"set tray {tray.name}: {', '.join(said)}")
    if new != tray:
        bench.do(made, Replace(new, made.name))
    made.chips = [
        Chip("do", f"set tray {tray.name}", step.verb.span),
        Chip("to", ", ".join(said), step.span),
    ]
    return made


def _reserve(kind: TrayType, tray: Tray, word: Word) -> int:
    most = kind.slots * kind.per_slot
    if int(word.text) > most:
        raise LineError(
            f"tray {tray.name} takes {most} joints, {word.text} cannot be kept free",
            word.span,
            nearest=str(most),
            fixes=(Fix(word.span, str(most)),),
        )
    return int(word.text)


def _sleeves(kind: TrayType, word: Word) -> float:
    sort = "ribbon" if kind.kind == "ribbon" else "single"
    lengths = sorted({s.length_mm for s in catalogue().sleeve_types.values() if s.kind == sort} | {kind.sleeve_mm})
    if float(word.text) not in lengths:
        near = min(lengths, key=lambda length: (abs(length - float(word.text)), length))
        raise LineError(
            f"no sleeve is {word.text} mm long",
            word.span,
            nearest=f"{near:g}",
            hint=f"They come in {', '.join(f'{length:g}' for length in lengths)} mm",
            fixes=(Fix(word.span, f"{near:g}"),),
        )
    return float(word.text)
