"""A report in its reader's words and units."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences
from advisory.people.models import Organisation
from advisory.reports.enums import Period
from advisory.reports.gathering import begin_of
from advisory.reports.shown import sections
from advisory.reports.shown.document import Document, Section, Table

__all__ = ["Document", "Section", "Table", "document_of", "empty_words"]


def document_of(
    organisation: Organisation,
    on: date,
    period: Period,
    designs: str,
    tables: Mapping[str, Any],
    about: Mapping[str, Any],
    prefs: Preferences,
    *,
    least: int,
    notes: Sequence[str] = (),
) -> Document:
    """Put a choice's tables into words; `designs` says which designs they are about."""
    begin = begin_of(period, on)
    when = (
        _("from %(begin)s to %(on)s")
        % {"begin": date_format(begin, "j F Y"), "on": date_format(on, "j F Y")}
        if begin
        else _("all years to %(on)s") % {"on": date_format(on, "j F Y")}
    )
    lead = f"{designs}; {when}."
    question = _("How are the units of %(organisation)s looked after?") % {
        "organisation": organisation
    }
    if not tables:
        return Document(
            title=_("Too few owners yet to say anything")
            if least > 1
            else _("No unit to tell of yet"),
            question=question,
            lead=empty_words(least),
            sections=[],
            withholds=least > 1,
            notes=notes,
            designs=designs,
            years=when,
        )
    total: Mapping[str, Any] = next(iter(tables["fleet"]), {})
    work: Mapping[str, Any] = next(iter(tables["in_time"]), {})
    title = _title(total, work)
    if total.get("units"):
        counted = _("Counted: %(units)d units of %(owners)d owners.") % {
            "units": total["units"],
            "owners": total["owners"],
        }
        lead = f"{counted} {lead}"
    overdue = work.get("overdue")
    if overdue:
        late = _("On %(part)d of %(of)d units something is overdue now.") % overdue
        lead = f"{late} {lead}"
    return Document(
        title=title,
        question=question,
        lead=lead,
        sections=[
            sections.fleet(tables, about, prefs, least=least),
            sections.in_time(tables, prefs),
            sections.oil(tables, prefs),
            sections.found(tables, prefs, least=least),
            sections.lasting(tables, prefs, least=least),
            sections.wear(tables, about, prefs),
            sections.trust(tables, about, least=least),
        ],
        withholds=least > 1,
        notes=notes,
        designs=designs,
        years=when,
    )


def _title(total: Mapping[str, Any], work: Mapping[str, Any]) -> str:
    share = work.get("in_time") or {}
    if share.get("value") is not None:
        return _("Of the work done, %(percent)d %% came in time") % {
            "percent": round(100 * share["value"])
        }
    if total.get("units"):
        return _("%(units)d units, too little work done yet to judge") % total
    return _("Too few owners yet to say anything")


def empty_words(least: int) -> str:
    """Say when there will be something to tell."""
    if least > 1:
        return _(
            "The report begins once %(least)d owners of units consent to being counted. They do it "
            "under Account, “What workshops and clubs may see”, and may withdraw it there at any "
            "time. Where there was a report before, it also takes %(least)d owners who differ from "
            "it."
        ) % {"least": least}
    return _(
        "It begins once a unit on the workshop's books has an owner who lets the workshop see how "
        "it is used."
    )
