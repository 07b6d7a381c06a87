"""The two sample jobs: Thistlemere, a tap of four fibres, and Larkmoor, a tube cut for ten drops; invented names."""

from __future__ import annotations

from typing import Final

from model.entities import JobInfo, Revision
from model.templates.midspan import Drop, MidSpan

THISTLEMERE: Final = MidSpan(
    job=JobInfo(
        owner="Sallow Fen Fibre Society",
        project="Thistlemere Hall connection",
        work_order="WO 2207",
        drawing_no="SF-WB07",
        status="for construction",
        drawn="A. Quarrie",
        checked="J. Ostrow",
        approved="M. Venn",
        issued="2026-03-02",
        emergency_call="0100 555 0142",
        revisions=(Revision("A", "2026-03-02", "Box set, TM-B1 passed through, D-1 planned", "AQ", "JO", "MV"),),
    ),
    exchange="Quill Lane",
    node="WB-07",
    place="Thistlemere Hall, north gable",
    far="Ferry Head",
    cable="TM-B1",
    cable_type="lt-48",
    enclosure_type="wall-box-small",
    tray_type="tray-24",
    trays=1,
    work_tray=1,
    tube=2,
    joined=(13, 14, 15, 16),
    whole_tube=False,
    mark_in_m=2148.0,
    mark_out_m=2149.6,
    far_mark_m=3665.2,
    drops=(Drop("D-1", "rd-4", "4", 65.0, "Thistlemere Hall", "TH"),),
    strip_mm=1270.0,
    tubes_mm=700.0,
    live=(1, 2, 25, 40),
)
"""A 48-fibre feeder past a small wall box, four fibres of tube 2 to one four-fibre drop."""

LARKMOOR: Final = MidSpan(
    job=JobInfo(
        owner="Hollin Vale Fibre Co-operative",
        project="Larkmoor Row drops",
        work_order="WO 5172",
        drawing_no="HV-WB12",
        status="for construction",
        drawn="I. Farrow",
        checked="M. Oduya",
        approved="R. Lindqvist",
        issued="2026-03-14",
        emergency_call="0100 555 0177",
        revisions=(
            Revision("A", "2025-09-02", "Box set, LM-A1 passed through", "IF", "MO", "RL"),
            Revision("B", "2026-03-14", "Tube 3 cut, D-01 to D-10 added", "IF", "MO", "RL"),
        ),
    ),
    exchange="Penny Cross",
    node="WB-12",
    place="Larkmoor Row, east gable",
    far="Otter Bridge",
    cable="LM-A1",
    cable_type="lt-72",
    enclosure_type="wall-box-large",
    tray_type="tray-24-large",
    trays=3,
    work_tray=2,
    tube=3,
    joined=tuple(range(25, 35)),
    whole_tube=True,
    mark_in_m=1864.20,
    mark_out_m=1866.43,
    far_mark_m=3120.5,
    drops=tuple(
        Drop(f"D-{n:02d}", "rd-1", entry, length, customer, f"S-{4100 + n}")
        for n, (entry, length, customer) in enumerate(
            (
                ("4", 31.0, "1 Larkmoor Row"),
                ("4", 36.0, "3 Larkmoor Row"),
                ("4", 48.0, "5 Larkmoor Row"),
                ("5", 55.0, "7 Larkmoor Row"),
                ("5", 62.0, "9 Larkmoor Row"),
                ("5", 70.0, "11 Larkmoor Row"),
                ("6", 94.0, "The Forge"),
                ("6", 118.0, "Mill Cottage"),
                ("7", 140.0, "Larkmoor School"),
                ("7", 152.0, "Larkmoor Chapel"),
            ),
            start=1,
        )
    ),
    strip_mm=1580.0,
    transport_od_mm=8.0,
    live=(1, 14, 40, 52, 66),
)
"""A 72-fibre feeder past a large wall box, tube 3 cut, ten single-fibre drops in one transport tube."""
