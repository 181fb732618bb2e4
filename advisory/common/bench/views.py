"""The pages of the bench: all calculators, one calculator, and the methods behind them."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from advisory.common.bench import pages
from advisory.common.bench.forms import BenchForm, example_query
from advisory.common.bench.published import published_values
from advisory.common.bench.readers import units_of
from advisory.common.bench.shown import Shown
from advisory.common.bench.units import Words

#: A longer address is cut off by some server on its way: the answer is then shown without one.
LONGEST_QUERY = 3500


def _page(name: str) -> pages.BenchPage:
    page = pages.page_of(name)
    if page is None:
        raise Http404(name)
    return page


@login_required
@require_GET
def calculators(request: HttpRequest) -> HttpResponse:
    """Name all calculators that can be asked on a page."""
    found = [pages.page_of(name) for name in pages.names()]
    return render(request, "bench/calculators.html", {"pages": found})


def _typed(request: HttpRequest, page: pages.BenchPage) -> Mapping[str, str] | None:
    """Return what was typed, None where nothing has been asked yet."""
    sent = request.POST if request.method == "POST" else request.GET
    names = {field.name for field in page.calculator.takes.fields}
    return sent.dict() if names & set(sent) or request.method == "POST" else None


def _is_tidy(request: HttpRequest, form: BenchForm) -> bool:
    """Whether the address holds what was asked and nothing else, fit to be sent."""
    return request.method != "POST" and QueryDict(form.query) == request.GET


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def calculator(request: HttpRequest, name: str) -> HttpResponse:
    """Ask one calculator; the address carries the question.

    What may be too long for an address is posted, and led to one if it fits.
    """
    page = _page(name)
    words = Words(units_of(request))
    form = BenchForm(page, words, _typed(request, page))
    answered = form.is_bound and form.is_valid()
    if answered and len(form.query) <= LONGEST_QUERY and not _is_tidy(request, form):
        return redirect(f"{request.path}?{form.query}")
    context: dict[str, Any] = {"page": page, "form": form, "example": example_query(page)}
    if answered:
        shown = Shown(page, words)
        values = page.calculator.takes.read(form.payload)
        context |= {
            "answer": form.answer,
            "warnings": [page.in_words(each["message"]) for each in form.answer["warnings"]],
            "headline": page.answered(form.answer, words),
            "blocks": shown.blocks(form.payload, page.retold(values, form.answer, words)),
            "checks": shown.checks(form.answer),
            "charts": page.charts(values, form.answer, words),
            "address": "" if request.method == "POST" else request.build_absolute_uri(),
        }
    status = 422 if form.is_bound and not answered else 200
    return render(request, "bench/calculator.html", context, status=status)


@login_required
@require_GET
def methods(request: HttpRequest) -> HttpResponse:
    """Name all methods, with how many published values each is held to."""
    found = [page for name in pages.names() if (page := pages.page_of(name)) is not None]
    return render(
        request,
        "bench/methods.html",
        {
            "methods": [(page, len(page.method.checks())) for page in found],
            "further": {route: words for page in found for words, route in page.method.further},
        },
    )


@login_required
@require_GET
def method(request: HttpRequest, name: str) -> HttpResponse:
    """Say what a computation does, how it is checked, and what it does not know."""
    page = _page(name)
    context = {"page": page, "published": published_values(name)}
    return render(request, "bench/method.html", context)
