"""What the tests of plans have in common."""

from collections.abc import Callable

import pytest

from advisory.plans.actions import refresh_plan
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from tests.season import readings, today

__all__ = ["plan", "readings", "today"]


@pytest.fixture
def plan() -> Callable[[Unit], dict[WorkKind, PlanItem]]:
    """Reckon a unit's plan and give its items by their work."""

    def reckoned(unit: Unit) -> dict[WorkKind, PlanItem]:
        refresh_plan(unit=unit)
        return {WorkKind(item.work): item for item in PlanItem.objects.filter(unit=unit)}

    return reckoned


@pytest.fixture
def committed(django_capture_on_commit_callbacks) -> Callable[[Callable[[], object]], object]:
    """Do something, and what follows when it stands."""

    def do(action: Callable[[], object]) -> object:
        with django_capture_on_commit_callbacks(execute=True):
            return action()

    return do
