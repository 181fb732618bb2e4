"""Who brought what to a report, in bytes: kept beside it, so that later ones give nobody away."""

from collections.abc import Mapping
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray

from advisory.reports.disclosure.ledger import Contributions


def packed(columns: Mapping[str, Contributions]) -> bytes:
    """Pack the contributions of all columns."""
    arrays: dict[str, NDArray[Any]] = {}
    for name, column in columns.items():
        arrays[f"{name}/owner"] = column.owner.astype(np.int64)
        arrays[f"{name}/cell"] = column.cell.astype(np.int32)
        arrays[f"{name}/digest"] = column.digest
        arrays[f"{name}/dimensions"] = np.array(column.dimensions)
    held = BytesIO()
    np.savez_compressed(held, **arrays)  # type: ignore[arg-type]
    return held.getvalue()


def unpacked(data: bytes) -> dict[str, Contributions]:
    """Unpack what `packed` made."""
    if not data:
        return {}
    with np.load(BytesIO(data), allow_pickle=False) as kept:
        names = {key.split("/")[0] for key in kept.files}
        return {
            name: Contributions(
                tuple(str(each) for each in kept[f"{name}/dimensions"]),
                kept[f"{name}/owner"].astype(np.int64),
                kept[f"{name}/cell"].astype(np.int64),
                kept[f"{name}/digest"],
            )
            for name in names
        }


def owners_of(data: bytes) -> NDArray[np.int64]:
    """Return whose units are counted in what `packed` made, without unpacking the rest."""
    if not data:
        return np.zeros(0, dtype=np.int64)
    with np.load(BytesIO(data), allow_pickle=False) as kept:
        return np.asarray(kept["units/owner"], dtype=np.int64)
