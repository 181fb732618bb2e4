"""Reading fixtures_demo/."""

import json
from typing import Any

from django.conf import settings

from advisory.common.quantities import Dimension, read_quantity


def read(name: str) -> Any:
    """Return what a file of the scenario holds."""
    return json.loads((settings.ROOT / "fixtures_demo" / name).read_text(encoding="utf-8"))


def si(text: str | None, dimension: Dimension) -> float | None:
    """Return a quantity of the scenario in SI; None stays None."""
    return None if text is None else read_quantity(text, dimension).si
