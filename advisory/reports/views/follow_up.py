"""The pages of the units that need a word."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from advisory.notices.enums import FollowReason
from advisory.notices.models import FollowUp
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.reports.follow_up.listed import Needs, Reason, follow_list, needs_of
from advisory.reports.follow_up.standing import standing_of
from advisory.reports.follow_up.words import to_the_workshop
from advisory.reports.forms import FollowForm, NarrowForm
from advisory.reports.queries import workshops_of

A_PAGE = 20
USUAL_REST = timedelta(days=30)


@login_required
@never_cache
@require_safe
def follow_up(request: HttpRequest, pk: int) -> HttpResponse:
    """List the units that need a word, the gravest first."""
    by = reader(request)
    shop = get_object_or_404(workshops_of(by), pk=pk)
    today = today_of(by)
    listed = follow_list(shop, by, today)
    narrow = NarrowForm(request.GET or None)
    reason, resting = narrow.asked
    page = Paginator(listed.of(reason, resting=resting), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "workshop": shop,
        "narrow": narrow,
        "page": page,
        "rows": _rows(list(page.object_list), by),
        "now": len(listed.now),
        "resting": len(listed.resting),
        "shows_resting": resting,
        "client_key": uuid4().hex,
        "month": today + USUAL_REST,
    }
    return render(request, "reports/follow_up.html", context)


@login_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def follow_up_unit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what stands on one unit and what was said of it; take a letter, a call, a day."""
    by = reader(request)
    units = Unit.objects.select_related("design", "owner", "workshop")
    unit = get_object_or_404(rules.scope(by, Permission.FOLLOW_UP, units), pk=pk)
    today = today_of(by)
    form = FollowForm(
        request.POST if request.method == "POST" else None,
        initial={"until": today + USUAL_REST, "client_key": uuid4().hex},
    )
    if form.is_bound and form.is_valid():
        done = form.save(unit=unit, by=by)
        if done is not None:
            messages.success(request, _said(form, unit, len(done)))
            return redirect("reports:follow_up", unit.workshop_id)
    needs = needs_of(standing_of(Unit.objects.filter(pk=unit.pk), today), today)
    log = rules.scope(by, Permission.VIEW_USE, FollowUp.objects.filter(unit=unit))
    context = {
        "unit": unit,
        "workshop": unit.workshop,
        "form": form,
        "row": _row(needs[0], unit) if needs else None,
        "log": log.select_related("by")[:50],
    }
    status = 422 if form.is_bound else 200
    return render(request, "reports/follow_up_unit.html", context, status=status)


def _said(form: FollowForm, unit: Unit, done: int) -> str:
    if form.cleaned_data["do"] == FollowForm.WRITE:
        if not done:
            return _("%(unit)s: somebody has written of it already; nothing is sent twice.") % {
                "unit": unit
            }
        return _("%(unit)s: its owner is written to.") % {"unit": unit}
    if form.cleaned_data["do"] == FollowForm.CALL:
        return _("%(unit)s: the call is logged.") % {"unit": unit}
    return ngettext(
        "%(unit)s: set aside, for the one reason that stands.",
        "%(unit)s: set aside, for the %(n)d reasons that stand.",
        done,
    ) % {"unit": unit, "n": done}


def _rows(needs: list[Needs], by: Person) -> list[dict[str, Any]]:
    """Fetch the units of one page, in one query."""
    units = Unit.objects.filter(pk__in=[each.unit for each in needs])
    seen = rules.scope(by, Permission.FOLLOW_UP, units).select_related("design", "owner")
    unit_of = {unit.pk: unit for unit in seen}
    return [_row(each, unit_of[each.unit]) for each in needs if each.unit in unit_of]


def _row(needs: Needs, unit: Unit) -> dict[str, Any]:
    return {
        "unit": unit,
        "needs": needs,
        "since": needs.reasons[0].standing.since,
        "kind": FollowReason(needs.reasons[0].standing.reason).label,
        "reasons": [_reason(reason) for reason in needs.reasons],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "words": to_the_workshop(reason.standing),
        "finding": reason.standing.finding,
        "last": reason.done[0] if reason.done else None,
        "rests_until": reason.rests_until,
    }
