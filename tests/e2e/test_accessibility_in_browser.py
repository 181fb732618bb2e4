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
    page.evaluate("document.querySelector('input[name=login]').removeAttribute('id')")
    assert [line.split(":")[0] for line in found_by_axe(page)] == ["label"]
