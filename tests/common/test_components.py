"""The parts of a page: what they tell a person and a screen reader."""

import re
from typing import Any

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.template import Context, Template, TemplateSyntaxError

from advisory.common.drawing import Gauge


class Entry(forms.Form):
    reading = forms.IntegerField(label="Reading", help_text="As it stands.")
    amount = forms.DecimalField(label="Filled")
    unit = forms.ChoiceField(label="Unit", choices=[("l", "litres"), ("pt", "pints")])
    roads = forms.ChoiceField(choices=[("s", "Sealed")], widget=forms.RadioSelect, label="Roads")
    note = forms.CharField(required=False, label="Note")
    sure = forms.BooleanField(label="Looked at")

    def clean(self) -> dict[str, Any]:
        raise ValidationError("The date lies before the build.")


def render(source: str, **context: object) -> str:
    return Template("{% load components %}" + source).render(Context(context))


def tag(html: str, name: str) -> str:
    found = re.search(rf"<[a-z]+[^>]*name=\"{name}\"[^>]*>", html)
    assert found, html
    return found[0]


def test_field_keeps_what_was_typed_though_it_is_no_number() -> None:
    html = render("{% field form.amount %}", form=Entry({"amount": "3,2 l"}))
    control = tag(html, "amount")
    assert 'value="3,2 l"' in control
    assert 'type="text"' in control  # a browser's number field would drop it
    assert 'inputmode="decimal"' in control


def test_field_ties_help_and_error_to_its_control() -> None:
    html = render("{% field form.reading %}", form=Entry({"reading": "x"}))
    control = tag(html, "reading")
    assert 'aria-invalid="true"' in control
    [described] = re.findall(r'aria-describedby="([^"]+)"', control)
    for id_ in described.split():
        assert f'id="{id_}"' in html
    assert len(described.split()) == 2


def test_field_left_empty_says_what_to_do() -> None:
    html = render("{% field form.reading %}", form=Entry({}))
    assert "Fill this in." in html


def test_field_without_faults_is_not_marked() -> None:
    html = render("{% field form.note %}", form=Entry())
    assert "aria-invalid" not in html
    assert "optional" in html


def test_field_with_a_choice_of_units_names_both_controls() -> None:
    html = render("{% field form.amount unit_field=form.unit %}", form=Entry())
    assert 'aria-label="Unit"' in tag(html, "unit")
    assert '<label class="field-label" for="id_amount">' in html


def test_field_in_a_cell_ties_its_error_to_its_control() -> None:
    html = render("{% cell_field form.amount %}", form=Entry({"amount": "x"}))
    assert "<label" not in html
    assert 'aria-describedby="id_amount_error"' in tag(html, "amount")
    assert 'id="id_amount_error"' in html


def test_choices_are_grouped_under_a_legend() -> None:
    html = render("{% field form.roads %}", form=Entry())
    assert "<fieldset" in html
    assert re.search(r"<legend[^>]*>\s*Roads", html)


def test_number_entry_is_as_wide_as_the_instrument() -> None:
    html = render('{% number_entry form.reading unit="miles" digits=5 %}', form=Entry())
    control = tag(html, "reading")
    assert 'data-digits="5"' in control
    assert 'inputmode="numeric"' in control


def test_errors_on_top_lead_to_their_fields() -> None:
    form = Entry({"reading": "x", "unit": "l"})
    html = render("{% form_errors form %}{% form_fields form %}", form=form)
    targets = re.findall(r'<a href="#([^"]+)"', html)
    assert "id_reading" in targets
    for target in targets:
        assert f'id="{target}"' in html
    assert "The date lies before the build." in html
    assert "5 things to put right" in html


def test_errors_on_top_are_left_out_of_a_fresh_form() -> None:
    assert render("{% form_errors form %}", form=Entry()).strip() == ""


def test_gauge_says_in_words_what_it_draws() -> None:
    gauge = Gauge(
        done=0, now=50, due=100, left_words="50 miles left", done_words="1 May", due_words="at 100"
    )
    html = render("{% gauge g %}", g=gauge)
    assert 'aria-label="50 miles left. Last done 1 May. Due at 100."' in html


def test_gauge_without_figures_says_so_and_draws_nothing() -> None:
    html = render("{% gauge g %}", g=Gauge(now=None, due=None))
    assert "<svg" not in html
    assert "Not enough is known" in html


def test_what_comes_from_people_is_escaped() -> None:
    html = render(
        "{% section title=bad %}x{% endsection %}{% entry title=bad %}{% endentry %}"
        "{% plan_row name=bad due=bad %}{% endplan_row %}{% where bad '/' bad %}"
        "{% next_thing name=bad due=bad %}{% endnext_thing %}{{ bad|or_not_known }}",
        bad="<script>alert(1)</script>",
    )
    assert "<script>" not in html


def test_block_keeps_the_markup_of_its_content_and_escapes_its_variables() -> None:
    html = render("{% caution %}<p>{{ words }}</p>{% endcaution %}", words="oil < 40 degrees")
    assert "<p>oil &lt; 40 degrees</p>" in html
    assert "Caution" in html


def test_caution_of_an_unknown_level_is_refused() -> None:
    with pytest.raises(TemplateSyntaxError, match="level='panic'"):
        render("{% caution level='panic' %}{% endcaution %}")


def test_not_known_stands_for_nothing_but_not_for_nought() -> None:
    assert "not known" in render("{{ value|or_not_known }}", value=None)
    assert render("{{ value|or_not_known }}", value=0) == "0"


def test_where_marks_the_page_one_is_on() -> None:
    html = render('{% where "Units" "/" "Blower" "/units/1/" "Oil change" %}')
    assert html.count("<a ") == 2
    assert '<li aria-current="page">Oil change</li>' in html
