"""Correlation on every sample, the broken ones too: an answer that holds together, never a breakdown."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.correlate.affected import affected, others_on_trays
from model.correlate.elements import elements_of
from model.correlate.named import elements_named
from model.correlate.shared import shared_feeds, shared_risk
from model.correlate.suspects import suspects
from model.graph import Continuity
from model.storage.files import load

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "samples").rglob("*.gwp"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_sample_can_be_asked(path: Path) -> None:
    plant = load(path)
    continuity = Continuity(plant)
    services = sorted(plant.services)[:6]
    for service in services:
        answer = suspects(continuity, [service], [s for s in services if s != service])
        assert answer.statement.endswith(".")
        assert {e.key for e in elements_of(continuity, service)} >= {s.element.key for s in answer.suspects}
        for item in elements_of(continuity, service):
            found = affected(continuity, item)
            assert service in (*found.services, *found.standby)
        assert shared_feeds(continuity, service) is not None
    if len(services) > 1:
        suspects(continuity, services)
        there = [e.key for e in shared_risk(continuity, services[0], services[1])]
        back = [e.key for e in shared_risk(continuity, services[1], services[0])]
        assert set(there) == set(back)
        assert there == sorted(there, key=lambda key: key.startswith("site|"))
    for site in plant.sites.values():
        others_on_trays(continuity, site.id)
        assert affected(continuity, elements_named(continuity, f"site:{site.name}")).elements
    for cable in list(plant.cables.values())[:4]:
        for text in (f"{cable.name}:all", f"{cable.name}:1", f"{cable.name}:T1"):
            assert elements_named(continuity, text)
