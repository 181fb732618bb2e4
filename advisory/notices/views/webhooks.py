"""Pages of a workshop's own system: where it listens, its secret, and what was told to it."""

import json
from datetime import datetime
from typing import Any

from allauth.account.decorators import reauthentication_required
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.notices.actions.webhook_delivery import deliver_message
from advisory.notices.actions.webhooks import (
    change_secret,
    send_again,
    send_trial,
    set_webhook,
    stop_webhook,
)
from advisory.notices.enums import WebhookEvent, WebhookState
from advisory.notices.forms import WebhookForm
from advisory.notices.models import Webhook, WebhookMessage
from advisory.notices.webhooks.signing import secret_of
from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.reader import reader
from advisory.people.rules import Permission

ROWS_A_PAGE = 25


def _workshop(request: HttpRequest, pk: int) -> Organisation:
    led = rules.organisations_where(reader(request), Permission.MANAGE_ORGANISATION)
    return get_object_or_404(led.filter(kind=OrganisationKind.WORKSHOP), pk=pk)


def _webhook(request: HttpRequest, pk: int) -> Webhook:
    return get_object_or_404(
        Webhook.objects.select_related("organisation"),
        organisation=_workshop(request, pk),
        stopped_at=None,
    )


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def system(request: HttpRequest, pk: int) -> HttpResponse:
    """Show where it listens and what was told to it; take another address."""
    by, workshop = reader(request), _workshop(request, pk)
    webhook = Webhook.objects.filter(organisation=workshop, stopped_at=None).first()
    form = WebhookForm(
        request.POST if request.method == "POST" else None,
        initial={"url": "" if webhook is None else webhook.url},
    )
    if form.is_valid():
        try:
            set_webhook(organisation=workshop, by=by, url=form.cleaned_data["url"])
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("Kept. New findings are told there from now on."))
            return redirect("notices:system", workshop.pk)
    rows = WebhookMessage.objects.filter(organisation=workshop)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "organisation": workshop,
        "webhook": webhook,
        "form": form,
        "page": page,
        "kept_days": settings.WEBHOOKS_KEPT_DAYS,
        "told": [_shown(row) for row in page],
        "given_up": rows.filter(state=WebhookState.GIVEN_UP)
        .exclude(event=WebhookEvent.TRIAL)
        .count(),
    }
    return render(request, "notices/system.html", context, status=422 if form.errors else 200)


def _shown(row: WebhookMessage) -> dict[str, Any]:
    """Return a message as the log shows it."""
    tries = [{**one, "at": datetime.fromisoformat(one["at"])} for one in row.tries]
    return {
        "row": row,
        "tries": tries[::-1],
        "last": tries[-1] if tries else None,
        "payload": json.dumps(row.payload, indent=1) if row.payload else "",
        "waits": row.state == WebhookState.WAITING,
    }


@login_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@reauthentication_required(allow_get=False)  # type: ignore[untyped-decorator]
def secret(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the secret that messages are signed with, and make another."""
    webhook = _webhook(request, pk)
    if request.method == "POST":
        change_secret(webhook=webhook, by=reader(request))
        messages.success(request, _("Made. The one before signs as well for another day."))
        return redirect("notices:system_secret", pk)
    context = {
        "organisation": webhook.organisation,
        "webhook": webhook,
        "secret": secret_of(webhook.nonce),
    }
    return render(request, "notices/system_secret.html", context)


@login_required
@require_POST
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell it nothing more."""
    stop_webhook(webhook=_webhook(request, pk), by=reader(request))
    messages.success(request, _("Nothing more is sent there. What waited is held back."))
    return redirect("notices:system", pk)


@login_required
@require_POST
def trial(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a trial, now, and say what came of it."""
    try:
        message = send_trial(webhook=_webhook(request, pk), by=reader(request))
    except Refused as refusal:
        messages.error(request, refusal.message)
        return redirect("notices:system", pk)
    if deliver_message(message.pk) == WebhookState.ARRIVED:
        messages.success(request, _("The trial arrived."))
    else:
        message.refresh_from_db()
        said = message.tries[-1]["said"] if message.tries else ""
        messages.error(request, _("The trial did not arrive. %(why)s") % {"why": said})
    return redirect("notices:system", pk)


@login_required
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Have a message sent again."""
    by = reader(request)
    rows = rules.scope(by, Permission.MANAGE_ORGANISATION, WebhookMessage.objects.all())
    message = get_object_or_404(rows.select_related("organisation"), pk=pk)
    send_again(message=message, by=by)
    messages.success(request, _("It is sent again within a minute."))
    return redirect("notices:system", message.organisation_id)
