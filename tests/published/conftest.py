"""The fixture through which every check against the outside goes."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from published.ledger import AREAS, PROPERTY, STATUSES, row

Outside = Callable[..., None]
"""`outside(measure, reference, ours, tolerance, source, status, unit="")`."""


@pytest.fixture
def outside(request: pytest.FixtureRequest, record_property: Callable) -> Outside:
    """Asserts that ours is the outside's figure within a tolerance, and records it as a row.

    measure: what is compared, in words; no two rows of the ledger may share it.
    reference, ours: numbers, or two texts that must be the same.
    tolerance: largest accepted difference, in the unit of both; 0 for equal values and texts.
    source, status: where the reference is from; one of `STATUSES`.
    """
    test = request.node.nodeid.split("[")[0]

    def check(
        measure: str,
        reference: float | str,
        ours: float | str,
        tolerance: float,
        source: str,
        status: str,
        unit: str = "",
    ) -> None:
        assert status in STATUSES, f"{status} is no status of a source"
        assert source.strip(), f"{measure} names no source"
        if isinstance(reference, str):
            assert ours == reference, measure
        else:
            assert ours == pytest.approx(reference, rel=0, abs=tolerance), measure
        cells = {"measure": measure, "reference": reference, "ours": ours, "unit": unit}
        cells |= {"tolerance": tolerance, "source": source, "status": status}
        assert request.module.AREA in AREAS
        record_property(PROPERTY, row(request.module.AREA, test, **cells))

    return check
