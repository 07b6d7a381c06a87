"""Running the rules: every rule on every site, profile and acceptances applied, findings sorted.

A rule that breaks down is itself a finding, ``rule.failed``, and the others go on: no plant stops a check.
An accepted finding stays and is marked; a value worse than the accepted one brings it back.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from model.graph import Continuity
from model.ids import SiteId
from model.parts import Profile
from model.plant import Plant
from model.rules import (
    accounting,
    bends,
    cutting,
    entries,
    feeds,
    joints,
    light,
    names,
    openings,
    records,
    reentry,
    routes,
    splices,
    splitters,
    stored,
    tails,
    trays,
    undrawn,
)
from model.rules.context import Context, Facts
from model.rules.profiles import InForce, profile_of
from model.rules.registry import Finding, Rule

RULES: Final[tuple[Rule, ...]] = tuple(
    sorted(
        (
            *accounting.RULES,
            *bends.RULES,
            *cutting.RULES,
            *entries.RULES,
            *feeds.RULES,
            *joints.RULES,
            *light.RULES,
            *names.RULES,
            *openings.RULES,
            *records.RULES,
            *reentry.RULES,
            *routes.RULES,
            *splices.RULES,
            *splitters.RULES,
            *stored.RULES,
            *tails.RULES,
            *trays.RULES,
            *undrawn.RULES,
        ),
        key=lambda rule: rule.name,
    )
)
"""Every rule, by name."""

FAILED: Final = "rule.failed"
"""Name of the finding that a rule itself broke down."""


def check(
    plant: Plant,
    site: SiteId | None = None,
    profile: Profile | None = None,
    continuity: Continuity | None = None,
    rules: Iterable[Rule] = RULES,
) -> tuple[Finding, ...]:
    """Findings of a plant, or of one site, gravest first. ``profile`` defaults to the one the job names.

    ``continuity`` may be given where it is at hand; it must be in step with the plant. Raises PlantError for a profile
    that names no rule, and for nothing else.
    """
    facts = Facts(plant, continuity)
    sites = [known.id for known in plant.sites.values()] if site is None else [site]
    return check_sites(facts, sites, profile, rules)


def check_sites(
    facts: Facts, sites: Iterable[SiteId], profile: Profile | None = None, rules: Iterable[Rule] = RULES
) -> tuple[Finding, ...]:
    """Findings of some sites; together with the kept findings of all others they are those of the whole plant."""
    rules = tuple(rules)
    force = InForce(profile if profile is not None else profile_of(facts.plant), rules)
    found: list[Finding] = []
    for site in sites:
        if site in facts.plant.sites:
            context = Context(facts, site)
            for rule in rules:
                if force.uses(rule):
                    found += _judge(rule, context, force)
    return tuple(sorted(accepted(facts.plant, found, rules)))


def _judge(rule: Rule, context: Context, force: InForce) -> list[Finding]:
    severity = force.severity(rule)
    try:
        return [rule.finding(found, severity, context.site) for found in rule.check(context, force.limit(rule))]
    except Exception as fault:
        # Whatever a rule trips over, the others must still speak; the sentence says which one could not.
        message = f"the rule {rule.name} could not judge {context.name}: {type(fault).__name__}: {fault}"
        return [Finding(FAILED, "note", (rule.name,), message, None, None, "", "", False, context.site)]


def accepted(plant: Plant, findings: Iterable[Finding], rules: Iterable[Rule] = RULES) -> list[Finding]:
    """The findings, those marked that somebody accepted at this value or a worse one."""
    taken: dict[tuple[str, tuple[str, ...]], list[float | None]] = {}
    for acceptance in plant.acceptances.values():
        taken.setdefault((acceptance.rule, tuple(sorted(acceptance.refs))), []).append(acceptance.measured)
    if not taken:
        return list(findings)
    by_name = {rule.name: rule for rule in rules}
    marked = []
    for finding in findings:
        values = taken.get((finding.rule, tuple(sorted(finding.refs))))
        if values is None:
            marked.append(finding)
            continue
        rule = by_name.get(finding.rule)
        measured = finding.measured
        good = any(
            value is None or measured is None or rule is None or not rule.is_worse(measured, value) for value in values
        )
        if good:
            marked.append(replace(finding, accepted=True))
        else:
            shown = ", ".join(f"{value:g}" for value in values if value is not None)
            marked.append(replace(finding, message=f"{finding.message} (accepted at {shown}, worse now)"))
    return marked


def reference(profile: Profile | None = None) -> list[tuple[str, str, str, str, str, str]]:
    """Rows for the rule reference: name, severity, title, reason, limit, basis; by name, as a profile sets them."""
    force = InForce(profile or Profile("default", "Default limits"), RULES)
    rows: list[tuple[str, str, str, str, str, str]] = []
    for rule in RULES:
        own = "the part's own value" if rule.limit is None and rule.profile_unit else ""
        limit = force.limit(rule)
        shown = own if own and not limit else (f"{limit:g} {rule.profile_unit}".strip() if rule.profile_unit else "")
        severity = force.severity(rule) if force.uses(rule) else "off"
        rows.append((rule.name, severity, rule.title, rule.reason, shown, rule.basis))
    return rows
