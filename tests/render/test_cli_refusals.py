"""The command line against bad files, references, words and options: one line for every fault, any name a word."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest

from model.templates import TEMPLATES
from tests.render.program import SMALL, Run

ONE, OTHER = sorted(TEMPLATES)[:2]
WORDS = (
    "<script>alert(1)</script>",
    "=1+1",
    "w" * 200,
    "\u202eevil \u05d0\u05d1",
    "塔 \U0001f3e0",
    "a/b@c<d>:1",
    "\x00",
)


def test_files_that_are_no_plant_get_one_line_each(run: Run, here: Path) -> None:
    whole = SMALL.read_bytes()
    files = {
        "empty": b"",
        "truncated": whole[: len(whole) // 2],
        "utf16": whole.decode().encode("utf-16"),
        "binary": bytes(range(256)) * 50,
        "deep": b"[" * 100_000,
        "newer": whole.replace(b'"version": 1', b'"version": 999'),
        "nan": whole.replace(b'"mark_out_m": 2149.6', b'"mark_out_m": NaN'),
        "dangling": whole.replace(b'"site": "wb-07"', b'"site": "gone"'),
        "twice": whole.replace(b'"id": "th-2"', b'"id": "th-1"'),
        "newline": whole.replace(b'"name": "WB-07"', b'"name": "WB\\n07"'),
        "long": whole.replace(b'"name": "WB-07"', b'"name": "' + b"x" * 201 + b'"'),
    }
    for name, content in files.items():
        assert content != whole, name
        (here / name).write_bytes(content)
    with (here / "sparse").open("wb") as sparse:
        sparse.truncate(1 << 30)
    os.mkfifo(here / "pipe")
    for name in [*files, "sparse", "pipe", ".", "missing", "x" * 5000]:
        for verb in (["check", name], ["trace", name, "D-1:3"], ["budget", name], ["draw", name, "all", "-o", "out"]):
            line = run.refused(*verb)
            assert name[:100] in line
            assert len(line) < 1000
    assert not (here / "out").exists()


@pytest.mark.parametrize(
    "ref",
    [
        *("", " ", "nonsense", "x" * 8000, "x" * 9000, "D-1:99", "D-1:1-99999999999", "D-1:\u0663", "service:"),
        *("<script>", "WB-07", "TM-B1", "WB-07/1", "WB-07/1/24", "D-1:3@Ferry Head"),
        *("\x1b[31mD-1\x1b[0m:3", "a\nb\nc", "\udcff"),
    ],
)
def test_a_reference_to_nothing_gets_one_line(run: Run, ref: str) -> None:
    line = run.refused("trace", SMALL, ref)
    assert line.isprintable()
    assert len(line) < 1000


@pytest.mark.parametrize(
    "arguments",
    [
        ("nosuchverb",),
        ("check",),
        ("check", SMALL, "more"),
        ("check", SMALL, "--nope"),
        ("check", SMALL, "--site", "nowhere"),
        ("check", SMALL, "--profile", "missing.toml"),
        ("check", SMALL, "--profile", "."),
        ("check", SMALL, "--profile", SMALL),
        ("budget", SMALL, "--service", "nope"),
        ("new", "nope", "-o", "new.gwp"),
        ("new", ONE, "-o", "new.svg"),
        ("new", ONE, "-o", "none/new.gwp"),
        ("draw", SMALL, "layout"),
        ("draw", SMALL, "nosheet", "-o", "x.svg"),
        ("draw", SMALL, "layout", "-o", "none/x.svg"),
        ("draw", SMALL, "layout", "-o", "."),
        ("draw", SMALL, "layout", "-o", "x.gwp"),
        ("draw", SMALL, "layout", "-o", "x" * 300 + ".svg"),
        ("draw", SMALL, "all", "-o", "-"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--page", "A0\x1b"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--printed-on", "<script>"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--printed-on", "2026-02-30"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--ref", "D-1:3"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--trace", "nonsense"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--site", "Quill Lane"),
        ("draw", SMALL, "tray", "-o", "x.svg", "--ref", "D-1:3"),
        ("draw", SMALL, "tray", "-o", "x.svg", "--site", "Quill Lane", "--ref", "WB-07/1"),
        ("draw", SMALL, "path", "-o", "x.svg", "--ref", "WB-07"),
        ("draw", SMALL, "path", "-o", "x.svg", "--site", "Quill Lane"),
    ],
)
def test_a_command_that_cannot_be_gets_one_line_and_writes_nothing(
    run: Run, here: Path, arguments: tuple[object, ...]
) -> None:
    assert run.refused(*arguments).isprintable()
    assert list(here.iterdir()) == []


def test_an_unknown_template_is_answered_with_those_there_are(run: Run) -> None:
    line = run.refused("new", "nope", "-o", "new.gwp")
    assert all(name in line for name in TEMPLATES)


def test_a_plant_is_replaced_only_when_that_is_said(run: Run, here: Path) -> None:
    run("new", ONE, "-o", "new.gwp")
    before = (here / "new.gwp").read_bytes()
    assert "--force" in run.refused("new", OTHER, "-o", "new.gwp")
    assert (here / "new.gwp").read_bytes() == before
    assert run("new", OTHER, "-o", "new.gwp", "--force").code == 0
    assert (here / "new.gwp").read_bytes() != before


@pytest.mark.parametrize("word", WORDS[:-1])
def test_any_name_goes_through_every_verb_and_stays_a_word(run: Run, here: Path, word: str) -> None:
    text = SMALL.read_text(encoding="utf-8")
    for name in ("WB-07", "TM-B1", "TH-3", "Quill Lane"):
        text = text.replace(f'"name": "{name}"', f'"name": {json.dumps((word + name)[-200:], ensure_ascii=False)}')
    (here / "p.gwp").write_text(text, encoding="utf-8")
    site, cable, service = ((word + name)[-200:] for name in ("WB-07", "TM-B1", "TH-3"))
    for verb in (
        ("check", "p.gwp", "--site", site),
        ("trace", "p.gwp", f"{cable}:17"),
        ("trace", "p.gwp", f'"{cable}":15@"{site}"<'),
        ("trace", "p.gwp", f"service:{service}"),
        ("budget", "p.gwp", "--service", service),
        ("draw", "p.gwp", "all", "--site", site, "-o", "out"),
    ):
        got = run(*verb)
        assert (got.code, got.err) == (0, ""), verb
        assert all(c not in got.out for c in "\x1b\u202e\u2028")
    line = run.refused("trace", "p.gwp", f"{cable}:15")
    assert (site if len(word) < 100 and word[0] != "\u202e" else "is cut at") in line


def test_of_several_enclosures_the_site_must_be_said_unless_the_reference_says_it(run: Run, here: Path) -> None:
    text = SMALL.read_text(encoding="utf-8")
    box = re.search(r'\{"id": "wb-07-box",[^\n]*?\}(?=,?\n)', text)
    assert box is not None
    second = box[0].replace('"wb-07-box"', '"second-box"').replace('"site": "wb-07"', '"site": "ferry-head"')
    (here / "two.gwp").write_text(text.replace(box[0], f"{box[0]},\n    {second}"), encoding="utf-8")
    line = run.refused("draw", "two.gwp", "layout", "-o", "x.svg")
    assert "--site" in line
    assert "Ferry Head, WB-07" in line
    assert run("draw", "two.gwp", "layout", "-o", "x.svg", "--site", "wb-07").code == 0
    assert run("draw", "two.gwp", "tray", "-o", "x.svg", "--ref", "WB-07/1").code == 0
    assert run("draw", "two.gwp", "path", "-o", "x.svg", "--ref", "D-1:3").code == 0
