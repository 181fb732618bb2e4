"""The pages on methods say what the tests hold the computation to, and nothing else."""

import importlib
import pkgutil

import pytest

from advisory.common.bench import names, page_of, published
from advisory.engineering import checks
from advisory.engineering.checks import CheckValue
from advisory.people.models import Person
from tests.common.bench.asking import signed_in, words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

NAMES = names()


def method_checks(name: str) -> list[CheckValue]:
    page = page_of(name)
    assert page is not None
    return list(page.method.checks())


def test_every_published_value_of_the_tests_is_on_one_of_the_pages() -> None:
    topics = [
        importlib.import_module(f"{checks.__name__}.{module.name}")
        for module in pkgutil.iter_modules(checks.__path__)
    ]
    of_the_tests = [id(check) for topic in topics for check in getattr(topic, "CHECKS", ())]
    of_the_pages = [id(check) for name in NAMES for check in method_checks(name)]

    assert sorted(of_the_pages) == sorted(of_the_tests)


@pytest.mark.parametrize("name", NAMES)
def test_page_shows_each_value_beside_the_computed_one(name: str, owner: Person) -> None:
    response = signed_in(owner).get(f"/methods/{name}/")
    shown = words(response.content)
    page = page_of(name)

    assert response.status_code == 200
    assert page is not None
    for words_of, equation in page.method.equations:
        assert str(words_of) in shown
        assert equation in shown
    for said in (*page.method.holds, *page.method.not_known):
        assert str(said) in shown
    for row in page.method.taken:
        assert row.figure in shown
        assert row.source in shown
    sources = response.context["published"]
    assert sum(len(source.values) for source in sources) == len(method_checks(name))
    assert all(value.holds for source in sources for value in source.values)
    for source in sources:
        assert source.name in shown
        assert source.marks
    assert b'class="doubtful"' not in response.content


def test_value_that_is_not_met_would_be_said(owner: Person, monkeypatch) -> None:
    wrong = CheckValue("a thing", 100.0, "mm2/s", lambda: 98.0, 0.01, "A book with a table", ("R",))
    monkeypatch.setattr(published, "_computed", lambda _name: [(wrong, wrong.compute())])
    shown = words(signed_in(owner).get("/methods/coolant/").content)

    assert "1 value, 0 met" in shown
    assert "A thing not met 100 mm²/s 98 mm²/s \N{MINUS SIGN}2 % 1 %" in shown


def test_values_are_computed_once_in_a_process(owner: Person, monkeypatch) -> None:
    asked = []
    page = page_of("coolant")
    assert page is not None
    check = CheckValue(
        "x", 1.0, "", lambda: asked.append(1) or 1.0, 0.01, "A book with a table", ("R",)
    )
    monkeypatch.setitem(page.method.__dict__, "checks", lambda: [check])
    published._computed.cache_clear()
    for _ in range(2):
        assert signed_in(owner).get("/methods/coolant/").status_code == 200
    published._computed.cache_clear()

    assert asked == [1]


def test_index_counts_the_values(owner: Person) -> None:
    shown = words(signed_in(owner).get("/methods/").content)
    assert "How oils are chosen for a unit" in shown

    for name in NAMES:
        page = page_of(name)
        assert page is not None
        assert f"{page.method.does} {len(method_checks(name))}" in shown


def test_oil_change_leads_to_the_figures_that_were_set(owner: Person) -> None:
    assert b'href="/method/oil-change/"' in signed_in(owner).get("/methods/oil-change/").content
