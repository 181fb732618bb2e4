"""Pages of the choice of oil and of the feed pipe; both are asked by their address."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from advisory.lubrication.adapters import AskedOtherwise, choice_tables
from advisory.lubrication.adapters.engineering import METHOD, METHOD_VERSION, OutOfRange
from advisory.lubrication.choice.charts import charts_of
from advisory.lubrication.choice.handbook import HandbookShown, show_handbook
from advisory.lubrication.choice.judging import Chosen, choose_for
from advisory.lubrication.choice.method import METHOD_TOLD
from advisory.lubrication.choice.pipe import (
    bearing_choices,
    known_of,
    pipe_asked,
    show_pipe,
)
from advisory.lubrication.choice.tables import ChoiceShown
from advisory.lubrication.choice.taken import left_out_words, taken_words
from advisory.lubrication.choice.warnings import stops_of, warnings_of
from advisory.lubrication.film_words import KELVIN
from advisory.lubrication.forms import ChoiceForm, HandbookForm, PipeForm
from advisory.lubrication.queries import advice_history
from advisory.lubrication.story import story_of
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.models import Unit


def _unit(by: Person, pk: int) -> Unit:
    units = Unit.objects.select_related("design__workshop", "workshop", "owner")
    return get_object_or_404(rules.scope(by, Permission.VIEW_USE, units), pk=pk)


@login_required
@require_GET
def choice(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which oils suit a unit hot and cold, and keep what was shown as it is known."""
    by = reader(request)
    unit, prefs = _unit(by, pk), preferences_of(by)
    form = ChoiceForm(request.GET.dict(), prefs=prefs, known={})
    asked = form.asked
    chosen = choose_for(unit, by, _otherwise(asked))
    shown = ChoiceShown(chosen, prefs)
    book = HandbookForm(
        request.GET.dict(),
        prefs=prefs,
        known={"kind": "gear" if shown.geared else "engine"},
    )
    handbook = _handbook(book, shown)
    context = {
        "unit": unit,
        "shown": shown,
        "charts": charts_of(chosen, prefs),
        "stops": stops_of(chosen, prefs),
        "warned": warnings_of(chosen),
        "taken": taken_words(chosen.case, prefs),
        "left_out": left_out_words(chosen.case.left_out),
        "form": form,
        "asked": asked,
        "book": book,
        "handbook": handbook,
        "changes": rules.may(by, Permission.CHANGE_UNIT, unit),
        "story": story_of(advice_history(unit, by, METHOD), prefs, geared=shown.geared),
        "method": METHOD,
        "version": METHOD_VERSION,
    }
    failed = any(each.is_bound and each.errors for each in (form, book))
    return render(request, "lubrication/choice.html", context, status=422 if failed else 200)


def _otherwise(asked: dict[str, Any]) -> AskedOtherwise:
    cold, warm = asked.get("cold"), asked.get("warm")
    return AskedOtherwise(
        cold_c=None if cold is None else cold - KELVIN,
        warm_c=None if warm is None else warm - KELVIN,
        pressure=asked.get("pressure"),
    )


def _handbook(book: HandbookForm, shown: ChoiceShown) -> HandbookShown | None:
    asked = book.asked
    if not asked:
        return None
    try:
        return show_handbook(asked["grade"], asked["year"], asked["kind"], shown)
    except OutOfRange as error:
        book.add_error(error.argument, error.message)
        return None


@login_required
@require_GET
def pipe(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how much oil a squashed feed pipe lets through, and whether that is enough."""
    by = reader(request)
    unit, prefs = _unit(by, pk), preferences_of(by)
    chosen = choose_for(unit, by)
    known = known_of(chosen)
    form = PipeForm(
        request.GET.dict(),
        prefs=prefs,
        known=known,
        oils=_oils(chosen),
        bearings=bearing_choices(chosen),
    )
    failed = form.is_bound and not form.is_valid()
    # round, until somebody asks how it is squashed
    told = form.asked or {"height": known.get("bore")}
    asked = None if failed else pipe_asked(known, told)
    context = {
        "unit": unit,
        "form": form,
        "shown": None if asked is None else show_pipe(chosen, asked, prefs),
        "asked": form.asked,
        "changes": rules.may(by, Permission.CHANGE_UNIT, unit),
    }
    return render(request, "lubrication/pipe.html", context, status=422 if failed else 200)


def _oils(chosen: Chosen) -> list[tuple[str, str]]:
    return [(oil.key, chosen.case.names[oil.key]) for oil in chosen.choice.case.oils]


@login_required
@require_GET
def choice_figures(request: HttpRequest) -> HttpResponse:
    """Tell how oils are chosen, with every figure that was set and where it comes from."""
    context = {"tables": choice_tables(), "method": METHOD_TOLD}
    return render(request, "lubrication/choice_figures.html", context)
