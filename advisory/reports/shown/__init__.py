"""A report in its reader's words and units."""

from collections.abc import Mapping
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

__all__ = ["Document", "Section", "Table", "document_of"]


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
) -> Document:
    """Put a choice's tables into words; `designs` says which designs they are about."""
    total: Mapping[str, Any] = next(iter(tables["fleet"]), {})
    work: Mapping[str, Any] = next(iter(tables["in_time"]), {})
    share = work.get("in_time") or {}
    if share.get("value") is not None:
        title = _("Of the work done, %(percent)d %% came in time") % {
            "percent": round(100 * share["value"])
        }
    elif total.get("units"):
        title = _("%(units)d units, too little work done yet to judge") % total
    else:
        title = _("Too few owners yet to say anything")
    begin = begin_of(period, on)
    when = (
        _("from %(begin)s to %(on)s")
        % {"begin": date_format(begin, "j F Y"), "on": date_format(on, "j F Y")}
        if begin
        else _("all years to %(on)s") % {"on": date_format(on, "j F Y")}
    )
    lead = f"{designs}; {when}."
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
        question=_("How are the units of %(organisation)s looked after?")
        % {"organisation": organisation},
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
    )
