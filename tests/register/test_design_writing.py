"""A design's versions, limits three ways, order of dismantling; its page as it is written."""

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Refused
from advisory.common.quantities import Preferences
from advisory.lubrication.enums import Feed, Filtration
from advisory.people.models import Organisation, Person
from advisory.register.actions import (
    PositionData,
    StepData,
    change_design,
    create_design,
    remove_instruction,
    set_dismantling,
    set_instruction,
)
from advisory.register.enums import (
    DesignedFeed,
    DesignedFiltration,
    LimitsAs,
    PositionKind,
    Season,
)
from advisory.register.models import Design, Unit
from advisory.register.words import limits_three_ways
from tests.cast import make_design, make_unit

MM = 1e-3
JOURNAL = PositionData(
    kind=PositionKind.JOURNAL_BEARING,
    name="Front",
    diameter=40 * MM,
    as_built_least=0.025 * MM,
    as_built_most=0.075 * MM,
)
CLASSES = replace(
    JOURNAL,
    limits_as=LimitsAs.CLASSES,
    bore_class="H7",
    journal_class="f7",
    as_built_least=None,
    as_built_most=None,
)
SIZES = replace(
    JOURNAL,
    limits_as=LimitsAs.SIZES,
    bore_least=40 * MM,
    bore_most=40.025 * MM,
    journal_least=39.95 * MM,
    journal_most=39.975 * MM,
    as_built_least=None,
    as_built_most=None,
)
IN_MM = Preferences(small_length="mm")


@pytest.fixture
def as_fitter(client: Client, fitter: Person) -> Client:
    client.force_login(fitter)
    return client


def url(name: str, *args: object) -> str:
    return reverse(f"register:{name}", args=args)


def make(by: Person, workshop: Organisation, *rows: PositionData) -> Design:
    return create_design(by=by, workshop=workshop, kind="engine", name="Four", positions=rows)


def words(design: Design) -> dict[str, str]:
    position = design.positions.get()
    return {way.label: way.words for way in limits_three_ways(position, IN_MM)}


# Limits three ways ------------------------------------------------------------------------------


# ISO 286-2, printed tables (read): at 40 mm H7 is 0/+25 um, f7 -25/-50.
@pytest.mark.parametrize("given", [CLASSES, SIZES, JOURNAL])
def test_limits_are_shown_all_three_ways_however_they_were_given(
    fitter: Person, workshop: Organisation, given: PositionData
) -> None:
    design = make(fitter, workshop, given)
    position = design.positions.get()
    assert position.as_built_least == pytest.approx(0.025 * MM, abs=1e-9)
    assert position.as_built_most == pytest.approx(0.075 * MM, abs=1e-9)
    told = words(design)
    assert told["Clearance"] == "0.025 to 0.075 mm"
    assert told["ISO 286"] == "H7/f7"
    if given is JOURNAL:
        assert told["Sizes"] == "bore 40.025 mm to 40.075 mm to a journal of 40.000 mm"
    else:
        sizes = "bore 40.000 mm to 40.025 mm, journal 39.950 mm to 39.975 mm"
        assert told["Sizes"] == sizes
    ways = limits_three_ways(position, IN_MM)
    assert sum(way.given for way in ways) == 1


