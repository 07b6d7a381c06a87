"""``glasswright suspects``: what could have failed, from who is down and who is up."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_shared import PLANT, as_json, load_plant, services_said
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.correlate.elements import Element
    from model.correlate.next_tests import NextTest
    from model.correlate.suspects import Answer, Pair, Suspect
    from model.plant import Plant

MOST_CLEARED = 12
"""Cleared elements in the text answer; the machine-readable one has them all."""


@click.command(short_help="What could have failed, from who is down and who is up.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--down", "down", metavar="NAMES", multiple=True, help="Services down: C5,C6 C9..C11, or @FILE.")
@click.option("--up", "up", metavar="NAMES", multiple=True, help="Services measured and up, likewise.")
@click.option("--all", "everything", is_flag=True, help="List every cleared element.")
@as_json
def suspects(plant_path: Path, down: tuple[str, ...], up: tuple[str, ...], everything: bool, as_json: bool) -> None:
    """Rank what could have failed: what all who are down run over and nobody does who is up.

    A service named in neither list was not measured, which is not the same as up. When no single fault fits, the best
    pair is named. The next test that tells the likeliest suspects apart comes last, with what each result would mean.
    """
    from model.correlate.suspects import suspects as correlate
    from model.graph import Continuity

    plant = load_plant(plant_path)
    gone, fine = services_said(plant, down, "--down"), services_said(plant, up, "--up")
    if not gone:
        raise PlantError("nobody is said to be down", where="--down", hint="Name them: --down C5,C6 or --down @FILE")
    found = correlate(Continuity(plant), gone, fine)
    code = 0 if found.suspects or found.pair else 1
    if as_json:
        answer(as_document(_document(plant, found)), code)
    answer(_lines(plant, found, width(), everything), code)


def _names(plant: Plant, services: Sequence[str]) -> list[str]:
    return [plant.services[service].name for service in services]


def element_row(part: Element) -> dict[str, Any]:
    """An element for a program."""
    return {"element": part.words, "kind": part.kind, "grain": part.grain, "key": part.key}


def _suspect(plant: Plant, item: Suspect) -> dict[str, Any]:
    return {
        **element_row(item.element),
        "element": item.words,
        "also": [element_row(part) for part in item.also],
        "explains": _names(plant, item.explains),
        "contradicted_by": _names(plant, item.contradicted_by),
        "score": item.score,
        "reason": item.reason,
    }


def _pair(plant: Plant, pair: Pair) -> dict[str, Any]:
    return {
        "first": [_suspect(plant, item) for item in pair.first],
        "second": [_suspect(plant, item) for item in pair.second],
        "explains": _names(plant, pair.explains),
        "contradicted_by": _names(plant, pair.contradicted_by),
        "score": pair.score,
        "reason": pair.reason,
    }


def _test(plant: Plant, test: NextTest) -> dict[str, Any]:
    return {
        "kind": test.kind,
        "test": test.words,
        "separates_top": test.separates_top,
        "fibres": [f"{plant.cables[cable].name}:{fibre}" for cable, fibre in test.fibres],
        "services": _names(plant, test.services),
        "outcomes": [
            {"result": outcome.result, "suspects": [part.words for part in outcome.suspects]}
            for outcome in test.outcomes
        ],
    }


def _document(plant: Plant, found: Answer) -> dict[str, Any]:
    return {
        "down": _names(plant, found.down),
        "up": _names(plant, found.up),
        "single": found.single,
        "statement": found.statement,
        "suspects": [_suspect(plant, item) for item in found.suspects],
        "pair": None if found.pair is None else _pair(plant, found.pair),
        "other_pairs": [_pair(plant, pair) for pair in found.other_pairs],
        "cleared": [
            {
                **element_row(item.element),
                "explains": _names(plant, item.explains),
                "contradicted_by": _names(plant, item.contradicted_by),
                "score": item.score,
                "why": item.why,
            }
            for item in found.cleared
        ],
        "cleared_more": found.cleared_more,
        "next_tests": [_test(plant, test) for test in found.next_tests],
        "unplaced": _names(plant, found.unplaced),
    }


def _lines(plant: Plant, found: Answer, wide: int, everything: bool) -> list[str]:
    from model.correlate.next_tests import NONE_OF_THEM
    from render.answers import clean, fold, table

    lines = fold(found.statement, wide)
    if found.suspects:
        rows = [["score", "what", "grain", "why"]]
        rows += [[f"{s.score:.2f}", s.words, s.element.grain, s.reason] for s in found.suspects]
        lines += ["", "Suspects", *table(rows, "rlll", wide)]
    if found.pair:
        lines += ["", "Best pair", *fold(found.pair.reason, wide)]
        for head, group in (("one of", found.pair.first), ("and one of", found.pair.second)):
            lines += [f"  {head}", *(f"    {clean(item.words)}" for item in group)]
        lines += [line for pair in found.other_pairs for line in fold(f"as good: {pair.reason}", wide)]
    shown = found.cleared if everything else found.cleared[:MOST_CLEARED]
    if shown:
        rows = [["what", "grain", "down", "up", "why it is cleared"]]
        total = len(found.down) - len(found.unplaced)
        for item in shown:
            down = f"{len(item.explains)} of {total}"
            rows.append([item.element.words, item.element.grain, down, str(len(item.contradicted_by)), item.why])
        lines += ["", "Cleared", *table(rows, "llrrl", wide)]
        left = len(found.cleared) - len(shown) + found.cleared_more
        lines += [f"and {left} more{'' if everything else ', see --all'}"] * bool(left)
    for place, test in enumerate(found.next_tests):
        lines += ["", "Next test" if place == 0 else "Or", *fold(_sentence(test.words), wide)]
        for outcome in test.outcomes:
            names = "; ".join(part.words for part in outcome.suspects) or NONE_OF_THEM
            lines += [f"  {line}" for line in fold(f"{outcome.result}: {names}", max(wide - 2, 0))]
    if found.next_tests:
        lines += ["", *fold(CAUTION, wide)]
    return lines


CAUTION = (
    "Treat every fibre as live, shoot only into glass proved dark, and follow the rules of the place: "
    "this is worked out from the record and proves nothing on site."
)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."
