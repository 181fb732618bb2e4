"""What every page must hold in a browser: axe finds nothing, nothing overflows, targets are big."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

LEAST_TARGET = 48
# A link inside a sentence or a table's cell keeps the height of its line (WCAG 2.2, 2.5.8, inline).
SMALL_TARGETS = """(least) => [...document.querySelectorAll(
    'a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter((e) => {
    const box = (e.closest('label') || e).getBoundingClientRect();
    return e.checkVisibility() && box.width > 1 && box.height < least - 0.5
      && !e.closest('p, td, dd, .skip-link, .text, .for-ears');
  })
  .map((e) => `${e.tagName} ${(e.innerText || e.name || '').trim()}`)"""


def found_by_axe(page: Page) -> list[str]:
    """Return what axe finds wrong, a line each."""
    # what passes is not told in full, which takes a third of the time
    options = {"resultTypes": ["violations"]}
    violations: list[dict[str, Any]] = Axe().run(page, options=options).response["violations"]
    return [
        f"{violation['id']}: {node['target']} {node.get('failureSummary', '')}"
        for violation in violations
        for node in violation["nodes"]
    ]


def assert_page_serves(page: Page) -> None:
    """Fail with all that is wrong with the page as it stands."""
    faults = [f"axe: {line}" for line in found_by_axe(page)]
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    if wide > 0:
        faults.append(f"the page is {wide} px wider than the screen")
    faults += [f"small target: {it}" for it in page.evaluate(SMALL_TARGETS, LEAST_TARGET)]
    if page.locator("h1").count() != 1:
        faults.append(f"{page.locator('h1').count()} level-one headings")
    assert not faults, f"{page.url}\n" + "\n".join(faults)
