"""What a mail's links open without signing in: one thing each, and only a POST changes it."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from advisory.common.cautions import AFTER_WORK, CAUTIONS
from advisory.findings.finding_page import asked_shown, instruction_shown
from advisory.findings.forms.exchange import BringForm, WriteBackForm
from advisory.findings.models import AskedMeasurement
from advisory.lubrication.queries import oil_of
from advisory.notices.actions.readings import answer_request
from advisory.notices.forms import AskedReadingForm
from advisory.notices.mail_links import finding_of, item_of, reading_request_of
from advisory.notices.queries import snooze_of
from advisory.notices.views.snoozes import later_form
from advisory.plans.forms.plans import DoneForm
from advisory.plans.shown import instrument_shown
from advisory.plans.work import WORKS
from advisory.register.enums import WorkKind
from advisory.usage.queries import unit_use

P = ParamSpec("P")


def opened_by_mail(
    view: Callable[Concatenate[HttpRequest, P], HttpResponse],
) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """Let a page be kept by nobody and found by no search.

    No other site is told its address, as of any page; told to name it to nobody at all, a browser
    would send our own form as from nowhere, and it would be refused.
    """

    @require_http_methods(["GET", "HEAD", "POST"])
    @never_cache
    @wraps(view)
    def answer(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["X-Robots-Tag"] = "noindex"
        return response

    return answer


def _shown(
    request: HttpRequest, template: str, context: dict[str, Any], form: Any = None
) -> HttpResponse:
    failed = form is not None and form.is_bound and bool(form.errors)
    return render(request, f"notices/{template}.html", context, status=422 if failed else 200)


def _closed(request: HttpRequest) -> HttpResponse:
    return render(request, "notices/link_closed.html", status=404)


@opened_by_mail
def done(request: HttpRequest, secret: str) -> HttpResponse:
    """Write down that what a reminder told of was done already."""
    opened = item_of(secret)
    if opened is None:
        return _closed(request)
    item, cycle, person = opened
    if item.cycle != cycle:
        return _shown(request, "done_by_mail_kept", {"item": item})
    unit, work, use = item.unit, WORKS[WorkKind(item.work)], unit_use(item.unit)
    bound = request.POST if request.method == "POST" else None
    form = DoneForm(bound, unit=unit, item=item, work=work, oil=oil_of(unit), by=person)
    if form.is_bound and form.is_valid():
        form.cleaned_data["cycle"] = cycle  # the mail's, whatever was sent
        if form.save():
            return _shown(request, "done_by_mail_kept", {"item": item})
    context = {
        "item": item,
        "unit": unit,
        "work": work,
        "form": form,
        "cautions": [CAUTIONS[key] for key in work.cautions if key in AFTER_WORK],
        "instrument": instrument_shown(use),
    }
    return _shown(request, "done_by_mail", context, form)


@opened_by_mail
def later(request: HttpRequest, secret: str) -> HttpResponse:
    """Put off what a reminder told of."""
    opened = item_of(secret)
    if opened is None:
        return _closed(request)
    item, cycle, person = opened
    if item.cycle != cycle:
        return _shown(request, "done_by_mail_kept", {"item": item})
    form = later_form(request, item, person, cycle)
    kept = form.is_bound and form.is_valid() and form.save()
    context = {
        "item": item,
        "unit": item.unit,
        "form": form,
        "snooze": snooze_of(item, person),
        "kept": kept,
    }
    return _shown(request, "later_by_mail", context, form)


@opened_by_mail
def reading(request: HttpRequest, secret: str) -> HttpResponse:
    """Take one reading of one car; nothing that is known of it is shown."""
    asked = reading_request_of(secret)
    if asked is None:
        return _closed(request)
    if asked.answered_at is not None:
        return _shown(request, "reading_by_mail", {"kept": True})
    bound = request.POST if request.method == "POST" else None
    form = AskedReadingForm(bound, by=asked.person)
    if form.is_bound and form.is_valid() and form.save(asked, answer_request):
        return _shown(request, "reading_by_mail", {"kept": True})
    odometer = asked.car.odometers.order_by("-pk").first()
    context = {"form": form, "odometer": odometer, "kept": False}
    return _shown(request, "reading_by_mail", context, form)


@opened_by_mail
def finding(request: HttpRequest, secret: str) -> HttpResponse:
    """Answer one word of the workshop: with the value that it asked for, in words, or both ways.

    No price is shown, and nothing can be agreed to here: for that one signs in.
    """
    opened = finding_of(secret)
    if opened is None:
        return _closed(request)
    word, person = opened
    asked: AskedMeasurement | None = getattr(word, "asked", None)
    if asked is not None and asked.brought_by_id is not None:
        asked = None
    writes = request.POST if "write" in request.POST else None
    measures = request.POST if request.method == "POST" and writes is None else None
    back = WriteBackForm(writes, finding=word.finding, by=person)
    bring = None if asked is None else BringForm(measures, asked=asked, by=person)
    for form in (back, bring):
        if form is not None and form.is_bound and form.is_valid() and form.save():
            return _shown(request, "finding_by_mail", {"kept": True, "word": word})
    context = {
        "word": word,
        "told": instruction_shown(word.instruction),
        "back": back,
        "step": None if asked is None else {"asked": asked_shown(asked, person), "form": bring},
        "kept": False,
    }
    return _shown(request, "finding_by_mail", context, back if back.is_bound else bring)
