"""An owner's profile in force: which limit, which severity, and whether a rule is used at all.

A profile overrides rules by name and is strict about them: a name that is no rule, a limit on a rule without one, or a
word that is no severity is refused with the nearest names. Reading a file is somebody else's business; text comes in.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any, Final, cast

from model.errors import PlantError
from model.parts import Profile
from model.plant import Plant
from model.rules.registry import ORDER, Rule, Severity

DEFAULT: Final = Profile("default", "Default limits")
_KEYS: Final = ("id", "title", "limits", "severities", "off")
_LONGEST: Final = 200_000


class InForce:
    """A profile ready for use: look-ups by rule."""

    def __init__(self, profile: Profile, rules: Iterable[Rule]) -> None:
        """Raises PlantError when the profile names what is no rule."""
        check_profile(profile, rules)
        self.profile = profile
        self._limits = dict(profile.limits)
        self._severities: dict[str, Severity] = dict(profile.severities)
        self._off = frozenset(profile.off)

    def uses(self, rule: Rule) -> bool:
        """True unless the profile switches the rule off."""
        return rule.name not in self._off

    def limit(self, rule: Rule) -> float:
        """The limit in force; 0 where the rule has none of its own and the profile gives none."""
        return self._limits.get(rule.name, 0.0 if rule.limit is None else rule.limit)

    def severity(self, rule: Rule) -> Severity:
        """The severity in force."""
        return self._severities.get(rule.name, rule.severity)


def profile_of(plant: Plant) -> Profile:
    """The profile the plant's job names; the default one where the plant does not carry it."""
    return plant.profiles.get(plant.job.profile, DEFAULT)


def check_profile(profile: Profile, rules: Iterable[Rule], where: str = "") -> None:
    """Raise PlantError unless every name in the profile is a rule and every value one the rule can take."""
    where = where or f"profile {profile.id}"
    by_name = {rule.name: rule for rule in rules}
    for key, names in (
        ("limits", [name for name, _ in profile.limits]),
        ("severities", [name for name, _ in profile.severities]),
        ("off", list(profile.off)),
    ):
        for name in names:
            if name not in by_name:
                raise PlantError(f"{key}: there is no rule {name[:60]!r}", where=where, hint=_nearest(name, by_name))
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise PlantError(f"{key}: {twice[0]} is named twice", where=where, hint="Keep one")
    for name, limit in profile.limits:
        if not by_name[name].profile_unit:
            raise PlantError(f"limits: {name} has no limit", where=where, hint="Set its severity, or switch it off")
        if not (isfinite(limit) and limit >= 0):
            raise PlantError(f"limits: {name} = {limit}", where=where, hint="Give a number of 0 or more")
    for name, severity in profile.severities:
        if severity not in ORDER:
            raise PlantError(
                f"severities: {name} = {str(severity)[:40]!r}", where=where, hint="Write error, warning or note"
            )


def load_profile(text: str, where: str, rules: Iterable[Rule]) -> Profile:
    """A profile from TOML: ``id``, ``title``, tables ``limits`` and ``severities`` by quoted rule name, list ``off``.

    ``where`` names the file in messages. Raises PlantError for anything that is not exactly this.
    """
    rules = tuple(rules)
    if len(text) > _LONGEST:
        raise PlantError(f"a profile of {len(text)} characters", where=where, hint=f"{_LONGEST} is the most")
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise PlantError(f"not TOML: {error}", where=where, hint="Mend that line") from None
    for key in raw:
        if key not in _KEYS:
            raise PlantError(f"unknown key {key[:60]!r}", where=where, hint=_nearest(key, _KEYS))
    limits = [(name, _number(name, value, where)) for name, value in _pairs(raw, "limits", where)]
    severities = [(name, _word(name, value, where)) for name, value in _pairs(raw, "severities", where)]
    off = raw.get("off", [])
    if not isinstance(off, list) or not all(isinstance(name, str) for name in off):
        raise PlantError("off must be a list of rule names", where=where, hint='Write off = ["tray.reserve"]')
    profile = Profile(
        _word("id", raw.get("id", ""), where),
        _word("title", raw.get("title", ""), where),
        tuple(limits),
        tuple((name, cast(Severity, word)) for name, word in severities),
        tuple(off),
    )
    if not profile.id or not profile.title:
        raise PlantError("a profile needs an id and a title", where=where, hint='Write id = "..." and title = "..."')
    check_profile(profile, rules, where)
    return profile


def _pairs(raw: Mapping[str, Any], key: str, where: str) -> list[tuple[str, Any]]:
    table = raw.get(key, {})
    if not isinstance(table, dict):
        raise PlantError(f"{key} must be a table", where=where, hint=f"Write [{key}] and its rules below")
    return list(_flat(table))


def _flat(table: Mapping[str, Any], head: str = "") -> Iterable[tuple[str, Any]]:
    # TOML reads a bare bend.tube = 38 as a table in a table; a person means the rule bend.tube.
    for key, value in table.items():
        if isinstance(value, dict) and not head:
            yield from _flat(value, f"{key}.")
        else:
            yield f"{head}{key}", value


def _number(name: str, value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise PlantError(f"limits: {name[:60]} = {str(value)[:40]!r}", where=where, hint="Give a plain number")
    return float(value)


def _word(name: str, value: Any, where: str) -> str:
    if not isinstance(value, str):
        raise PlantError(f"{name[:60]} must be text in quotes", where=where, hint="Put it in quotes")
    return value


def _nearest(name: str, known: Iterable[str]) -> str:
    known = sorted(known)
    close = difflib.get_close_matches(name[:80], known, n=3, cutoff=0.4)
    return "Nearest: " + ", ".join(close) if close else "Known are " + ", ".join(known[:12])