def test_clearance_that_no_pair_gives_is_shown_with_the_nearest(
    fitter: Person, workshop: Organisation
) -> None:
    odd = replace(JOURNAL, as_built_least=0.03 * MM, as_built_most=0.07 * MM)
    assert words(make(fitter, workshop, odd))["ISO 286"].startswith("nearest H")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (replace(CLASSES, journal_class="Q9"), "journal_class"),
        (replace(CLASSES, journal_class="H7"), "journal_class"),
        (replace(CLASSES, bore_class="h7"), "bore_class"),
        (replace(CLASSES, bore_class=""), "bore_class"),
        (replace(CLASSES, journal_class="s6"), "bore_class"),
        (replace(CLASSES, diameter=None), "diameter"),
        (replace(CLASSES, diameter=0.9), "diameter"),
        (replace(SIZES, bore_most=None), "bore_most"),
        (replace(SIZES, bore_least=39.96 * MM), "bore_least"),
        (replace(SIZES, bore_most=39.99 * MM), "bore_most"),
        (replace(SIZES, kind=PositionKind.THRUST_WASHER), "limits_as"),
        (replace(JOURNAL, limits_as="guess"), "limits_as"),
        (replace(JOURNAL, seal_material="cork"), "seal_material"),
        (replace(JOURNAL, planes=4), "planes"),
        (replace(JOURNAL, directions=0), "directions"),
        (replace(JOURNAL, speed_ratio=-1.0), "speed_ratio"),
    ],
)
def test_limits_that_make_no_fit_are_refused_at_their_field(
    fitter: Person, workshop: Organisation, given: PositionData, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        make(fitter, workshop, given)
    assert refused.value.field == f"positions-0-{field}"
    assert not workshop.designs.exists()


# Versions ---------------------------------------------------------------------------------------


def test_design_without_units_is_changed_and_one_with_units_gets_a_next_version(
    fitter: Person, workshop: Organisation
) -> None:
    design = make(fitter, workshop, JOURNAL)
    set_instruction(design=design, work="oil_change", by=fitter, months=12)
    set_dismantling(design=design, by=fitter, steps=[StepData(text="Drain it")])
    same = change_design(design=design, by=fitter, kind="engine", name="Four, mains",
                         positions=[JOURNAL, replace(JOURNAL, name="Rear")])  # fmt: skip
    assert same == design
    assert design.positions.count() == 2
    unit = make_unit(None, design, workshop=workshop)
    next_one = change_design(design=design, by=fitter, kind="engine", name="Four, mains",
                             positions=[replace(JOURNAL, wear_limit=0.2 * MM)])  # fmt: skip
    assert (next_one.version, next_one.based_on) == (2, design)
    assert next_one.instructions.get().months == 12
    assert next_one.dismantling.get().text == "Drain it"
    unit.refresh_from_db()
    assert unit.design == design
    assert unit.design.positions.count() == 2


def test_only_its_workshop_changes_a_design(
    design: Design, starter_design: Design, owner: Person, other_fitter: Person, fitter: Person
) -> None:
    said = {"kind": "engine", "name": "Mine", "positions": [JOURNAL]}
    for person, which in ((owner, design), (other_fitter, design), (fitter, starter_design)):
        with pytest.raises(NotAllowed):
            change_design(design=which, by=person, **said)  # type: ignore[arg-type]
        with pytest.raises(NotAllowed):
            set_dismantling(design=which, by=person, steps=[])
        with pytest.raises(NotAllowed):
            remove_instruction(design=which, work="oil_change", by=person)


def test_change_never_takes_anothers_name_and_version(
    fitter: Person, workshop: Organisation
) -> None:
    make(fitter, workshop, JOURNAL)
    other = make_design(workshop, "Six")
    with pytest.raises(Refused, match="another name"):
        change_design(design=other, by=fitter, kind="engine", name="Four", positions=[JOURNAL])


# Instructions and dismantling -------------------------------------------------------------------


def test_instruction_has_hours_season_and_what_it_needs(fitter: Person, design: Design) -> None:
    set_instruction(design=design, work="coolant_strength", by=fitter, hours=50 * 3600.0,
                    season=Season.BEFORE_FROST, needs=" refractometer ")  # fmt: skip
    row = design.instructions.get()
    assert (row.hours, row.season, row.needs) == (180_000.0, "before_frost", "refractometer")
    for wrong in ({"season": "monsoon"}, {"hours": -1.0, "months": 1}, {"needs": "x"},
                  {"text": "x" * 301}):  # fmt: skip
        with pytest.raises(Refused):
            set_instruction(design=design, work="oil_change", by=fitter, **wrong)  # type: ignore[arg-type]
    remove_instruction(design=design, work="coolant_strength", by=fitter)
    assert not design.instructions.exists()


def test_steps_are_kept_in_order_and_written_anew(fitter: Person, design: Design) -> None:
    first = StepData(text=" Slacken the cover ", otherwise="it cracks", caution="hot")
    set_dismantling(design=design, by=fitter, steps=[first, StepData(text="Lift it")])
    assert list(design.dismantling.values_list("order", "text", "otherwise")) == [
        (1, "Slacken the cover", "it cracks"), (2, "Lift it", ""),
    ]  # fmt: skip
    with pytest.raises(Refused) as refused:
        set_dismantling(design=design, by=fitter, steps=[first, StepData(text=" ", caution="x")])
    assert refused.value.field == "steps-1-text"
    assert design.dismantling.count() == 2


def test_oil_as_designed_is_told_in_the_words_of_an_arrangement() -> None:
    known = {one.value: one.label for one in Feed if one is not Feed.UNKNOWN}
    assert {one.value: one.label for one in DesignedFeed} == known
    known = {one.value: one.label for one in Filtration if one is not Filtration.UNKNOWN}
    assert {one.value: one.label for one in DesignedFiltration} == known


# Pages ------------------------------------------------------------------------------------------

HEAD = {"kind": "engine", "name": "Four", "speed_ratio": "1", "engine_speed": "2200",
        "oil_feed": "pressure", "level_datum": "Dipstick"}  # fmt: skip


def rows(*positions: dict[str, str]) -> dict[str, str]:
    sent = {"positions-TOTAL_FORMS": str(len(positions)), "positions-INITIAL_FORMS": "0"}
    for number, position in enumerate(positions):
        sent |= {f"positions-{number}-{name}": value for name, value in position.items()}
    return sent


FRONT = {"kind": "journal_bearing", "name": "Front", "diameter": "1.5", "limits_as": "sizes",
         "bore_least": "+1.0", "bore_most": "1.502", "journal_least": "-0.5 thou",
         "journal_most": "38.1 mm", "measured": "2x2", "surface_roughness": "0.8"}  # fmt: skip
REAR = {"kind": "journal_bearing", "name": "Rear", "diameter": "1.5", "as_built_least": "1",
        "as_built_most": "2"}  # fmt: skip


def test_design_is_written_changed_and_copied_on_its_pages(
    as_fitter: Client, workshop: Organisation
) -> None:
    as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT, REAR)})
    design = workshop.designs.get()
    front, rear = design.positions.all()
    assert front.bore_least == pytest.approx(0.0381 + 25.4e-6)
    assert front.as_built_least == pytest.approx(25.4e-6, abs=1e-9)
    assert front.as_built_most == pytest.approx(2.5 * 25.4e-6, abs=1e-9)
    assert (front.planes, front.directions, rear.planes) == (2, 2, 0)
    assert front.surface_roughness == pytest.approx(0.8e-6)
    assert (design.oil_feed, design.level_datum) == ("pressure", "Dipstick")
    page = as_fitter.get(url("design", design.pk)).content.decode()
    assert "1 to 2.5 thou" in page
    assert "nearest H" in page
    written = as_fitter.get(url("design_edit", design.pk)).content.decode()
    assert 'value="Front"' in written
    assert 'value="1.501"' in written
    as_fitter.post(url("design_edit", design.pk), {**HEAD, "name": "Four b", **rows(FRONT)})
    design.refresh_from_db()
    assert (design.name, design.positions.count()) == ("Four b", 1)
    set_dismantling(design=design, by=workshop.memberships.get().person,
                    steps=[StepData(text="Drain")])  # fmt: skip
    copied = as_fitter.get(url("design_new"), {"from": design.pk}).content.decode()
    assert 'value="Front"' in copied
    assert 'value="Four b"' not in copied
    as_fitter.post(url("design_new"), {**HEAD, "name": "Six", "from": design.pk, **rows(REAR)})
    six = workshop.designs.get(name="Six")
    assert (six.based_on, six.dismantling.get().text) == (design, "Drain")


