"""The style sheets of all components as one file: one request on a slow phone instead of thirty.

Each component keeps its own file in static/css/; here they are joined in the order of the cascade.
The address carries a digest of the content, so that browsers may keep it for good.
"""

import gzip
import re
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

# Tokens first, what overrides last; layers make the order inside a layer matter little.
COMPONENTS = (
    "tokens",
    "base",
    "layout",
    "navigation",
    "where",
    "page-head",
    "paper",
    "section",
    "buttons",
    "fields",
    "number-entry",
    "gauge",
    "next-thing",
    "plan",
    "figures",
    "tables",
    "caution",
    "notice",
    "empty",
    "photos",
    "timeline",
    "damage-marks",
    "causes",
    "inspection",
    "plate",
    "tag",
    "drawn",
    "oil-way",
    "pick",
    "compare",
    "charts",
    "marks",
    "pagination",
    "entrance",
    "bearing",
    "print",
)

COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
FONT = re.compile(r'url\("\.\./(fonts/[^"]+)"\)')


@dataclass(frozen=True)
class StyleSheet:
    """The joined style sheet, as it is and packed."""

    digest: str
    plain: bytes
    packed: bytes


def _read(name: str) -> str:
    found = finders.find(f"css/{name}.css")
    if found is None:
        raise FileNotFoundError(f"css/{name}.css: name it in COMPONENTS only when it is there.")
    return Path(str(found)).read_text(encoding="utf-8")


def _join() -> StyleSheet:
    text = "\n".join(COMMENT.sub("", _read(name)).strip() for name in COMPONENTS)
    text = FONT.sub(lambda match: f'url("{static(match[1])}")', text)
    plain = re.sub(r"\n\s*\n+|\n\s+", "\n", text).encode()
    return StyleSheet(sha256(plain).hexdigest()[:16], plain, gzip.compress(plain, mtime=0))


@lru_cache(maxsize=1)
def _joined_once() -> StyleSheet:
    return _join()


def style_sheet() -> StyleSheet:
    """Return the joined style sheet; read anew each time only while developing."""
    return _join() if settings.DEBUG else _joined_once()
