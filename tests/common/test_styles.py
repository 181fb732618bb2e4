"""The style sheets: all joined, readable in both lights, and nothing inline on the pages."""

import gzip
import re
from itertools import product
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from advisory.common.stylesheet import COMPONENTS, style_sheet

ROOT = Path(settings.ROOT)
CSS = ROOT / "advisory/common/static/css"
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
TOKENS = (CSS / "tokens.css").read_text()


def test_every_file_is_joined() -> None:
    assert sorted(COMPONENTS) == sorted(path.stem for path in CSS.glob("*.css"))


def test_sheet_is_served_packed_and_for_good(client: Client) -> None:
    sheet = style_sheet()
    response = client.get(f"/styles/{sheet.digest}.css", headers={"accept-encoding": "gzip, br"})
    assert response.headers["Content-Encoding"] == "gzip"
    assert "immutable" in response.headers["Cache-Control"]
    assert gzip.decompress(response.content) == sheet.plain


def test_sheet_is_served_plain_to_who_cannot_unpack(client: Client) -> None:
    response = client.get(f"/styles/{style_sheet().digest}.css")
    assert "Content-Encoding" not in response.headers
    assert response.content == style_sheet().plain


def test_sheet_of_an_older_page_leads_to_the_present_one(client: Client) -> None:
    response = client.get("/styles/0123456789abcdef.css")
    assert response.headers["Location"] == f"/styles/{style_sheet().digest}.css"


def test_fonts_of_the_sheet_are_there() -> None:
    fonts = re.findall(r'url\("/static/(fonts/[^"]+)"\)', style_sheet().plain.decode())
    assert len(fonts) == 2
    for font in fonts:
        assert (ROOT / "advisory/common/static" / font).is_file()


def colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


def blocks() -> tuple[dict[str, str], dict[str, str], dict[str, str]]:
    light, rest = TOKENS.split("@media (prefers-color-scheme: dark)")
    by_device, chosen = rest.split(':root[data-theme="dark"]')
    return colours(light), colours(by_device), colours(chosen)


def test_dark_is_the_same_by_device_and_by_choice() -> None:
    light, by_device, chosen = blocks()
    assert by_device == chosen
    assert set(chosen) == set(light)


def luminance(colour: str) -> float:
    # WCAG 2.2, definition of relative luminance.
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    # WCAG 2.2, definition of contrast ratio.
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21() -> None:
    # WCAG 2.2: "Contrast ratios can range from 1 to 21".
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


GROUNDS = ("paper", "paper-raised", "paper-sunk", "field", "caution-ground", "limit-ground")


@pytest.mark.parametrize("theme", [0, 2], ids=["light", "dark"])
def test_text_is_readable_on_every_ground(theme: int) -> None:
    # WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1; 1.4.11: signs and borders 3 to 1.
    colour = blocks()[theme]
    for ink, ground in product(("ink", "ink-soft"), GROUNDS):
        assert contrast(colour[ink], colour[ground]) >= 4.5, (ink, ground)
    for ink, ground in product(("dimension", "limit"), ("paper", "paper-raised", "limit-ground")):
        assert contrast(colour[ink], colour[ground]) >= 4.5, (ink, ground)
    assert contrast(colour["on-brass"], colour["brass"]) >= 7
    assert contrast(colour["on-brass"], colour["brass-press"]) >= 7
    assert contrast(colour["on-ink"], colour["ink"]) >= 7
    assert contrast(colour["paper-raised"], colour["limit"]) >= 4.5
    for line, ground in product(("line", "line-soft", "focus"), ("paper", "field")):
        assert contrast(colour[line], colour[ground]) >= 3, (line, ground)


FORBIDDEN = re.compile(
    r"<style|\sstyle=|\son[a-z]+=\"|<script(?![^>]*\ssrc=)(?![^>]*type=\"application/json\")"
)


@pytest.mark.parametrize(
    "path",
    [path for path in TEMPLATES if "emails" not in path.parts],
    ids=lambda path: str(path.relative_to(ROOT / "templates")),
)
def test_template_has_nothing_inline_that_the_policy_forbids(path: Path) -> None:
    assert FORBIDDEN.findall(path.read_text()) == []
