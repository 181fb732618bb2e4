"""Putting a reminder off, on the page of its item."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from advisory.notices.actions.snoozes import lift_snooze
from advisory.notices.forms import LaterForm
from advisory.notices.models import Snooze
from advisory.notices.queries import longest_snoozes, snooze_of
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def later(request: HttpRequest, pk: int, work: str) -> HttpResponse:
    """Say when one wants to hear of an item again, and why not now."""
    by = reader(request)
    items = PlanItem.objects.select_related("unit__design", "unit__workshop")
    item = get_object_or_404(rules.scope(by, Permission.KEEP_USE, items), unit=pk, work=work)
    form = later_form(request, item, by, item.cycle)
    if form.is_bound and form.is_valid() and form.save():
        messages.success(request, _("Put off. It stays on the plan as it is."))
        return redirect("plans:item", pk, work)
    context = {"item": item, "unit": item.unit, "form": form, "snooze": snooze_of(item, by)}
    failed = form.is_bound and bool(form.errors)
    return render(request, "notices/later.html", context, status=422 if failed else 200)


def later_form(request: HttpRequest, item: PlanItem, by: Person, cycle: int) -> LaterForm:
    """Return the form, bound where it was sent."""
    return LaterForm(
        request.POST if request.method == "POST" else None,
        item=item,
        by=by,
        cycle=cycle,
        latest=longest_snoozes([item], by)[item.pk],
    )


@login_required
@require_POST
def lift(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back that an item was put off."""
    by = reader(request)
    rows = Snooze.objects.select_related("item")
    row = get_object_or_404(rules.scope(by, Permission.KEEP_ACCOUNT, rows), pk=pk)
    lift_snooze(snooze=row, by=by)
    messages.success(request, _("You are reminded again as usual."))
    return redirect("plans:item", row.item.unit_id, row.item.work)
