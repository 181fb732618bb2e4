"""What every page must hold in a browser: axe finds nothing, nothing overflows, targets are big."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

LEAST_TARGET = 48
AXE = Axe().axe_script
# A link inside a sentence or a table's cell keeps the height of its line (WCAG 2.2, 2.5.8, inline).
SMALL_TARGETS = """(least) => [...document.querySelectorAll(
    'a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter((e) => {
    const box = (e.closest('label') || e).getBoundingClientRect();
    return e.checkVisibility() && box.width > 1 && box.height < least - 0.5
      && !e.closest('p, td, dd, .skip-link, .text, .for-ears');
  })
  .map((e) => `${e.tagName} ${(e.innerText || e.name || '').trim()}`)"""


# What the contrast of a text hangs on: its colour and size, and all that is painted behind it.
# Texts of a look that was judged already are left out: contrast takes longer than all else.
UNJUDGED = """(judged) => {
  const known = new Set(judged), behind = new Map();
  const painted = (e) => {
    if (!e) return '';
    if (!behind.has(e)) {
      const s = getComputedStyle(e);
      const own = [s.backgroundColor, s.backgroundImage, s.opacity, s.filter, s.position].join();
      const plain = own === 'rgba(0, 0, 0, 0),none,1,none,static';
      behind.set(e, painted(e.parentElement) + (plain ? '' : '|' + own));
    }
    return behind.get(e);
  };
  window.unjudged = new Map();
  for (const e of document.querySelectorAll('body *')) {
    const written = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!written && !e.matches('input, select, textarea, button')) continue;
    const s = getComputedStyle(e);
    const drawn = e.closest('svg') ? e.outerHTML : '';
    const look = [painted(e), s.color, s.fontSize, s.fontWeight, s.textShadow, drawn].join(' ');
    if (!known.has(look) && e.checkVisibility()) window.unjudged.set(look, e);
  }
  return [...window.unjudged.keys()];
}"""
RULES = "(options) => axe.run(document, options).then((found) => found.violations)"
# Only what axe says passed counts as judged: what is hidden or can't be used, it passes over.
CONTRAST = """(options) => axe.run({include: [...window.unjudged.values()]}, options)
  .then((found) => {
    const well = new Set(found.passes.flatMap((rule) => rule.nodes.map((node) => node.element)));
    const looks = [...window.unjudged].filter(([look, e]) => well.has(e)).map(([look]) => look);
    const told = ({id, nodes}) => ({id, nodes: nodes.map(
      ({target, failureSummary}) => ({target, failureSummary}))});
    return {violations: found.violations.map(told), looks};
  })"""
#: Looks whose contrast is well, of this process.
_judged: set[str] = set()


def found_by_axe(page: Page) -> list[str]:
    """Return what axe finds wrong, a line each."""
    # what passes is not told in full, which takes a third of the time
    options = {"resultTypes": ["violations"], "preload": False}
    page.evaluate(AXE)
    apart = {"rules": {"color-contrast": {"enabled": False}}}
    violations: list[dict[str, Any]] = page.evaluate(RULES, options | apart)
    if page.evaluate(UNJUDGED, list(_judged)):
        only = {"runOnly": ["color-contrast"], "resultTypes": ["violations", "passes"]}
        contrast = page.evaluate(CONTRAST, options | only | {"elementRef": True})
        violations += contrast["violations"]
        _judged.update(contrast["looks"])
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
