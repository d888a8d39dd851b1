"""Who the athletes of the invented squad are; nobody and nowhere here is real."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from habits import HABITS


@dataclass(frozen=True)
class Profile:
    """Who an athlete is, before anything is drawn.

    Attributes:
        home: latitude and longitude.
        races: how many lie behind the athlete. panics: before how many of them was panic.
        told: whether the journal has any result. nights_every: of so many nights it tells one.
    """

    folder: str
    name: str
    sex: str
    zone: str
    home: tuple[float, float]
    races: int
    discipline: str = "triathlon"
    panics: int = 0
    told: bool = True
    nights_every: int = 1


NAMED = (
    Profile("joerun", "Jörun O'Vellig <Ö&Co>", "male", "Europe/Berlin", (52.81, 12.32), 5),
    Profile("maelis", "Maëlis Quillfenne", "female", "Europe/Paris", (47.12, 1.63), 3),
    Profile("bertok", "Bertók Sandmarrow", "male", "Europe/Budapest", (46.83, 19.31), 3),
    Profile("ysane", "Ysane Ferrowick", "female", "America/Denver", (39.28, -104.21), 4),
    Profile("ivo", "Ivo Marrowelle", "male", "America/Sao_Paulo", (-22.12, -48.14), 4, panics=1),
    Profile("senna", "Senna Larkenfeld", "female", "Australia/Perth", (-32.24, 116.42), 6),
    Profile(
        "pirkko", "Pirkko Vainolund", "female", "Europe/Helsinki", (61.22, 24.11), 5, "running"
    ),
    Profile("zuri", "Zuri Elmbarrow", "female", "Africa/Nairobi", (-0.61, 36.92), 5, "cycling"),
    Profile("rafe", "Rafe Thornquaye", "male", "Asia/Kolkata", (21.12, 78.64), 6, panics=2),
    Profile("tamsel", "Tamsel Oakenrune", "female", "America/St_Johns", (48.42, -56.02), 8),
    Profile(
        "odo", "Odo Brackwelle", "male", "Pacific/Auckland", (-38.54, 176.02), 5, nights_every=4
    ),
    Profile("linnea", "Linnéa Wrenholtz", "female", "Asia/Tokyo", (36.34, 139.22), 2, told=False),
)
"""The twelve: three races to eight, a runner, a rider, two who panic, one whose nights are thin,
and one with races and no result."""

_FIRST = ("Alvo", "Brisa", "Cato", "Dunja", "Eskil", "Fenja", "Goran", "Hesper", "Ilka", "Jarle")
_LAST_A = ("Bramble", "Corven", "Dusk", "Elder", "Fallow", "Gorse", "Hather", "Iron", "Larch")
_LAST_B = ("wynde", "marrow", "quill", "holtz", "fenne", "thorpel", "rune")


def drawn_profile(place: int, rng: np.random.Generator) -> Profile:
    """One more athlete, who lives near one of the twelve and has three or four races."""
    first = str(rng.choice(_FIRST))
    near = NAMED[int(rng.integers(len(NAMED)))]
    discipline = str(rng.choice(list(HABITS), p=[0.8, 0.1, 0.1]))
    return Profile(
        f"{first.lower()}-{place + 1:03d}",
        f"{first} {rng.choice(_LAST_A)}{rng.choice(_LAST_B)}",
        str(rng.choice(["female", "male"])),
        near.zone,
        (near.home[0] + rng.uniform(-0.1, 0.1), near.home[1] + rng.uniform(-0.1, 0.1)),
        int(rng.integers(3, 5)),
        discipline,
        panics=int(discipline == "triathlon" and rng.random() < 0.15),
    )