def test_edit_of_a_design_with_units_says_so_and_leaves_them(
    as_fitter: Client, design: Design, unit: Unit
) -> None:
    page = as_fitter.get(url("design_edit", design.pk)).content.decode()
    assert "Units were built to this version" in page
    sent = {**HEAD, "name": design.name, **rows(FRONT)}
    assert "version 2" in as_fitter.post(
        url("design_edit", design.pk), sent, follow=True
    ).content.decode()  # fmt: skip
    assert "Version 1, of" in as_fitter.get(
        url("design", Design.objects.get(name=design.name, version=2).pk)
    ).content.decode()  # fmt: skip
    unit.refresh_from_db()
    assert unit.design == design


@pytest.mark.parametrize(
    ("button", "order"),
    [
        ({"row-up": "1"}, ["Rear", "Front", "Third"]),
        ({"row-down": "1"}, ["Front", "Third", "Rear"]),
        ({"row-remove": "0"}, ["Rear", "Third"]),
        ({"row-up": "0"}, ["Front", "Rear", "Third"]),
        ({"row-down": "9"}, ["Front", "Rear", "Third"]),
        ({"row-remove": "x"}, ["Front", "Rear", "Third"]),
    ],
)
def test_rows_are_moved_before_anything_is_kept(
    as_fitter: Client, workshop: Organisation, button: dict[str, str], order: list[str]
) -> None:
    sent = {**HEAD, **rows(FRONT, REAR, {**REAR, "name": "Third"}), **button}
    page = as_fitter.post(url("design_new"), sent).content.decode()
    names = [page.split(f'name="positions-{n}-name" value="')[1].split('"')[0]
             for n in range(len(order))]  # fmt: skip
    assert names == order
    assert 'value="-0.5 thou"' in page or "Front" not in order
    assert not workshop.designs.exists()


