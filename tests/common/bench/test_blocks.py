"""Things that have lists of their own, typed as blocks with an empty line between."""

import pytest

from advisory.common.bench import page_of
from advisory.common.bench.forms import BenchForm, entries_of
from advisory.common.bench.units import Words
from advisory.common.calculation import registry
from advisory.common.quantities import Preferences
from advisory.people.models import Person
from tests.common.bench.asking import example, signed_in, words

pytestmark = pytest.mark.one_database

CARS = """green saloon; 45000 km
2023-05-06; 37410 km
2024-04-20; 40150 km

black tourer; 12500 mile; 2025-05-01

2025-04-12; 18020 km
"""
GOOD = """a; 45000 km
2023-05-06; 37410 km


b; 12500 mile; 2025-05-20
2025-04-12\t18020 km
Laid up: 2025-11-01; 2026-04-15
laid up: 2026-11-01
"""


def form_of(name: str, typed: dict[str, str]) -> BenchForm:
    page = page_of(name)
    assert page is not None
    form = BenchForm(page, Words(Preferences()), typed)
    form.is_valid()
    return form


def test_blocks_are_read_with_head_lines_and_named_lines() -> None:
    form = form_of("due-date", {"cars": GOOD, "today": "2025-06-01"})
    assert not form.errors
    first, second = form.payload["cars"]
    assert first == {
        "id": "a",
        "limit": {"value": 45000.0, "unit": "km"},
        "readings": [{"date": "2023-05-06", "distance": {"value": 37410.0, "unit": "km"}}],
    }
    assert second["today"] == "2025-05-20"
    assert second["laid_up"] == [
        {"from": "2025-11-01", "to": "2026-04-15"},
        {"from": "2026-11-01"},
    ]


def test_blocks_without_a_head_are_lists_of_lines() -> None:
    fleet = "0 km; 2 thou\n9000 km; 2.4 thou\n\n0 km; 0.05 mm; 3 um\n"
    form = form_of(
        "wear", {"measurements": "0 km; 2 thou", "limit": "0.1", "limit_unit": "mm", "fleet": fleet}
    )
    assert not form.errors
    assert [len(unit) for unit in form.payload["fleet"]] == [2, 1]
    assert form.payload["fleet"][1][0]["uncertainty"] == {"value": 3.0, "unit": "um"}


@pytest.mark.parametrize(
    ("cars", "said"),
    [
        (CARS, "Line 7"),  # an empty line ended the block: 2025-04-12 is taken for a name
        (GOOD.replace("37410 km", "some"), "Line 2:"),
        (GOOD.replace("2023-05-06", "2026-05-06"), "Line 2, date:"),
        (GOOD.replace("2026-04-15", "2025-04-15"), "Line 7, to:"),
        (GOOD.replace("45000 km", "45000 kg"), "Line 1:"),
        ("a; 45000 km; 2025-05-01; more", "Line 1 has more than 3 columns"),
        ("a; 45000 km", "From line 1 on, readings:"),
    ],
)
def test_line_that_is_wrong_is_named(cars: str, said: str) -> None:
    form = form_of("due-date", {"cars": cars, "today": "2025-06-01"})
    assert said.lower() in " ".join(form.errors["cars"]).lower()


@pytest.mark.parametrize(("name", "field"), [("wear", "fleet"), ("due-date", "cars")])
def test_example_is_written_and_read_back_the_same(name: str, field: str) -> None:
    page = page_of(name)
    assert page is not None
    told = registry.get(name).example[field]
    entry = entries_of(page)[field]
    typed = entry.example(told)
    assert page.calculator.takes.read(
        dict(registry.get(name).example) | {field: entry.told(typed)}
    ) == page.calculator.takes.read(dict(registry.get(name).example))


@pytest.mark.django_db
def test_answers_are_shown_in_words(owner: Person) -> None:
    wear = words(signed_in(owner).get(example("wear")).content)
    assert "Look at it again after" in wear
    assert "per 1000" in wear
    due = words(signed_in(owner).get(example("due-date")).content)
    assert "2 cars reckoned" in due
    assert "green saloon" in due
