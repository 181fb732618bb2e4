"""That the check of pages finds what it is there to find, also on a page seen before."""

import pytest
from django.urls import reverse

from tests.accessibility import found_by_axe
from tests.browser import OpenPage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_faint_text_is_found_on_a_page_whose_looks_were_judged(open_page: OpenPage) -> None:
    page = open_page()
    page.goto(reverse("account_login"))
    assert found_by_axe(page) == []
    page.evaluate("document.querySelector('h1').style.color = '#bbb'")
    (fault,) = found_by_axe(page)
    assert "color-contrast" in fault
    # what was found once is found again
    assert found_by_axe(page) == [fault]
    page.evaluate("document.querySelector('h1').style.color = ''")
    # what can't be used is not judged, and so not taken for well once it can
    faint = "const b = document.querySelector('main button'); b.style.color = '#bbb';"
    page.evaluate(f"{faint} b.style.background = '#ccc'; b.disabled = true")
    assert found_by_axe(page) == []
    page.evaluate("document.querySelector('main button').disabled = false")
    (fault,) = found_by_axe(page)
    assert "color-contrast" in fault
    page.evaluate("document.querySelector('main button').removeAttribute('style')")
    page.evaluate("document.querySelector('input[name=login]').removeAttribute('id')")
    assert [line.split(":")[0] for line in found_by_axe(page)] == ["label"]
