"""Pages of bulletins: for who writes them, and for the owners whom they meet."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.cautions import AFTER_WORK, CAUTIONS
from advisory.common.errors import Refused
from advisory.lubrication.queries import oil_of
from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.plans.actions.bulletins import (
    discard_bulletin,
    mark_read,
    send_bulletin,
    withdraw_bulletin,
)
from advisory.plans.bulletins.told import became_of, meets, rows_told
from advisory.plans.bulletins.words import became_words, meets_words, stands_words
from advisory.plans.forms.bulletins import BulletinForm
from advisory.plans.forms.plans import DoneForm
from advisory.plans.models import PlanItem
from advisory.plans.models.bulletins import Bulletin, BulletinUnit
from advisory.plans.shown import instrument_shown
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.usage.queries import unit_use

ROWS_A_PAGE = 25
WORK = WORKS[WorkKind.BULLETIN]


def _organisation(request: HttpRequest, pk: int) -> Organisation:
    writing = rules.organisations_where(reader(request), Permission.WRITE_BULLETIN)
    return get_object_or_404(writing, pk=pk)


def _written(request: HttpRequest, pk: int) -> Bulletin:
    rows = Bulletin.objects.select_related("organisation", "design", "lubricant", "sent_by")
    return get_object_or_404(rules.scope(reader(request), Permission.WRITE_BULLETIN, rows), pk=pk)


@login_required
@require_GET
def bulletins(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what an organisation wrote, the newest first."""
    organisation = _organisation(request, pk)
    page = Paginator(organisation.bulletins.all(), ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "organisation": organisation,
        "page": page,
        "rows": [{"bulletin": row, "stands": stands_words(row)} for row in page],
    }
    return render(request, "plans/bulletins/list.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def write(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a bulletin; it goes to nobody yet."""
    return _form(request, _organisation(request, pk), None)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a bulletin that was not sent yet."""
    row = _written(request, pk)
    if row.sent_at is not None:
        return redirect("plans:bulletin", row.pk)
    return _form(request, row.organisation, row)


def _form(
    request: HttpRequest, organisation: Organisation, bulletin: Bulletin | None
) -> HttpResponse:
    form = BulletinForm(
        request.POST if request.method == "POST" else None,
        organisation=organisation,
        by=reader(request),
        bulletin=bulletin,
    )
    if form.is_valid() and (kept := form.save()) is not None:
        return redirect("plans:bulletin", kept.pk)
    context = {"form": form, "organisation": organisation, "bulletin": bulletin}
    status = 422 if form.errors else 200
    return render(request, "plans/bulletins/form.html", context, status=status)


@login_required
@require_GET
def bulletin(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bulletin to who writes it: whom it meets, or what became of it."""
    by, row = reader(request), _written(request, pk)
    context: dict[str, Any] = {
        "bulletin": row,
        "organisation": row.organisation,
        "stands": stands_words(row),
        "criteria": meets_words(row),
    }
    if row.sent_at is None:
        context["meets"] = meets(row)
    else:
        became = became_of(row, by)
        context |= {"became": became_words(became), "in_fives": became.met.in_fives}
        if row.organisation.kind == OrganisationKind.WORKSHOP:
            told = rows_told(row, by).select_related("unit__design", "unit__owner", "work_done")
            # who has neither read nor done it stands first
            rows = told.order_by(
                F("work_done__date").asc(nulls_first=True), F("read_at").asc(nulls_first=True), "pk"
            )
            context["page"] = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "plans/bulletins/bulletin.html", context)


@login_required
@require_POST
def send(request: HttpRequest, pk: int) -> HttpResponse:
    """Send it, once."""
    row = _written(request, pk)
    try:
        met = send_bulletin(bulletin=row, by=reader(request))
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("plans:bulletin_edit" if refused.field else "plans:bulletin", row.pk)
    if row.organisation.kind == OrganisationKind.WORKSHOP and row.sent_at is None:
        said = ngettext("Sent: it met %(n)d unit.", "Sent: it met %(n)d units.", met)
        messages.success(request, said % {"n": met})
    else:
        messages.success(request, _("Sent."))
    return redirect("plans:bulletin", row.pk)


@login_required
@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it back."""
    row = _written(request, pk)
    withdraw_bulletin(bulletin=row, by=reader(request))
    messages.success(request, _("Taken back. What it asked leaves the plans."))
    return redirect("plans:bulletin", row.pk)


@login_required
@require_POST
def discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw away what was not sent."""
    row = _written(request, pk)
    try:
        discard_bulletin(bulletin=row, by=reader(request))
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("plans:bulletin", row.pk)
    messages.success(request, _("Thrown away."))
    return redirect("plans:bulletins", row.organisation_id)


@login_required
@require_GET
def read(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bulletin to an owner whose units it concerns; from then on it counts as read."""
    by = reader(request)
    own = rules.scope(by, Permission.KEEP_USE, BulletinUnit.objects.filter(bulletin=pk))
    rows = list(own.select_related("unit__design", "work_done").order_by("unit"))
    row = get_object_or_404(
        Bulletin.objects.select_related("organisation"),
        pk=pk,
        sent_at__isnull=False,
        units__in=rows[:1],
    )
    stands = row.withdrawn_at is None
    context = {
        "bulletin": row,
        "rows": rows,
        "asks": row.asks_for_work and stands,
        "halts": stands and row.before_it_runs and any(one.work_done is None for one in rows),
        "cautions": [CAUTIONS[key] for key in WORK.cautions],
    }
    response = render(request, "plans/bulletins/read.html", context)
    mark_read(bulletin=row, by=by)
    return response


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def done(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down that what a bulletin asks of a unit is done."""
    by = reader(request)
    rows = BulletinUnit.objects.filter(
        bulletin__sent_at__isnull=False, bulletin__withdrawn_at=None
    ).exclude(bulletin__asks="")
    own = rules.scope(by, Permission.KEEP_USE, rows)
    row = get_object_or_404(
        own.select_related("bulletin", "unit__design__workshop", "unit__owner"), pk=pk
    )
    if row.work_done_id is not None:
        messages.info(request, _("That is written down already."))
        return redirect("plans:bulletin_read", row.bulletin_id)
    unit = row.unit
    # on the plan of a unit that is not reckoned yet there is none
    item = PlanItem.objects.filter(unit=unit, work=WORK.kind).first()
    form = DoneForm(
        request.POST if request.method == "POST" else None,
        unit=unit,
        item=item or PlanItem(unit=unit, work=WORK.kind),
        work=WORK,
        oil=oil_of(unit),
        by=by,
        bulletin=row,
    )
    if request.method == "POST" and form.is_valid() and form.save():
        messages.success(request, _("%(title)s: written down.") % {"title": row.bulletin})
        return redirect("plans:bulletin_read", row.bulletin_id)
    context = {
        "row": row,
        "unit": unit,
        "form": form,
        "cautions": [CAUTIONS[key] for key in WORK.cautions if key in AFTER_WORK],
        "instrument": instrument_shown(unit_use(unit)),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "plans/bulletins/done.html", context, status=status)
