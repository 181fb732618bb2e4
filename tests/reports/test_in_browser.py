"""The workshop's pages about its units, in a browser: they serve everybody, on a phone too."""

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.people.models import Person
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem, WorkDone
from advisory.register.enums import WorkKind
from advisory.register.models import Unit
from tests.accessibility import assert_page_serves
from tests.browser import DESKTOP, PHONE, OpenPage

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.django_db(transaction=True),
]


def test_pages_serve(open_page: OpenPage, whole_unit: Unit, fitter: Person) -> None:
    day = date(2026, 5, 1)
    Finding.objects.create(
        unit=whole_unit,
        seen_on=day,
        text="It weeps",
        state=FindingState.SENT,
        sent_at=datetime(2026, 5, 1, tzinfo=UTC),
        mark="dry_scoring",
    )
    work = {"unit": whole_unit, "work": WorkKind.OIL_CHANGE}
    WorkDone.objects.create(**work, cycle=1, date=day, in_time=False)
    PlanItem.objects.create(**work, cycle=2, state=DueState.LATE, anchor_date=day)
    shop = whole_unit.workshop_id
    cell = f"?by=design&cell=design-{whole_unit.design_id}"
    for width, dark in ((PHONE, False), (DESKTOP, True)):
        page = open_page(person=fitter, width=width, dark=dark)
        for address in (
            reverse("reports:recurring", args=[shop]),
            reverse("reports:recurring_units", args=[shop]) + cell,
            reverse("reports:follow_up", args=[shop]),
            reverse("reports:follow_up_unit", args=[whole_unit.pk]),
        ):
            page.goto(address)
            assert_page_serves(page)
    page.goto(reverse("reports:follow_up", args=[shop]))
    page.get_by_role("button", name="Write to the owner").click()
    page.get_by_text("its owner is written to").wait_for()
