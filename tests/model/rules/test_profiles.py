"""Profiles: what they override, and how strictly they are read."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.errors import PlantError
from model.parts import Profile
from model.rules import examples
from model.rules.profiles import load_profile
from model.rules.run import RULES, check

TEXT = """
id = "hv"
title = "Hollin Vale limits"
off = ["entry.spare"]
[limits]
"bend.tube" = 45
tray.reserve = 10.0
[severities]
"tray.reserve" = "error"
"""


def test_a_profile_overrides_limits_and_severities() -> None:
    profile = load_profile(TEXT, "hv.toml", RULES)
    assert dict(profile.limits) == {"bend.tube": 45.0, "tray.reserve": 10.0}
    found = {f.rule: f for f in check(examples.clean(), profile=profile)}
    # The clean plant's tube turns at 40 mm; its tray has 3 of 24 slots taken, 12.5 %.
    assert set(found) == {"bend.tube", "tray.reserve"}
    assert found["bend.tube"].measured == pytest.approx(40.0)
    assert found["bend.tube"].limit == 45
    assert found["tray.reserve"].measured == pytest.approx(12.5)
    assert found["tray.reserve"].severity == "error"


def test_a_sheath_limit_is_given_in_diameters() -> None:
    # The coil is 600 mm across; 30 x 10.4 mm = 312 mm radius.
    profile = Profile("x", "X", limits=(("bend.coil", 30.0),))
    (found,) = check(examples.clean(), profile=profile)
    assert (found.measured, found.limit) == (300.0, 312.0)


def test_a_rule_switched_off_says_nothing() -> None:
    plant = next(rule for rule in RULES if rule.name == "tray.load").bad()
    assert check(plant, profile=Profile("x", "X", off=("tray.load",))) == ()


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ('id = "a"\ntitle = "A"\n[limits]\n"bend.tub" = 3', "Nearest: bend.tube"),
        ('id = "a"\ntitle = "A"\noff = ["nothing.here"]', "there is no rule"),
        ('id = "a"\ntitle = "A"\n[limits]\n"joint.uncut" = 3', "has no limit"),
        ('id = "a"\ntitle = "A"\n[limits]\n"bend.tube" = "wide"', "plain number"),
        ('id = "a"\ntitle = "A"\n[limits]\n"bend.tube" = true', "plain number"),
        ('id = "a"\ntitle = "A"\n[limits]\n"bend.tube" = nan', "0 or more"),
        ('id = "a"\ntitle = "A"\n[limits]\n"bend.tube" = -1', "0 or more"),
        ('id = "a"\ntitle = "A"\n[severities]\n"bend.tube" = "fatal"', "error, warning or note"),
        ('id = "a"\ntitle = "A"\n[severities]\n"bend.tube" = 3', "text in quotes"),
        ('id = "a"\ntitle = "A"\noff = "bend.tube"', "list of rule names"),
        ('id = "a"\ntitle = "A"\noff = ["bend.tube", "bend.tube"]', "twice"),
        ('id = "a"\ntitle = "A"\nlimit = 3', "Nearest: limits"),
        ('id = "a"\ntitle = "A"\nlimits = 3', "must be a table"),
        ('title = "A"', "needs an id"),
        ("id = ", "not TOML"),
    ],
)
def test_a_profile_that_says_something_else_is_refused(text: str, what: str) -> None:
    with pytest.raises(PlantError, match=what) as caught:
        load_profile(text, "mine.toml", RULES)
    assert caught.value.where == "mine.toml"


def test_the_profile_of_the_job_is_used() -> None:
    plant = examples.clean()
    strict = Profile("strict", "Strict", limits=(("bend.tube", 45.0),))
    named = examples.put(plant, strict, replace(plant.job, profile="strict"))
    assert [f.rule for f in check(named)] == ["bend.tube"]
