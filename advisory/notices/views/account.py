"""Pages of the notices app, and the calendar for programs."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import http_date
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_http_methods

from advisory.common.errors import Refused
from advisory.notices.account import message_keys, messages_of
from advisory.notices.actions.calendars import settle_entries
from advisory.notices.actions.feeds import make_feed, revoke_feed
from advisory.notices.actions.preferences import (
    mark_read,
    preference_of,
    stop_mail,
)
from advisory.notices.calendar import calendar_of, feed_version, shown_in, told_of
from advisory.notices.forms import PreferenceForm
from advisory.notices.letters.letter import BULLETINS, FINDINGS, REMINDERS, WEEK
from advisory.notices.models import CalendarFeed, NoticePreference
from advisory.notices.queries import feed_items, own_feeds
from advisory.people.models import Person
from advisory.people.reader import reader

ROWS_A_PAGE = 25


@login_required
@require_GET
def messages_page(request: HttpRequest) -> HttpResponse:
    """Show reminders and answers, newest first; what was new is marked so this once."""
    by = reader(request)
    page = Paginator(message_keys(by), ROWS_A_PAGE).get_page(request.GET.get("page"))
    told = messages_of(by, page)
    response = render(request, "notices/messages.html", {"page": page, "told": told.messages})
    if told.unread:
        mark_read(by=by, unread=told.unread)
    return response


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def preferences(request: HttpRequest) -> HttpResponse:
    """Choose which mails come."""
    by = reader(request)
    preference = preference_of(by)
    form = PreferenceForm(request.POST if request.method == "POST" else None, preference=preference)
    if form.is_bound and form.is_valid() and form.save(by):
        messages.success(request, _("Kept."))
        return redirect("notices:preferences")
    context = {"form": form, "preference": preference}
    failed = form.is_bound and bool(form.errors)
    return render(request, "notices/preferences.html", context, status=422 if failed else 200)


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def unsubscribe(request: HttpRequest, secret: str) -> HttpResponse:
    """Stop mail with one click (RFC 8058): without signing in, and never by merely looking.

    Mail programs and virus scanners follow links; only a POST stops anything.
    """
    preference = get_object_or_404(
        NoticePreference.objects.select_related("person"), unsubscribe_secret=secret
    )
    kinds = {kind.of: kind for kind in (REMINDERS, FINDINGS, BULLETINS, WEEK)}
    wanted = kinds.get(request.GET.get("of", ""), REMINDERS)
    if request.method == "POST":
        stop_mail(preference=preference, switch=wanted.switch)
    context = {
        "of": wanted.of,
        "stopped": not getattr(preference, wanted.switch),
    }
    response = render(request, "notices/unsubscribe.html", context)
    response["X-Robots-Tag"] = "noindex"
    return response


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def feeds(request: HttpRequest) -> HttpResponse:
    """Make, copy and revoke calendar addresses."""
    by = reader(request)
    if request.method == "POST":
        try:
            _change_feeds(request, by)
        except Refused as error:
            messages.error(request, error.message)
        return redirect("notices:feeds")
    rows = [
        {"pk": feed.pk, "made": feed.created_at, "address": _address(feed)}
        for feed in own_feeds(by)
    ]
    return render(request, "notices/feeds.html", {"feeds": rows})


def _change_feeds(request: HttpRequest, by: Person) -> None:
    if "revoke" not in request.POST:
        make_feed(by=by)
        messages.success(request, _("Made. Copy the address into your calendar program."))
        return
    given = request.POST["revoke"]
    pk = int(given) if given.isdecimal() and len(given) < len(str(2**63)) else None
    feed = get_object_or_404(own_feeds(by), pk=pk)
    revoke_feed(feed=feed, by=by)
    messages.success(request, _("Stopped. Whoever still has that address gets nothing."))


def _address(feed: CalendarFeed) -> str:
    return settings.BASE_URL + reverse("notices:feed", args=[feed.secret])


@require_GET
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Give a person's plan to a calendar program that knows the address."""
    row = get_object_or_404(
        CalendarFeed.objects.select_related("person"),
        secret=secret,
        revoked_at=None,
        person__is_active=True,
    )
    told = told_of(row.person, feed_items(row.person))
    entries = shown_in(settle_entries(person=row.person, told=told), timezone.now())
    etag = f'"{feed_version(entries)}"'
    changed = max([*(entry.changed_at for entry in entries), row.created_at])
    modified = http_date(changed.timestamp())
    response: HttpResponse
    if _has_it_already(request, etag, modified):
        response = HttpResponseNotModified()
    else:
        response = HttpResponse(
            calendar_of(entries, told), content_type="text/calendar; charset=utf-8"
        )
        response["Content-Disposition"] = 'inline; filename="plan.ics"'
    response["ETag"] = etag
    response["Last-Modified"] = modified
    response["Cache-Control"] = "private, no-cache"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    return response


def _has_it_already(request: HttpRequest, etag: str, modified: str) -> bool:
    """Say whether the program's copy is this one.

    The date counts only where it is the very same: with a unit sold, the last change can lie
    further back than before.
    """
    if given := request.headers.get("If-None-Match"):
        return etag in {part.strip().removeprefix("W/") for part in given.split(",")}
    return request.headers.get("If-Modified-Since") == modified
