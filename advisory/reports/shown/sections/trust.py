"""How far the report may be trusted."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.reports.shown.document import Section
from advisory.reports.shown.sections.common import (
    Tables,
)


def trust(tables: Tables, about: Mapping[str, Any], *, least: int) -> Section:
    """Tell how far the report may be trusted."""
    notes = []
    total = next(iter(tables["fleet"]), {})
    if total.get("owners"):
        notes.append(
            ngettext(
                "%(n)d owner with units lets themselves be counted.",
                "%(n)d owners with units let themselves be counted.",
                total["owners"],
            )
            % {"n": total["owners"]}
        )
    tenths = about.get("members", {}).get("tenths")
    if tenths is not None:
        notes.append(
            _("That is all members of the club.")
            if tenths == 10
            else _(
                "Of the club's members at least %(percent)d %% consent. The others may differ: "
                "who looks after a unit well may be gladder to be counted."
            )
            % {"percent": 10 * tenths}
        )
    aged = next(iter(tables["aged"]), {}).get("units")
    if aged is not None and total.get("units"):
        notes.append(
            _(
                "Of %(units)d units %(aged)d have a signed build sheet here and have been driven "
                "since: only they stand behind what is told by distance since the rebuild."
            )
            % {"units": total["units"], "aged": aged}
        )
    notes.append(
        _(
            "Intervals and bands hold the true figure in 95 of 100 such fleets; units of one owner "
            "are taken to hang together."
        )
    )
    if least > 1:
        notes.append(
            _(
                "No figure is shown that has fewer than %(least)d owners behind it, and none "
                "from which such a figure could be worked out, with other choices and earlier "
                "reports as well. Curves begin at ten owners and five findings, and end where "
                "fewer than %(least)d owners are left."
            )
            % {"least": least}
        )
    return Section(
        "trust",
        _("How far to trust it"),
        _("Whose units stand behind the figures, and what was left out."),
        _("A figure past a limit, on any one unit, still means stop and ask the workshop."),
        notes=notes,
    )
