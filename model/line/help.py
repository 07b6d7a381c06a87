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
    ("part TM-B1:13-16", "take joints apart; the ends become stubs"),
    ("put TM-B1:17-24 on tray 1", "store uncut fibres or stubs"),
    ("put tray 1 1-4 on tray 1 from 13", "move joints to other slots"),
    ("trace D-1:3", "light the path both ways"),
    ("who TM-B1:T1", "list the services that run on it"),
    ("go tray 1", "go to a tray, a site or a finding"),
    ("TH-3", "no verb: find a name or a printed mark, and go there"),
)
"""(what to say, what it does), told of the small mid-span sample. Steps are joined with ``;``."""

PIECES: Final[tuple[tuple[str, str], ...]] = (
    ("13   13-16   16-13", "a fibre, a range, a range backwards"),
    ("T2   T1-T3   T2.3-5", "a tube, tubes, positions in a tube"),
    ("R1-R4   all", "ribbons, everything"),
    ("D-01..D-12:1", "fibre 1 of every cable from D-01 to D-12"),
    ("<   >", "exchange side, field side"),
    ("tray 1 13-16   WB-07/1/13", "slots of a tray here, or at a named site"),
    ("on   from   every   skip   both   singly   at   outage", "the tails of a line"),
)
"""(how a piece is written, what it means)."""
