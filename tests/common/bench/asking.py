"""How the tests ask a calculator on its page."""

import html
import re
from urllib.parse import urlencode

from django.test import Client

from advisory.common.bench import page_of
from advisory.common.bench.forms import example_query
from advisory.people.models import Person

BEARING = {
    "diameter": "50", "diameter_unit": "mm", "length": "50", "length_unit": "mm",
    "running_clearance": "0.1", "running_clearance_unit": "mm", "speed": "1490",
    "speed_unit": "rpm", "load": "3.2", "load_unit": "kN", "viscosity": "25",
    "viscosity_unit": "mPa*s",
}  # fmt: skip
COOLANT = {
    "glycol": "ethylene", "volume_fraction": "0.5", "lowest_temperature": "-25",
    "lowest_temperature_unit": "degC",
}  # fmt: skip


def signed_in(person: Person) -> Client:
    """Return a browser in which somebody is signed in."""
    client = Client()
    client.force_login(person)
    return client


def in_metric(person: Person) -> Person:
    """Let somebody read in millimetres and kilometres."""
    person.small_length_unit, person.distance_unit = "mm", "km"
    person.save()
    return person


def address(name: str, typed: dict[str, str] | None = None) -> str:
    """Return the address of a page, with what is typed."""
    return f"/calculators/{name}/" + (f"?{urlencode(typed)}" if typed else "")


def example(name: str) -> str:
    """Return the address of a calculator's example."""
    page = page_of(name)
    assert page is not None
    return f"/calculators/{name}/?{example_query(page)}"


def words(content: bytes) -> str:
    """Return what a page says, without its marks."""
    text = re.sub(r"<svg.*?</svg>", " ", content.decode(), flags=re.DOTALL)
    return re.sub(r"[ \r\n]+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))
