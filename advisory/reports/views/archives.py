"""Everything of an owner's or a workshop's, to take along."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, StreamingHttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.reports.archive import archive_of, archive_of_workshop, zip_answer


@login_required
@never_cache
@require_GET
def own_archive(request: HttpRequest) -> StreamingHttpResponse:
    """Give a person everything of their own."""
    return zip_answer(archive_of(reader(request)), "everything.zip")


@login_required
@never_cache
@require_GET
def workshop_archive(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """Give who leads a workshop everything that it has."""
    by = reader(request)
    led = rules.organisations_where(by, Permission.MANAGE_ORGANISATION)
    shop = get_object_or_404(led.filter(kind=OrganisationKind.WORKSHOP), pk=pk)
    return zip_answer(archive_of_workshop(shop, by), f"workshop-{shop.pk}.zip")
