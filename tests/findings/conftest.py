"""Sides, a finding, and photos that land in a folder of the test."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from advisory.findings.actions import report_finding
from advisory.findings.models import Finding
from advisory.people.models import Person
from advisory.register.models import Unit
from tests.findings.pictures import jpeg

SEEN_ON = date(2024, 5, 1)


@pytest.fixture(autouse=True)
def _photos_go_elsewhere(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def as_fitter(fitter: Person) -> Client:
    client = Client()
    client.force_login(fitter)
    return client


@pytest.fixture
def finding(whole_unit: Unit, owner: Person) -> Finding:
    washer = whole_unit.design.positions.get(name="Floating thrust washer")
    return report_finding(
        unit=whole_unit,
        by=owner,
        text="It ticks at idle, bright flakes in the strainer.",
        seen_on=SEEN_ON,
        position=washer,
        value=0.4318e-3,
        as_typed="17 thou",
        photos=[jpeg()],
    )


def filled(unit: Unit, **fields: object) -> dict[str, object]:
    washer = unit.design.positions.get(name="Floating thrust washer")
    return {
        "position": washer.pk,
        "text": "It ticks at idle.",
        "seen_on": "2024-05-01",
        "measurement": "17",
        "measurement_unit": "thou",
        "shown": "41,900",
        "client_key": "k1",
    } | fields


def new_url(unit: Unit) -> str:
    return reverse("findings:new", args=[unit.pk])
