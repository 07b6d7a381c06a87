"""Every rule against its own two examples, and what a rule must say about itself."""

from __future__ import annotations

import re

import pytest

from model.changes import apply
from model.history import propose
from model.rules import examples
from model.rules.registry import ORDER, Rule
from model.rules.run import RULES, check, reference

EVERY = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)


def test_no_rule_has_a_word_about_the_clean_plant() -> None:
    assert check(examples.clean()) == ()


@EVERY
def test_the_good_example_is_clean(rule: Rule) -> None:
    assert check(rule.good()) == ()


@EVERY
def test_only_this_rule_speaks_about_its_bad_example(rule: Rule) -> None:
    findings = check(rule.bad())
    assert {finding.rule for finding in findings} == {rule.name}
    assert all(finding.severity == rule.severity and finding.refs for finding in findings)


@EVERY
def test_a_rule_says_what_why_and_on_whose_word(rule: Rule) -> None:
    assert re.fullmatch(r"[a-z]+\.[a-z_]+", rule.name)
    assert rule.severity in ORDER
    assert rule.reason.endswith(".")
    assert rule.reason.count(". ") == 0
    assert rule.basis
    assert rule.title[0].isupper()


@EVERY
def test_a_measured_value_is_on_the_wrong_side_of_its_limit(rule: Rule) -> None:
    for finding in check(rule.bad()):
        if finding.measured is None or finding.limit is None:
            assert finding.measured is None
            continue
        if rule.name == "tray.sleeve_length":  # any difference is wrong, either way
            assert finding.measured != finding.limit
        elif rule.worse == "more":
            assert finding.measured > finding.limit
        else:
            assert finding.measured < finding.limit


@EVERY
def test_every_proposed_cure_cures(rule: Rule) -> None:
    plant = rule.bad()
    for finding in check(plant):
        for cure in finding.cures:
            mended = plant.copy()
            apply(mended, propose(mended, *cure))
            left = [(f.rule, f.refs) for f in check(mended)]
            assert (finding.rule, finding.refs) not in left
            assert not any(name == "route.drawn" for name, _ in left)


def test_names_are_unique_and_the_reference_lists_each_once() -> None:
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    assert [row[0] for row in reference()] == names == sorted(names)
    by_name = {row[0]: row for row in reference()}
    assert by_name["tray.reserve"][4] == "90 %"
    assert by_name["bend.tube"][4] == "the part's own value"
