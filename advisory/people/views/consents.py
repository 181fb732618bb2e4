"""Who may see what of mine: given, read and taken back on one page."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions import give_consent, withdraw_consent
from advisory.people.enums import OrganisationKind
from advisory.people.forms import ConsentForm
from advisory.people.models import Consent
from advisory.people.queries import consents_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.people.words import WHAT_STAYS_WITHOUT


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def consents(request: HttpRequest) -> HttpResponse:
    """Show who sees what and since when, and take a consent to another."""
    by = reader(request)
    forms = [
        ConsentForm(
            request.POST if request.POST.get("kind") == kind else None,
            kind=kind,
            by=by,
            initial={"organisation": request.GET.get("organisation")},
        )
        for kind in OrganisationKind
    ]
    for form in forms:
        if form.is_valid():
            organisation = form.cleaned_data["organisation"]
            try:
                give_consent(organisation=organisation, scope=form.chosen, by=by)
            except Refused as refusal:
                form.refuse(refusal)
            else:
                words = _(
                    "%(organisation)s has your consent; you can withdraw it here at any time."
                )
                messages.success(request, words % {"organisation": organisation})
                return redirect("people:consents")
    rows = consents_of(by)
    context = {
        "standing": [row for row in rows if row.consent.withdrawn_at is None],
        "past": [row for row in rows if row.consent.withdrawn_at is not None],
        "forms": [(form.kind, form, WHAT_STAYS_WITHOUT[form.kind]) for form in forms],
        "bound": next((form for form in forms if form.is_bound), None),
    }
    status = 422 if any(form.errors for form in forms) else 200
    return render(request, "people/consents.html", context, status=status)


@login_required
@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw a consent, with one press."""
    by = reader(request)
    own = rules.scope(by, Permission.KEEP_ACCOUNT, Consent.objects.all())
    consent = withdraw_consent(consent=get_object_or_404(own, pk=pk), by=by)
    words = _("Withdrawn. From this moment %(organisation)s sees nothing of it any more.")
    messages.success(request, words % {"organisation": consent.organisation})
    return redirect("people:consents")
