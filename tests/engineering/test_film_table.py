"""The kept table: true to the direct solution between and at its nodes, and made as recorded."""

import numpy as np
import pytest

from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing import film_figures, solve_film
from advisory.engineering.journal_bearing.make_table import (
    AXIAL_CELLS,
    CIRCUMFERENTIAL_CELLS,
    MAKING,
    make_table,
)
from advisory.engineering.journal_bearing.table import film_table
from advisory.engineering.journal_bearing.table_nodes import TABLE_PATH, table_nodes

TIGHT = ("sommerfeld_number", "friction_variable")
OTHERS = ("attitude_angle", "flow_variable", "side_flow_ratio", "pressure_ratio")


def test_table_agrees_with_the_direct_solution_at_500_random_places():
    rng = np.random.default_rng(20240501)
    # Half of the places even in eccentricity, half even in artanh, where the thin films are.
    eccentricity = np.concatenate(
        [rng.uniform(0.01, 0.99, 250), np.tanh(rng.uniform(*np.arctanh([0.01, 0.99]), 250))]
    )
    length = np.exp(rng.uniform(np.log(0.1), np.log(2.0), 500))
    read = film_figures(eccentricity, length)
    films = [
        solve_film(
            float(e),
            float(ratio),
            circumferential_cells=CIRCUMFERENTIAL_CELLS,
            axial_cells=AXIAL_CELLS,
        )
        for e, ratio in zip(eccentricity, length, strict=True)
    ]
    for name in TIGHT + OTHERS:
        direct = np.array([getattr(film, name) for film in films])
        error = np.abs(getattr(read, name) / direct - 1.0).max()
        assert error < (1e-3 if name in TIGHT else 3e-3), name


@pytest.mark.parametrize("number", [0.005, 0.1, 1.0, 10.0])
def test_film_thickness_of_the_table_is_that_of_the_direct_solution(number):
    from advisory.engineering.journal_bearing import load_solution, solve_equilibrium

    direct = solve_equilibrium(number, 0.6, circumferential_cells=256, axial_cells=24)
    bearing = load_solution(
        diameter=1.0,
        length=0.6,
        running_clearance=0.001,
        speed=1.0,
        load=0.6e6,
        viscosity=number,
    )
    film = float(bearing.minimum_film_thickness) / 0.0005

    assert float(bearing.sommerfeld_number) == pytest.approx(number, rel=1e-9)
    assert film == pytest.approx(1.0 - direct.eccentricity_ratio, rel=1e-3)


def test_table_is_the_one_that_its_record_makes():
    """The kept values at every seventh length are made again, to the last digits that hold."""
    with np.load(TABLE_PATH, allow_pickle=False) as kept:
        table = {name: kept[name] for name in kept.files if name != "making"}
    eccentricity, lengths = table_nodes()

    assert film_table().making == MAKING
    assert table["eccentricity_ratio"] == pytest.approx(eccentricity)
    assert table["length_to_diameter"] == pytest.approx(lengths)
    for j in range(0, lengths.size, 7):
        for i in range(0, eccentricity.size, 10):
            film = solve_film(
                float(eccentricity[i]),
                float(lengths[j]),
                circumferential_cells=CIRCUMFERENTIAL_CELLS,
                axial_cells=AXIAL_CELLS,
            )
            for name in TIGHT + OTHERS:
                assert table[name][i, j] == pytest.approx(getattr(film, name), rel=1e-7), name


def test_table_is_made_whole(monkeypatch):
    from advisory.engineering.journal_bearing import make_table as module

    monkeypatch.setattr(
        module, "table_nodes", lambda: (np.array([0.2, 0.5]), np.array([0.5, 1.0, 2.0]))
    )
    lines = []
    made = make_table(lines.append)

    assert len(lines) == 3
    assert made["sommerfeld_number"].shape == (2, 3)
    assert made["sommerfeld_number"][1, 1] == pytest.approx(
        float(film_figures(0.5, 1.0).sommerfeld_number), rel=1e-3
    )


def test_figures_fall_steadily_with_eccentricity():
    """The heat balance rests on it: one film answers to a load and its heat, or none."""
    eccentricity, length = np.meshgrid(
        np.tanh(np.linspace(*np.arctanh([0.01, 0.99]), 1500)),
        np.geomspace(0.1, 2.0, 120),
        indexing="ij",
    )
    film = film_figures(eccentricity.clip(0.01, 0.99), length.clip(0.1, 2.0))
    warmed = film.friction_variable / (film.flow_variable * (1 - 0.5 * film.side_flow_ratio))

    for figure in (film.sommerfeld_number, film.friction_variable, warmed, film.attitude_angle):
        assert (np.diff(figure, axis=0) < 0).all()
    assert (np.diff(film.side_flow_ratio, axis=0) > 0).all()
    assert (np.diff(film.flow_variable, axis=0) > 0).sum() > 0
    assert np.isfinite(film.pressure_ratio).all()


def test_longer_bearing_carries_more():
    length = np.geomspace(0.1, 2.0, 400).clip(0.1, 2.0)
    for eccentricity in (0.01, 0.3, 0.7, 0.95, 0.99):
        assert (np.diff(film_figures(eccentricity, length).sommerfeld_number) < 0).all()


@pytest.mark.parametrize(
    ("eccentricity", "length", "argument"),
    [
        (0.009, 1.0, "eccentricity_ratio"),
        (0.991, 1.0, "eccentricity_ratio"),
        (float("nan"), 1.0, "eccentricity_ratio"),
        (0.5, 0.09, "length_to_diameter"),
        (0.5, 2.1, "length_to_diameter"),
        ([0.5, 0.995], 1.0, "eccentricity_ratio"),
    ],
)
def test_table_is_not_read_beyond_its_ends(eccentricity, length, argument):
    with pytest.raises(OutOfRange) as refused:
        film_figures(eccentricity, length)

    assert refused.value.argument == argument
