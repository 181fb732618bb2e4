"""The main entries at the top of every page: few, in words, and by what the reader does here."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

register = template.Library()


@dataclass(frozen=True)
class Place:
    """A main entry: its words, its route, where its pages lie, and who sees it."""

    label: Promise | str
    route: str
    under: tuple[str, ...]
    seen_by: str = "everybody"


PLACES = (
    Place(_("Units"), "home", ("/units/",)),
    Place(
        _("Logbook"), "usage:logbook", ("/logbook/", "/cars/", "/readings/", "/lay-ups/"), "owner"
    ),
    Place(_("Messages"), "notices:messages", ("/messages/",)),
    Place(_("Findings inbox"), "findings:inbox", ("/findings/",), "workshop"),
    Place(_("Fleet report"), "reports:own_fleet", ("/fleet/", "/clubs/"), "officer"),
    Place(_("Account"), "people:account", ("/account/",)),
)


def _parts(context: Mapping[str, Any]) -> set[str]:
    """Name the parts the reader plays here; who works nowhere is an owner."""
    work = context.get("at_work")
    parts = {"everybody"}
    if getattr(work, "workshops", ()):
        parts.add("workshop")
    else:
        parts.add("owner")
    if getattr(work, "clubs_as_officer", ()):
        parts.add("officer")
    return parts


def _address(route: str) -> str:
    """Return the address of a route, or nothing where its app is not installed."""
    try:
        return reverse(route)
    except NoReverseMatch:
        return ""


@register.simple_tag(takes_context=True)
def main_entries(context: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the entries for this reader, the one of this page marked."""
    user = context.get("user")
    if user is None or not user.is_authenticated:
        return []
    parts = _parts(context)
    path = str(getattr(context.get("request"), "path", ""))
    waiting: Mapping[str, int] = context.get("waiting") or {}
    return [
        {
            "label": place.label,
            "url": url,
            "waiting": waiting.get(place.route, 0),
            "current": path == url or path.startswith(place.under),
        }
        for place in PLACES
        if place.seen_by in parts and (url := _address(place.route))
    ]
