"""What two paths share: every element that one event hits on both (reviewer's checks C40 and C41).

Finest to coarsest it is the same fibre, splice, leg, input or port; a tray or a tube in an enclosure; a tube in a span;
a sheath; and at last a site that both go through, where fire, flood or a wrong hand takes both.
"""

from __future__ import annotations

from collections.abc import Iterable

from model.correlate.elements import Element, element
from model.correlate.paths import Arm, paths_of
from model.correlate.prior import sites_of
from model.errors import PlantError
from model.graph import Continuity


def shared_risk(continuity: Continuity, a: str, b: str) -> tuple[Element, ...]:
    """Elements on any way of service ``a`` that are on any way of ``b`` too, from ``a``'s customer to the exchange.

    Sites both go through come last. Raises PlantError when the plant has no such service.
    """
    paths = paths_of(continuity)
    for service in (a, b):
        if service not in continuity.plant.services:
            raise PlantError(f"there is no service {service!r}", hint="It may have been removed")
    return _shared(continuity, paths.arms(a), paths.arms(b))


def shared_feeds(continuity: Continuity, service: str) -> tuple[Element, ...]:
    """Elements that the ways of one service share after they have parted; empty for a service with one way.

    What lies between the customer and the parting (the drop, the splitter itself) is always common and not counted.
    """
    arms = paths_of(continuity).arms(service)
    return common_of(continuity, arms) if len(arms) > 1 else ()


def common_of(continuity: Continuity, arms: Iterable[Arm]) -> tuple[Element, ...]:
    """Elements that two of several ways share after these have parted."""
    ways = list(arms)
    found: dict[str, Element] = {}
    for place, one in enumerate(ways):
        for other in ways[place + 1 :]:
            parted = next((i for i, (x, y) in enumerate(zip(one, other, strict=False)) if x != y), len(one))
            found.update({item.key: item for item in _shared(continuity, (one[parted:],), (other[parted:],))})
    return tuple(sorted(found.values(), key=lambda item: item.kind == "site"))


def _shared(continuity: Continuity, some: Iterable[Arm], others: Iterable[Arm]) -> tuple[Element, ...]:
    plant = continuity.plant
    one = dict.fromkeys(key for arm in some for key in arm)
    other = {key for arm in others for key in arm}
    keys = [key for key in one if key in other]
    there = {site for key in other for site in sites_of(plant, key)}
    sites = dict.fromkeys(site for key in one for site in sites_of(plant, key) if site in there)
    return tuple(element(plant, key) for key in (*keys, *(f"site|{site}" for site in sites)))
