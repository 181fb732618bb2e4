"""The page of all that was sent to a person."""

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from advisory.notices.sendings import own_mails, sendings_of, with_what_they_tell
from advisory.people.reader import reader

ROWS_A_PAGE = 25


@login_required
@require_GET
def sendings(request: HttpRequest) -> HttpResponse:
    """Show every mail to the reader: what, why, when, and what became of it."""
    by = reader(request)
    rows = with_what_they_tell(own_mails(by), by)
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "sendings": sendings_of(page)}
    return render(request, "notices/sendings.html", context)
