"""What the Line understands, on one screen: an example of each form and what it does.

The window shows this table and a test reads every example, so it cannot promise what the grammar does not keep.
"""

from __future__ import annotations

from typing import Final

EXAMPLES: Final[tuple[tuple[str, str], ...]] = (
    ("open TM-B1:T2", "open the tube here, cut nothing"),
    ("keep TM-B1:T1,T3,T4", "these pass uncut; refused while one of their fibres is cut here"),
    ("cut TM-B1:17-18", "cut the fibres; the field side becomes stubs"),
    ("cut TM-B1:T4 both", "cut the whole tube and store both sides as spare"),
    ("join TM-B1:17-20 to D-1:1-4 on tray 1 from 5", "joints, cutting first where needed, in free slots from 5"),
    ("join TM-B1:20-17 to D-1:1-4 on tray 1", "the same in reverse order"),
    ("join TM-B1:17-23 every 2 to D-1:1-4 on tray 1", "every second fibre"),
    (
        "join TM-B1:17-18 to D-1:1-2 on tray 1; next",
        "the same with the next block: 19-20 to 3-4; next 12, next on tray 2",
    ),
    ("part TM-B1:13-16", "take joints apart; the ends become stubs"),
    ("put TM-B1:17-24 on tray 1", "store uncut fibres or stubs"),
    ("put tray 1 1-4 on tray 1 from 13", "move joints to other slots"),
    ("swap tray 1 1 and tray 1 2", "let joints change places; two whole trays with swap tray 1 and tray 2"),
    (
        "put TM-B1:17-24 on bay turns 4 long 1131 mm",
        "with the turns and the length where it was measured",
    ),
    ("add splitter SP-2 2x4 on tray 1", "a splitter or tap-10-90, its legs parked until something is on them"),
    ("add panel DP with 12 ports", 'empty ports; equipment class "GPON B+" for those of the exchange'),
    ("patch SP-1:out1-4 to port DP/1-4", "legs and cords go in front; fibres of a cable behind, by pigtails"),
    ("patch port DP/5-6 to port DP/11-12 long 2.5 m", "patch cords from front to front"),
    ("park SP-1:out3-4", "cap idle legs; part SP-1:out1 or part port DP/1 takes plugs out"),
    ("remove SP-1", "take out what nothing leans on; remove panel DP, remove tray 3"),
    ("set tray 1 reserve 4", "slots a tray keeps free; set tray 1 sleeves 60 for the length of its sleeves"),
    ("draft TM-B1:T2 on tray 1", "draw an opened tube to its tray; draft all draws what is missing or not true"),
    (
        "done tray 1 1-4 by AB on 2026-03-01",
        "the joints are made; undone plans them again; seen, unseen: looked at or not",
    ),
    (
        "measure tray 1 1-2 1550 0.04/0.06 0.05/0.07",
        "A to B / B to A; or one way: B-A 0.05 0.06; sealed: after closing",
    ),
    (
        "again TM-B1:13 0.01 by AB on 2026-03-02",
        "broken and made again, the try kept; estimate TM-B1:13 0.02: the splicer's own",
    ),
    ("plan drops D-1 from TM-B1", "which tubes to open; keep 2, ports 1-24, skip T1, take 2 for the second way"),
    ("plan trays by tube", "which slot for each joint, fewest crossings; by service, side, crossings; keep 20 %"),
    ("plan stubs", "what to do with loose glass"),
    ('add site "Mill House" premises', "a place: exchange, cabinet, enclosure, slack or premises"),
    (
        'add cable F-2 lt-12 from WB-07 at 0 to "Ferry Head" at 140',
        "a cable with its marks; through SITE where it passes, add panel F-2 plugs its end",
    ),
    ('add drop D-2 rd-4 to "Mill House" 65 m at 4', "a drop from here, in entry 4, plugged at the far end"),
    ("add tray tray-24", "a tray here; add box TYPE at SITE first where there is none"),
    ("mark TM-B1 2148/2149.7", "the printed marks on both sides of the opening here"),
    ("mark TM-B1 jump 9999/0 beyond WB-07", "the print starts anew, or another jacket begins; jump none: it runs on"),
    ("name WB-07 as WB-70", "name a cable, site, service or tray; name project, owner or drawing as ..."),
    ("enter D-1 in 5", "put a cable into an entry of the box; 1A/1B where it passes"),
    ("unplug 5", "take a plug out of an entry; plug 5, plug all put them in"),
    ('serve "Ferry Head" port 3 as FH-3 for "Ferry Inn"', "plan a service at a port"),
    ("trace D-1:3", "light the path both ways"),
    ("who TM-B1:T1", "list the services that run on it"),
    ("go tray 1", "go to a tray, a site or a finding"),
    ("down TH-3", "the fault ticket: who is down; up ... who is up, clear ... who is not known"),
    ("read TM-B1:15< 1375", "an OTDR reading for the ticket, as the instrument shows it"),
    ("TH-3", "no verb: find a name or a printed mark, and go there"),
)
"""(what to say, what it does), told of the small mid-span sample with a splitter SP-1 and a panel DP added. Steps are
joined with ``;``."""

PIECES: Final[tuple[tuple[str, str], ...]] = (
    ("13   13-16   16-13", "a fibre, a range, a range backwards"),
    ("T2   T1-T3   T2.3-5", "a tube, tubes, positions in a tube"),
    ("R1-R4   all", "ribbons, everything"),
    ("D-01..D-12:1", "fibre 1 of every cable from D-01 to D-12"),
    ("<   >", "exchange side, field side"),
    ("tray 1 13-16   WB-07/1/13", "slots of a tray here, or at a named site"),
    ("SP-1:in1   SP-1:out1-8", "legs of a splitter"),
    ("port DP/1-12   WB-07/port/DP/1", "ports of a panel here, or at a named site"),
    ("on   from   every   skip   both   singly   turns   long   at   outage", "the tails of a line"),
)
"""(how a piece is written, what it means)."""

TOPICS: Final[tuple[tuple[str, frozenset[str]], ...]] = (
    ("Open, cut, join", frozenset({"open", "keep", "cut", "join", "part"})),
    ("Trays and courses", frozenset({"put", "swap", "set", "draft"})),
    ("Splitters, panels, cords", frozenset({"add splitter", "add panel", "patch", "park", "remove"})),
    ("Records of joints", frozenset({"done", "measure", "again"})),
    ("Ask the planner", frozenset({"plan"})),
    ("Places, cables, names", frozenset({"add", "mark", "name", "enter", "unplug", "serve"})),
    ("Ask and go", frozenset({"trace", "who", "go", "down", "read", ""})),
)
"""Headings of the screen in their order, with the verbs below each; the empty verb is a find."""


def by_topic() -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """(heading, its examples) in the order of ``TOPICS``; an example goes by its first two words, else its first."""
    topic_of = {verb: title for title, verbs in TOPICS for verb in verbs}
    found: dict[str, list[tuple[str, str]]] = {title: [] for title, _ in TOPICS}
    for say, means in EXAMPLES:
        words = say.split()
        title = topic_of.get(" ".join(words[:2])) or topic_of.get(words[0]) or topic_of[""]
        found[title].append((say, means))
    return tuple((title, tuple(rows)) for title, rows in found.items())