def test_bad_class_is_said_in_its_row(as_fitter: Client, workshop: Organisation) -> None:
    wrong = {**REAR, "limits_as": "classes", "bore_class": "H7", "journal_class": "q7"}
    response = as_fitter.post(url("design_new"), {**HEAD, **rows(FRONT, wrong)})
    assert response.status_code == 422
    assert "ISO 286 has no such class here" in response.content.decode()
    assert 'value="q7"' in response.content.decode()
    no_size = as_fitter.post(url("design_new"), {**HEAD, **rows({**FRONT, "diameter": ""})})
    assert "Enter the nominal diameter, or the whole size." in no_size.content.decode()


def test_dismantling_is_written_and_read(
    as_fitter: Client, design: Design, unit: Unit, owner: Person
) -> None:
    page = url("dismantling", design.pk)
    assert "Step 3" in as_fitter.get(page).content.decode()
    sent = {"steps-TOTAL_FORMS": "2", "steps-INITIAL_FORMS": "0", "steps-0-text": "Drain it",
            "steps-1-text": "", "steps-1-caution": "It is hot"}  # fmt: skip
    bad = as_fitter.post(page, sent)
    assert bad.status_code == 422
    assert "It is hot" in bad.content.decode()
    moved = as_fitter.post(page, {**sent, "row-up": "1"}).content.decode()
    assert moved.index("It is hot") < moved.index("Drain it")
    as_fitter.post(page, {**sent, "steps-1-text": "Lift the cover", "steps-1-otherwise": "Cracks"})
    as_fitter.force_login(owner)
    read = as_fitter.get(url("design", design.pk)).content.decode()
    assert "Otherwise: Cracks" in read
    assert "battery off" in read
    for name in ("dismantling", "design_edit"):
        assert as_fitter.get(url(name, design.pk)).status_code == 404


def test_instruction_is_changed_and_taken_out_on_the_designs_page(
    as_fitter: Client, design: Design
) -> None:
    page = url("design", design.pk)
    as_fitter.post(page, {"work": "oil_change", "hours": "50", "season": "at_lay_up",
                          "needs": "Straight oil"})  # fmt: skip
    shown = as_fitter.get(page, {"work": "oil_change"}).content.decode()
    assert "50 hours" in shown
    assert "Needs: Straight oil" in shown
    assert 'value="Straight oil"' in shown
    as_fitter.post(page, {"remove": "oil_change"})
    assert not design.instructions.exists()
