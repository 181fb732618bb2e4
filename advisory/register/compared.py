"""What one revision of a build sheet says otherwise than the one that it puts right."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.register.models import Build
from advisory.register.sheet import Place, sheet_of


@dataclass(frozen=True)
class Change:
    """One place, what stood there and what stands there now."""

    place: str
    before: str
    now: str


def changes_between(before: Build, now: Build) -> list[Change]:
    """Return what was changed, in the order of the sheet."""
    stood = {place.key: place for place in sheet_of(before).places()}
    found = []
    for place in sheet_of(now).places():
        old = stood.get(place.key)
        if old is not None and old.text != place.text:
            found.append(Change(_named(place), old.shown_text, place.shown_text))
    photos = [set(one.photos.values_list("digest", flat=True)) for one in (before, now)]
    if photos[0] != photos[1]:
        words = [_("%(count)s photos") % {"count": len(one)} for one in photos]
        found.append(Change(_("Photos"), *words))
    return found


def _named(place: Place) -> str:
    if place.position is None:
        return str(place.field.label)
    return f"{place.position.name}, {place.field.label}"
