"""The printed tables of ISO 286 for sizes to 500 mm: tolerances and fundamental deviations.

ISO 286-1:2010, tables 1 to 5 (from memory; each value that two published libraries also carry was
compared with theirs). The printed values are rounded by hand and do not follow the formula; they
are therefore shipped as they are printed. All in micrometres; a step runs over its lower limit up
to and including its upper one.
"""

from __future__ import annotations

MAIN_STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
"""Upper limits of the main steps of size [mm]."""

FINE_STEPS = (
    *(3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180),
    *(200, 225, 250, 280, 315, 355, 400, 450, 500),
)
"""Upper limits of the divided steps, for deviations that change within a main step [mm]."""

STANDARD_TOLERANCES: dict[int, tuple[float, ...]] = {
    1: (0.8, 1, 1, 1.2, 1.5, 1.5, 2, 2.5, 3.5, 4.5, 6, 7, 8),
    2: (1.2, 1.5, 1.5, 2, 2.5, 2.5, 3, 4, 5, 7, 8, 9, 10),
    3: (2, 2.5, 2.5, 3, 4, 4, 5, 6, 8, 10, 12, 13, 15),
    4: (3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20),
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400),
    12: (100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630),
    13: (140, 180, 220, 270, 330, 390, 460, 540, 630, 720, 810, 890, 970),
    14: (250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150, 1300, 1400, 1550),
    15: (400, 480, 580, 700, 840, 1000, 1200, 1400, 1600, 1850, 2100, 2300, 2500),
    16: (600, 750, 900, 1100, 1300, 1600, 1900, 2200, 2500, 2900, 3200, 3600, 4000),
    17: (1000, 1200, 1500, 1800, 2100, 2500, 3000, 3500, 4000, 4600, 5200, 5700, 6300),
    18: (1400, 1800, 2200, 2700, 3300, 3900, 4600, 5400, 6300, 7200, 8100, 8900, 9700),
}
"""Width of the tolerance by grade (IT1 to IT18) and main step."""

CLEARANCE_DEVIATIONS: dict[str, tuple[float, ...]] = {
    "d": (20, 30, 40, 50, 65, 80, 100, 120, 145, 170, 190, 210, 230),
    "e": (14, 20, 25, 32, 40, 50, 60, 72, 85, 100, 110, 125, 135),
    "f": (6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68),
    "g": (2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20),
    "h": (0,) * 13,
}
"""How far below size a shaft's upper limit lies, and above it a hole's lower, by main step."""

WIDE_DEVIATIONS: dict[str, tuple[float, ...]] = {
    "a": (
        *(270, 270, 280, 290, 290, 300, 300, 310, 320, 340, 360, 380, 410, 460, 520, 580),
        *(660, 740, 820, 920, 1050, 1200, 1350, 1500, 1650),
    ),
    "b": (
        *(140, 140, 150, 150, 150, 160, 160, 170, 180, 190, 200, 220, 240, 260, 280, 310),
        *(340, 380, 420, 480, 540, 600, 680, 760, 840),
    ),
    "c": (
        *(60, 70, 80, 95, 95, 110, 110, 120, 130, 140, 150, 170, 180, 200, 210, 230),
        *(240, 260, 280, 300, 330, 360, 400, 440, 480),
    ),
}
"""As `CLEARANCE_DEVIATIONS`, by divided step."""

TRANSITION_DEVIATIONS: dict[str, tuple[float, ...]] = {
    "k": (0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5),
    "m": (2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23),
    "n": (4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40),
    "p": (6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68),
}
"""How far above size a shaft's lower limit lies, by main step; k holds for IT4 to IT7, else 0."""

INTERFERENCE_DEVIATIONS: dict[str, tuple[float | None, ...]] = {
    "r": (
        *(10, 15, 19, 23, 23, 28, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68),
        *(77, 80, 84, 94, 98, 108, 114, 126, 132),
    ),
    "s": (
        *(14, 19, 23, 28, 28, 35, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108),
        *(122, 130, 140, 158, 170, 190, 208, 232, 252),
    ),
    "t": (
        *(None, None, None, None, None, None, 41, 48, 54, 66, 75, 91, 104, 122, 134, 146),
        *(166, 180, 196, 218, 240, 268, 294, 330, 360),
    ),
    "u": (
        *(18, 23, 28, 33, 33, 41, 48, 60, 70, 87, 102, 124, 144, 170, 190, 210),
        *(236, 258, 284, 315, 350, 390, 435, 490, 540),
    ),
}
"""As `TRANSITION_DEVIATIONS`, by divided step; None where the standard has none."""

SHAFT_J: dict[int, tuple[float, ...]] = {
    5: (2, 2, 2, 3, 4, 5, 7, 9, 11, 13, 16, 18, 20),
    6: (2, 2, 2, 3, 4, 5, 7, 9, 11, 13, 16, 18, 20),
    7: (4, 4, 5, 6, 8, 10, 12, 15, 18, 21, 26, 28, 32),
}
"""How far below size the lower limit of a shaft j lies, by grade and main step."""

HOLE_J: dict[int, tuple[float, ...]] = {
    6: (2, 5, 5, 6, 8, 10, 13, 16, 18, 22, 25, 29, 33),
    7: (4, 6, 8, 10, 12, 14, 18, 22, 26, 30, 36, 39, 43),
    8: (6, 10, 12, 15, 20, 24, 28, 34, 41, 47, 55, 60, 66),
}
"""How far above size the upper limit of a hole J lies, by grade and main step."""

PRINTED_EXCEPTIONS: dict[tuple[str, int, int], float] = {("M", 6, 315): -9.0}
"""Upper deviation of a hole where the printed table leaves its own rule: letter, grade, step."""
