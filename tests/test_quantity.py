"""Values as a person reads them."""

from __future__ import annotations

import pytest

from taperback.common.quantities import QUANTITIES, show
from taperback.common.quantity import MINUS

NAN = float("nan")


@pytest.mark.parametrize(
    ("name", "value", "shown"),
    [
        ("volume_cut", 0.414, "41%"),
        ("volume_cut", -0.1, f"{MINUS}10%"),
        ("volume_cut", -0.001, "0%"),
        ("volume_cut", NAN, "unknown"),
        ("volume_h", 5.25, "5.2 h"),
        ("sleep_change_h", 0.4, "+0.4 h a night"),
        ("sleep_change_h", -0.4, f"{MINUS}0.4 h a night"),
        ("rest_days", 1.0, "1 day"),
        ("rest_days", 2.0, "2 days"),
        ("monotony", 1.234, "1.23"),
        ("removed_s", 90.0, "1.5 min"),
        ("repetition_level_kept", 0.987, "98.7%"),
    ],
)
def test_a_value_is_shown_with_its_unit(name: str, value: float, shown: str) -> None:
    assert show(name, value) == shown


def test_names_end_in_the_unit_of_the_stored_number() -> None:
    for name, quantity in QUANTITIES.items():
        assert quantity.name == name
        for ending, unit in (("_h", "h"), ("_km", "km"), ("_min", "min"), ("_pct", "%")):
            if name.endswith(ending):
                assert quantity.unit.split()[0] == unit, name
