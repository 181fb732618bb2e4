"""The pages of a workshop or club: what others read of it, and its people."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.actions import (
    change_organisation,
    change_role,
    create_organisation,
    remove_member,
)
from advisory.people.enums import ROLES_OF, OrganisationKind, Role
from advisory.people.forms import NewOrganisationForm, OrganisationForm
from advisory.people.models import Membership, Organisation
from advisory.people.queries import letters_of, members_seen_by
from advisory.people.reader import reader
from advisory.people.rules import Permission


@login_required
@require_GET
def organisation(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an organisation to its own."""
    by = reader(request)
    row = get_object_or_404(rules.organisations_where(by, Permission.VIEW_ORGANISATION), pk=pk)
    leads = rules.may(by, Permission.MANAGE_ORGANISATION, row)
    context = {
        "organisation": row,
        "leads": leads,
        "members": members_seen_by(by, row),
        "own": row.memberships.filter(person=by).first(),
        "letters": letters_of(row) if leads else [],
        "roles": ROLES_OF[row.kind_of],
        "is_workshop": row.kind == OrganisationKind.WORKSHOP,
        "sees_report": rules.may(by, Permission.VIEW_FLEET_REPORT, row),
    }
    return render(request, "people/organisation.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Register a workshop or a club."""
    form = NewOrganisationForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        data["kind"] = OrganisationKind(data["kind"])
        try:
            made = create_organisation(by=reader(request), **data)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("It is on the books, and you lead it."))
            return redirect("people:organisation", made.pk)
    context = {"form": form, "organisation": None}
    return render(
        request, "people/organisation_form.html", context, status=422 if form.errors else 200
    )


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what others read of it."""
    by = reader(request)
    row = get_object_or_404(rules.organisations_where(by, Permission.MANAGE_ORGANISATION), pk=pk)
    form = OrganisationForm(
        request.POST if request.method == "POST" else None,
        initial={"name": row.name, "email": row.email, "phone": row.phone},
    )
    if form.is_valid():
        try:
            change_organisation(organisation=row, by=by, **form.cleaned_data)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            messages.success(request, _("Changed."))
            return redirect("people:organisation", row.pk)
    context = {"form": form, "organisation": row}
    return render(
        request, "people/organisation_form.html", context, status=422 if form.errors else 200
    )


@login_required
@require_POST
def role(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a member another role."""
    by = reader(request)
    led = rules.scope(by, Permission.MANAGE_ORGANISATION, Membership.objects.all())
    member = get_object_or_404(led.select_related("organisation", "person"), pk=pk)
    chosen = request.POST.get("role", "")
    try:
        if chosen not in Role:
            raise Refused(_("Choose one of the roles offered."))
        member = change_role(membership=member, role=Role(chosen), by=by)
    except Refused as refusal:
        messages.error(request, refusal.message)
    else:
        words = _("%(person)s is now %(role)s.")
        messages.success(
            request, words % {"person": member.person, "role": member.get_role_display()}
        )
    return _back_to(member.organisation, request)


@login_required
@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """End a membership: one's own, or as who leads anybody's."""
    by = reader(request)
    seen = rules.scope(by, Permission.VIEW_ORGANISATION, Membership.objects.all())
    member = get_object_or_404(seen.select_related("organisation", "person"), pk=pk)
    try:
        remove_member(membership=member, by=by)
    except Refused as refusal:
        messages.error(request, refusal.message)
    else:
        words = _("%(person)s no longer belongs to %(organisation)s.")
        messages.success(
            request, words % {"person": member.person, "organisation": member.organisation}
        )
    return _back_to(member.organisation, request)


def _back_to(organisation: Organisation, request: HttpRequest) -> HttpResponse:
    """Go to the organisation's page while it can be seen."""
    if rules.may(reader(request), Permission.VIEW_ORGANISATION, organisation):
        return redirect("people:organisation", organisation.pk)
    return redirect("people:account")
