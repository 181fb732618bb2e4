"""What the rows of a report's tables are called."""

from collections.abc import Mapping
from datetime import UTC
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.findings.marks import DamageMark
from advisory.lubrication.enums import Feed, Filtration
from advisory.register.enums import PositionKind, UnitKind
from advisory.reports.enums import Filtered
from advisory.reports.figures import ALL
from advisory.reports.models import FleetReport


def filter_words(key: str) -> str:
    """Name a kind of filter, or all."""
    return _("All") if key == ALL else str(Filtration(key).label)


def feed_words(key: str) -> str:
    """Name a way in which oil comes."""
    return str(Feed(key).label)


def group_words(key: str) -> str:
    """Name with, without, or all."""
    return _("All") if key == ALL else str(Filtered(key).label)


def position_words(key: str) -> str:
    """Name a kind of position."""
    return str(PositionKind(key).label)


def mark_words(key: str) -> str:
    """Name a damage mark."""
    return str(DamageMark(key).label)


def design_words(key: str, about: Mapping[str, Any]) -> str:
    """Name a design."""
    return str(about["designs"].get(key, key))


def worn_words(key: str, about: Mapping[str, Any]) -> str:
    """Name a design and a kind of position."""
    design, position = key.split(":")
    return f"{design_words(design, about)}: {position_words(position).lower()}"


def compared_words(key: str) -> str:
    """Name a way of comparing."""
    return {
        "raw": _("As they are"),
        "within": _("Within the same design and yearly distance"),
    }[key]


def choice_words(choice: Mapping[str, str]) -> str:
    """Name what a report may be asked for."""
    key = choice["key"]
    if key == ALL:
        return _("All designs")
    if key.startswith("kind-"):
        return _("Kind: %(kind)s") % {"kind": UnitKind(choice["label"]).label.lower()}
    return choice["label"]


def stands_words(report: FleetReport) -> list[str]:
    """Say of which moment a report's figures are, where that is not its day."""
    said = []
    if report.figures_on is not None:
        said.append(
            _(
                "Nothing that it rests on has changed since %(day)s: its figures are those of that "
                "day."
            )
            % {"day": date_format(report.figures_on, "j F Y")}
        )
    if report.stood_at is not None:
        said.append(
            _(
                "It was prepared in the night, at %(at)s UTC; what was entered since then stands "
                "in the next."
            )
            % {"at": report.stood_at.astimezone(UTC).strftime("%H:%M")}
        )
    return said
