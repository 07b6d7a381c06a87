"""Power classes against their own arithmetic and the published windows.

Windows and powers: IEEE 802.3 slides, a power meter manual giving G.9807.1 thresholds, G.984.2 Amendment 1; those
from memory are tagged so in the table itself.
"""

from __future__ import annotations

import pytest

from model.errors import PlantError
from model.optics.classes import Link, PowerClass, power_class, power_classes

ROWS = [
    pytest.param(entry, link, id=f"{entry.name} {way}")
    for entry in power_classes()
    for way, link in (("down", entry.down), ("up", entry.up))
    if link is not None and link.tx_min_dbm is not None
]


@pytest.mark.parametrize(("entry", "link"), ROWS)
def test_the_weakest_light_through_the_most_loss_is_still_seen(entry: PowerClass, link: Link) -> None:
    # Tx_min - L_max - penalty >= sensitivity
    weakest = link.weakest_dbm(entry.loss_max_db)
    assert weakest is not None
    assert weakest >= link.sensitivity_dbm - 1e-9


@pytest.mark.parametrize(("entry", "link"), ROWS)
def test_the_strongest_light_through_the_least_loss_does_not_overload(entry: PowerClass, link: Link) -> None:
    # Tx_max - L_min <= overload
    strongest = link.strongest_dbm(entry.loss_min_db)
    assert strongest is not None
    assert strongest <= link.overload_dbm + 1e-9


@pytest.mark.parametrize("name", ["GPON B+", "GPON C+", "XGS-PON N1", "XGS-PON N2", "XGS-PON E1"])
def test_with_the_penalty_known_the_weakest_light_meets_the_sensitivity_exactly(name: str) -> None:
    entry = power_class(name)
    for link in (entry.down, entry.up):
        assert link is not None
        assert link.weakest_dbm(entry.loss_max_db) == pytest.approx(link.sensitivity_dbm)


def test_n2_sits_at_both_limits() -> None:
    # Tx 4..7 dBm, loss 31 and 16 dB: -28 with 1 dB of penalty, and -9 dBm.
    n2 = power_class("N2")
    assert n2.down is not None
    assert (n2.down.weakest_dbm(31), n2.down.strongest_dbm(16)) == (-28, -9)


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("GPON A", 5, 20),
        ("GPON B", 10, 25),
        ("GPON C", 15, 30),
        ("GPON B+", 13, 28),
        ("GPON C+", 17, 32),
        ("XGS-PON N1", 14, 29),
        ("XGS-PON N2", 16, 31),
        ("XGS-PON E1", 18, 33),
        ("XGS-PON E2", 20, 35),
        ("EPON PX10", 5, 20),
        ("EPON PX20", 10, 24),
        ("EPON PX30", 15, 29),
        ("10G-EPON PRX30", 15, 29),
        ("10G-EPON PR20", 10, 24),
    ],
)
def test_the_window_of_a_class(name: str, least: float, most: float) -> None:
    entry = power_class(name)
    assert (entry.loss_min_db, entry.loss_max_db) == (least, most)


def test_standard_thresholds_of_xgs_are_not_the_lower_ones_a_note_prints() -> None:
    # A note of 2026 prints -29 and -30 dBm for N1 and N2; the thresholds read in the meter's manual are these.
    n1, n2 = power_class("N1"), power_class("N2")
    assert n1.up is not None
    assert n2.up is not None
    assert (n1.up.sensitivity_dbm, n2.up.sensitivity_dbm) == (-26, -28)


def test_the_customer_of_px20_does_not_launch_what_the_exchange_does() -> None:
    # An open table gives the customer the exchange's +2..+7 dBm.
    px20 = power_class("PX20")
    assert px20.up is not None
    assert (px20.up.tx_min_dbm, px20.up.tx_max_dbm) == (-1, 4)


def test_a_class_is_found_by_its_short_name_in_any_letter_case() -> None:
    assert power_class(" b+ ") is power_class("GPON B+")
    assert power_class("gpon  c+").name == "GPON C+"


def test_short_names_are_one_class_each() -> None:
    shorts = [entry.short.casefold() for entry in power_classes()]
    assert len(set(shorts)) == len(shorts)


def test_a_name_that_is_none_is_answered_with_the_nearest() -> None:
    with pytest.raises(PlantError, match="GPON B") as caught:
        power_class("GPON B++")
    assert "there is no power class 'GPON B++'" in str(caught.value)


def test_a_name_like_no_other_is_answered_with_all() -> None:
    with pytest.raises(PlantError, match="XGS-PON N2"):
        power_class("@@@@")
