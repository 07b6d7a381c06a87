"""From a parsed line to what it does: edits as one undo step, or an answer. Nothing is written into the plant here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from model.errors import PlantError
from model.line.adding import add
from model.line.asking import find, go, trace, who
from model.line.context import Bench, Made
from model.line.devices import remove
from model.line.drawing import draft
from model.line.faults import LineError
from model.line.housing import enter, plug
from model.line.joints import join
from model.line.moving import part, put
from model.line.naming import mark, rename, serve
from model.line.onward import carry_on
from model.line.opening import SetOutage, cut, open_or_keep
from model.line.patching import park, patch
from model.line.proposing import plan
from model.line.records import again, done, estimate, measure, seen, undone
from model.line.resolve import MOST_JOINTS
from model.line.setting import settle
from model.line.swapping import swap
from model.line.syntax import Ask, Build, Find, Line, Step
from model.line.ticketing import hear, read

BUILD_STEPS: Final[Mapping[str, Callable[[Bench, Build], Made]]] = MappingProxyType(
    {
        "add": add,
        "name": rename,
        "mark": mark,
        "enter": enter,
        "plug": plug,
        "unplug": plug,
        "remove": remove,
        "serve": serve,
    }
)
"""What makes each step that makes or names something."""

STEPS: Final[Mapping[str, Callable[[Bench, Step], Made]]] = MappingProxyType(
    {
        "open": open_or_keep,
        "keep": open_or_keep,
        "cut": cut,
        "join": join,
        "next": carry_on,
        "part": part,
        "put": put,
        "swap": swap,
        "set": settle,
        "patch": patch,
        "park": park,
        "draft": draft,
        "done": done,
        "undone": undone,
        "measure": measure,
        "estimate": estimate,
        "again": again,
        "seen": seen,
        "unseen": seen,
        "trace": trace,
        "who": who,
        "go": go,
        "down": hear,
        "up": hear,
        "clear": hear,
        "read": read,
    }
)
"""What makes each verb's step."""


def compile_line(bench: Bench, line: Line | Find) -> list[Made]:
    """What each step comes to, tried in order on the bench's draft. Raises LineError at the first that cannot be."""
    if isinstance(line, Find):
        return [find(bench, line.word)]
    steps: list[Made] = []
    joints = 0
    for step in line.steps:
        try:
            if isinstance(step, Ask):
                made = plan(bench, step)
            elif isinstance(step, Build):
                made = BUILD_STEPS[step.verb.text](bench, step)
            else:
                made = STEPS[step.verb.text](bench, step)
            for cable, stop in dict.fromkeys(made.outage_at) if step.outage else ():
                bench.do(made, SetOutage(cable, stop, step.outage.text if step.outage else ""))
        except LineError:
            raise
        except PlantError as fault:
            # An edit's own refusal: it names things, not columns, so the whole of what was said is at fault.
            raise LineError(fault.message, step.what_span, hint=fault.hint) from None
        joints += len(made.joints)
        bench.joined = made.joined or bench.joined
        if joints > MOST_JOINTS:
            raise LineError(f"the line makes {joints} joints", step.span, hint=f"At most {MOST_JOINTS} in one line")
        steps.append(made)
    return steps
