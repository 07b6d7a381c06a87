"""Does each service get light, enough and not too much? Judged at the site of the service's port.

Losses and classes come from ``model.optics``; a service whose class nobody knows is only asked whether its path reaches
the exchange.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from model.optics.budget import ServiceBudget
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


def _worst(margins: Mapping[int, float] | None) -> tuple[int, float] | None:
    """(wavelength, margin) of the smallest margin."""
    if not margins:
        return None
    wave = min(margins, key=lambda nm: (margins[nm], nm))
    return wave, margins[wave]


def _reaches(context: Context, budget: ServiceBudget) -> bool:
    """True when the path ends at a port of equipment or at an exchange, whether or not its loss is known."""
    if budget.complete:
        return True
    node = budget.steps[-1].end if budget.steps else ""
    port = context.plant.ports.get(node.rpartition("/")[0])
    if port is None or port.id == budget.port:
        return False
    return port.role == "equipment" or context.plant.sites[port.site].kind == "exchange"


def _name(context: Context, budget: ServiceBudget) -> str:
    return str(context.plant.table("services")[budget.service].name)


@rule(
    "service.path",
    "warning",
    title="The path of every service reaches the exchange",
    reason="A service without a whole path has no light.",
    basis="physics",
    good=ex.clean,
    bad=lambda: ex.with_service(ex.clean(), "thistlemere-hall.4", status="planned"),
)
def service_path(context: Context, limit: float) -> Iterator[Found]:
    """Services whose path ends before the exchange, or at another port than the one promised."""
    for budget in context.budgets:
        if not _reaches(context, budget):
            yield Found((budget.service,), f"{_name(context, budget)}: {budget.why}")


@rule(
    "budget.known",
    "warning",
    title="The loss of a service with a power class is known",
    reason="A budget with a gap in it promises nothing.",
    basis="arithmetic",
    good=ex.clean,
    bad=lambda: ex.with_service_fields(faults.unmarked_end(ex.clean()), "th-1", power_class="GPON B+"),
)
def budget_known(context: Context, limit: float) -> Iterator[Found]:
    """Services that reach the exchange over something whose loss nobody knows, or whose class is unknown."""
    for budget in context.budgets:
        named = context.plant.table("services")[budget.service].power_class
        if (named or budget.power_class) and _reaches(context, budget) and budget.margin_max_db is None:
            yield Found((budget.service,), f"{_name(context, budget)}: {budget.why or 'its loss is not known'}")


@rule(
    "budget.max",
    "error",
    title="No service loses more than its class allows",
    reason="Too little light and the link does not come up.",
    basis="loss window of the power class",
    limit=0,
    unit="dB margin",
    worse="less",
    good=lambda: ex.with_service_fields(ex.padded(ex.clean(), 14.0), "th-1", power_class="GPON B+"),
    bad=lambda: ex.with_service_fields(ex.padded(ex.clean(), 28.0), "th-1", power_class="GPON B+"),
)
def budget_max(context: Context, limit: float) -> Iterator[Found]:
    """Services over the most loss of their class."""
    for budget in context.budgets:
        worst = _worst(budget.margin_max_db)
        if worst is not None and budget.power_class and worst[1] < limit - 1e-9:
            loss = budget.power_class.loss_max_db - worst[1]
            yield Found(
                (budget.service,),
                f"{_name(context, budget)} loses {loss:.2f} dB at {worst[0]} nm, {budget.power_class.name} allows "
                f"{budget.power_class.loss_max_db:g} dB",
                worst[1],
                limit,
            )


@rule(
    "budget.min",
    "error",
    title="No service loses less than its class needs",
    reason="Too much light overloads the receiver.",
    basis="loss window of the power class",
    limit=0,
    unit="dB margin",
    worse="less",
    good=lambda: ex.with_service_fields(ex.padded(ex.clean(), 14.0), "th-1", power_class="GPON B+"),
    bad=lambda: ex.with_service_fields(ex.clean(), "th-1", power_class="GPON B+"),
)
def budget_min(context: Context, limit: float) -> Iterator[Found]:
    """Services under the least loss of their class."""
    for budget in context.budgets:
        worst = _worst(budget.margin_min_db)
        if worst is not None and budget.power_class and worst[1] < limit - 1e-9:
            loss = budget.power_class.loss_min_db + worst[1]
            yield Found(
                (budget.service,),
                f"{_name(context, budget)} loses only {loss:.2f} dB at {worst[0]} nm, {budget.power_class.name} needs "
                f"{budget.power_class.loss_min_db:g} dB",
                worst[1],
                limit,
            )


@rule(
    "budget.margin",
    "warning",
    title="Every service keeps a margin",
    reason="Ageing, dirt and the two joints of a repair use it up.",
    basis=PRACTICE,
    limit=3,
    unit="dB",
    worse="less",
    good=lambda: ex.with_service_fields(ex.padded(ex.clean(), 14.0), "th-1", power_class="GPON B+"),
    bad=lambda: ex.with_service_fields(ex.padded(ex.clean(), 24.5), "th-1", power_class="GPON B+"),
)
def budget_margin(context: Context, limit: float) -> Iterator[Found]:
    """Services inside their class with less margin than wanted."""
    for budget in context.budgets:
        worst = _worst(budget.margin_max_db)
        if worst is not None and budget.power_class and -1e-9 <= worst[1] < limit - 1e-9:
            yield Found(
                (budget.service,),
                f"{_name(context, budget)} keeps {worst[1]:.2f} dB at {worst[0]} nm within "
                f"{budget.power_class.name}, at least {limit:g} dB",
                worst[1],
                limit,
            )


RULES = (service_path, budget_known, budget_max, budget_min, budget_margin)
