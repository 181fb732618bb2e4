"""Lives that textbooks and handbooks work through, and what was watched of each."""

from __future__ import annotations

from functools import cache

from advisory.engineering.survival import Lives, WatchedUnit, lives


@cache
def nist_lives() -> Lives:
    """NIST/SEMATECH e-Handbook 8.2.1.5: six failures, fourteen censored."""
    return lives(
        [10, 32, 56, 98, 122, 181, 50, 100, 125, 150] + [200] * 10, [True] * 6 + [False] * 14
    )


@cache
def nist_weibull_lives() -> Lives:
    """NIST/SEMATECH e-Handbook 8.4.1.3: ten failures, ten whole at 500 h."""
    return lives(
        [54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10,
        [True] * 10 + [False] * 10,
    )


@cache
def treated_lives() -> Lives:
    """Freireich's leukaemia trial of 1963, the arm on 6-MP: weeks of remission."""
    failed = [6, 6, 6, 7, 10, 13, 16, 22, 23]
    censored = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    return lives(failed + censored, [True] * len(failed) + [False] * len(censored))


@cache
def untreated_lives() -> Lives:
    """Freireich's leukaemia trial of 1963, the arm without."""
    weeks = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
    return lives(weeks, [True] * len(weeks))


@cache
def late_entry_lives() -> Lives:
    """Six lives, four of which came with age on them."""
    return lives([5, 8, 6, 10, 9, 12], [True, True, False, True, False, True], [0, 2, 4, 6, 0, 7])


# Three invented groups of twelve, half of them with a late entry: (entry, end, failed).
_INVENTED = (
    *((14, 110, 1), (0, 28, 1), (20, 39, 1), (14, 37, 1), (0, 22, 1), (7, 19, 1), (17, 60, 1)),
    *((20, 69, 1), (0, 52, 1), (0, 114, 0), (0, 64, 0), (25, 80, 1), (19, 77, 1), (21, 62, 0)),
    *((0, 9, 0), (0, 55, 0), (23, 65, 1), (0, 73, 1), (13, 101, 1), (24, 53, 0), (25, 34, 1)),
    *((0, 54, 1), (27, 128, 1), (9, 59, 1), (7, 123, 1), (0, 61, 0), (0, 86, 0), (0, 34, 0)),
    *((0, 21, 1), (6, 28, 1), (24, 43, 1), (1, 13, 1), (0, 101, 1), (0, 44, 1), (0, 40, 1)),
    (0, 70, 1),
)


@cache
def invented_lives() -> Lives:
    """Thirty-six invented lives, half with a late entry."""
    return lives(
        [end for _, end, _ in _INVENTED],
        [bool(failed) for *_, failed in _INVENTED],
        [entry for entry, _, _ in _INVENTED],
    )


@cache
def invented_groups() -> tuple[Lives, ...]:
    """Split the same into their three groups, the late entries left out."""
    return tuple(
        lives([end for _, end, _ in part], [bool(failed) for *_, failed in part])
        for part in (_INVENTED[:12], _INVENTED[12:24], _INVENTED[24:])
    )


# Days of service of 41 diesel engines, and at which their valve seats were replaced.
_VALVE_SEATS: tuple[tuple[int, ...], ...] = (
    *((761,), (759,), (667, 98), (667, 326, 653, 653), (665,), (667, 84), (663, 87), (653, 646)),
    *((653, 92), (651,), (650, 258, 328, 377, 621), (648, 61, 539), (644, 254, 276, 298, 640)),
    *((642, 76, 538), (641, 635), (649, 349, 404, 561), (631,), (596,), (614, 120, 479)),
    *((582, 323, 449), (589, 139, 139), (593,), (589, 573), (606, 165, 408, 604), (594, 249)),
    *((613, 344, 497), (595, 265, 586), (389, 166, 206, 348), (601,), (601, 410, 581), (611,)),
    *((608,), (587,), (603, 367), (585, 202, 563, 570), (587,), (578,), (578,), (586,), (585,)),
    (582,),
)


@cache
def valve_seat_units() -> tuple[WatchedUnit, ...]:
    """Nelson's valve seats: 41 engines, 48 replacements."""
    return tuple(
        WatchedUnit(float(end), tuple(float(age) for age in ages)) for end, *ages in _VALVE_SEATS
    )
