"""The main entries at the top of every page: few, in words, and by what the reader does here."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import template
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

register = template.Library()


@dataclass(frozen=True)
class Place:
    """A main entry: its words, its route, where its pages lie, and who sees it.

    `each` names an attribute of `at_work`: there is one entry for each organisation it holds.
    `beside_work` is what it is called for those who do the same at work.
    """

    label: Promise | str
    route: str
    under: tuple[str, ...]
    seen_by: str = "everybody"
    each: str = ""
    beside_work: Promise | str = ""


UNITS = ("/units/", "/oils/", "/method/")
BOOKS = ("/workshops/", "/builds/", "/designs/")

PLACES = (
    Place(_("Units"), "home", UNITS, "owner", beside_work=_("Own units")),
    Place(_("Units"), "register:workshop_units", UNITS + BOOKS, "workshop", each="workshops"),
    Place(
        _("Logbook"), "usage:logbook", ("/logbook/", "/cars/", "/readings/", "/lay-ups/"), "owner"
    ),
    Place(_("Messages"), "notices:messages", ("/messages/",)),
    Place(_("Findings"), "findings:inbox", ("/findings/",), "workshop"),
    Place(_("Calculators"), "calculators", ("/calculators/", "/methods/"), "workshop"),
    Place(_("Fleet report"), "reports:own_fleet", ("/fleet/", "/clubs/"), "officer"),
    Place(
        _("Account"),
        "people:account",
        ("/account/", "/organisations/", "/members/", "/invitations/"),
    ),
)


def _parts(work: Any, owns: Any) -> set[str]:
    """Name the parts the reader plays here; who neither works here nor owns is an owner to be."""
    parts = {"everybody"}
    if getattr(work, "workshops", ()):
        parts.add("workshop")
    if getattr(work, "clubs_as_officer", ()):
        parts.add("officer")
    if len(parts) == 1 or owns:
        parts.add("owner")
    return parts


def _addresses(place: Place, work: Any) -> list[tuple[Promise | str, str]]:
    """Return words and address of each entry that a place makes."""
    if not place.each:
        return [(place.label, reverse(place.route))]
    organisations = getattr(work, place.each)
    return [
        (place.label if len(organisations) == 1 else row.name, reverse(place.route, args=[row.pk]))
        for row in organisations
    ]


@register.simple_tag(takes_context=True)
def main_entries(context: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the entries for this reader, the one of this page marked."""
    user = context.get("user")
    if user is None or not user.is_authenticated:
        return []
    work = context.get("at_work")
    parts = _parts(work, context.get("owns"))
    both = parts >= {"owner", "workshop"}
    # on a unit's own pages: whether it is the reader's, or one of their workshop's
    own_unit = getattr(context.get("unit"), "owner_id", None) == user.pk
    path = str(getattr(context.get("request"), "path", ""))
    waiting: Mapping[str, int] = context.get("waiting") or {}
    entries = []
    for place in PLACES:
        if place.seen_by not in parts:
            continue
        addresses = _addresses(place, work)
        under = place.under
        if both and UNITS[0] in under and own_unit != (place.seen_by == "owner"):
            under = ()
        for label, url in addresses:
            here = url != "/" and path.startswith(url)
            entries.append(
                {
                    "label": place.beside_work if both and place.beside_work else label,
                    "url": url,
                    "waiting": waiting.get(place.route, 0),
                    "current": path == url
                    or here
                    or (len(addresses) == 1 and path.startswith(under)),
                }
            )
    return entries
