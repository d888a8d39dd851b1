"""Everything that an import gave, as one text, so that two runs can be compared to the letter."""

from __future__ import annotations

import numpy as np
import pandas as pd

from taperback.importer.model import Imported


def as_text(imported: Imported) -> str:
    """All tables and notices; arrays with every digit."""
    tables = (imported.legs, imported.nights, imported.files, imported.copies)
    texts = [_plain(table).to_csv(sep="\t") for table in tables]
    types = [str(table.dtypes.to_dict()) for table in tables]
    return "\n\n".join([*texts, *types, *map(str, imported.notices)])


def _plain(table: pd.DataFrame) -> pd.DataFrame:
    return table.astype(object).map(
        lambda value: (value.dtype.str, value.tolist()) if isinstance(value, np.ndarray) else value
    )
