"""Limits told three ways, and what a lip seal asks of its track."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.fit_limits import (
    nearest_classes,
    sizes_of_classes,
    sizes_of_clearance,
)
from advisory.engineering.lip_seal import (
    TRACK_SPEEDS,
    SealMaterial,
    seal_track_checks,
    track_speed,
)
from advisory.engineering.tolerances import fit

pytestmark = pytest.mark.one_database


# ISO 286-2, printed tables (read): at 25 mm H7 is 0/+21, g6 -7/-20, e8 -40/-73.
@pytest.mark.parametrize(
    ("hole", "shaft", "least", "most"), [("H7", "g6", 7, 41), ("H7", "e8", 40, 94)]
)
def test_classes_become_sizes_and_clearance(hole, shaft, least, most):
    pair = sizes_of_classes(0.025, hole, shaft)
    assert pair.clearance_least * 1e6 == pytest.approx(least, abs=1e-6)
    assert pair.clearance_most * 1e6 == pytest.approx(most, abs=1e-6)
    assert pair.bore_least == pytest.approx(0.025)


def test_clearance_becomes_a_bore_fitted_to_its_journal():
    pair = sizes_of_clearance(0.0381, 25.4e-6, 50.8e-6)
    assert pair.bore_least == pytest.approx(0.0381254)
    assert pair.journal_least == pair.journal_most == 0.0381
    for least, most in ((-1e-6, 1e-5), (2e-5, 1e-5)):
        with pytest.raises(OutOfRange):
            sizes_of_clearance(0.0381, least, most)


@pytest.mark.parametrize(("hole", "shaft"), [("h7", "g6"), ("H7", "G6"), ("Q7", "g6"), ("H7", "")])
def test_class_of_the_wrong_part_is_refused(hole, shaft):
    with pytest.raises(OutOfRange):
        sizes_of_classes(0.025, hole, shaft)


@given(
    size=st.floats(0.011, 0.2), hole=st.sampled_from(["H6", "H7", "H8"]),
    letter=st.sampled_from("defg"), grade=st.sampled_from([6, 7, 8]),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_a_pairs_own_clearance_leads_back_to_as_good_a_pair(size, hole, letter, grade):
    pair = fit(size, hole, f"{letter}{grade}")
    found = nearest_classes(size, pair.minimum_clearance, pair.maximum_clearance)
    assert found is not None
    assert found.exact
    assert found.clearance_least == pytest.approx(pair.minimum_clearance, abs=1e-9)
    assert found.clearance_most == pytest.approx(pair.maximum_clearance, abs=1e-9)


def test_size_outside_the_tables_has_no_classes():
    assert nearest_classes(0.8, 1e-5, 5e-5) is None


# ISO 6194-1 (read in a summary): h11, Ra 0.2 to 0.8 um, 45 HRC, 55 in dirt or above 4 m/s; track
# speeds from memory.
def failed(**known):
    return [check.name for check in seal_track_checks(**known) if not check.passed]


def test_track_is_held_against_the_standard():
    good = {"speed": 3.9, "hardness": 45.0, "roughness": 0.2e-6, "diameter": 0.0379,
            "nominal": 0.038, "material": SealMaterial.NITRILE}  # fmt: skip
    assert failed(**good) == []
    assert failed(**good, dirty=True) == ["hardness of the track"]
    assert failed(**{**good, "speed": 4.1}) == ["hardness of the track"]
    assert failed(**{**good, "roughness": 0.15e-6}) == ["roughness of the track"]
    assert failed(**{**good, "roughness": 0.81e-6}) == ["roughness of the track"]
    assert failed(**{**good, "diameter": 0.03801}) == ["diameter of the track"]
    # 30 to 50 mm: h11 is 0/-160 um (ISO 286-2, read)
    assert failed(**{**good, "diameter": 0.038 - 0.1601e-3}) == ["diameter of the track"]
    assert failed(**{**good, "material": SealMaterial.LEATHER}) == ["speed of the track"]
    assert seal_track_checks() == []
    assert all(check.source for check in seal_track_checks(**good))


def test_speed_of_the_track():
    assert track_speed(0.1, 10.0) == pytest.approx(3.14159, abs=1e-5)
    assert set(TRACK_SPEEDS) == set(SealMaterial)
    for bad in ({"hardness": 0.0}, {"hardness": 90.0}, {"roughness": -1e-6}):
        with pytest.raises(OutOfRange):
            seal_track_checks(**bad)
    with pytest.raises(OutOfRange):
        track_speed(0.0, 10.0)
