"""What the athlete does on every day: sessions made of segments, nothing about files yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from habits import HABITS
from scenario import Race, Scenario

HARD = 1.06
"""Hard work is done at this share of the second threshold, and nothing easy comes near it."""


@dataclass(frozen=True)
class Segment:
    """So many seconds at a share of the second threshold; nought is rest at a pool's wall."""

    seconds: int
    share: float


@dataclass(frozen=True)
class Session:
    """One session or one leg of a race.

    Attributes:
        day: local day. start_h: local hour of the start.
        sport: FIT sport name. kind: what it is for, in a word.
        segments: what is done, in order.
        race: whether it is part of a race.
    """

    day: date
    start_h: float
    sport: str
    kind: str
    segments: tuple[Segment, ...]
    race: bool = False

    @property
    def moving_s(self) -> int:
        """Seconds of training."""
        return sum(segment.seconds for segment in self.segments if segment.share > 0)

    @property
    def hard_s(self) -> int:
        """Seconds above the second threshold."""
        return sum(segment.seconds for segment in self.segments if segment.share > 1)


WEEK_FACTORS = (0.96, 1.04, 0.92, 1.0, 1.07, 1.0)
"""How the six weeks of a baseline differ from an ordinary week; their median is 1."""

_START_H = {"swimming": 6.5, "running": 7.25, "cycling": 8.5}


def sessions_before(scenario: Scenario, race: Race) -> list[Session]:
    """All sessions of the eight weeks before one race, in order of day."""
    scale = scenario.weekly_h / sum(HABITS[scenario.discipline].usual.values())
    sessions: list[Session] = []
    for block in range(8):
        first = race.day - timedelta(days=7 * (8 - block))
        if block < 6:
            sessions += _ordinary_week(scenario, first, scale * WEEK_FACTORS[block])
        elif block == 6:
            sessions += _ordinary_week(scenario, first, 0.82 * scale, ride_share=2 / 3)
        else:
            sessions += _race_week(scenario, race, first)
    return sorted(sessions, key=lambda session: (session.day, session.start_h))


def _ordinary_week(
    scenario: Scenario, first: date, scale: float, *, ride_share: float = 1.0
) -> list[Session]:
    week = []
    habit = HABITS[scenario.discipline]
    for (place, sport), hours in habit.usual.items():
        hard = habit.usual_hard.get((place, sport), 0)
        hard = round(hard * ride_share) if sport == "cycling" else hard
        day = first + timedelta(days=place)
        week.append(_session(scenario, day, sport, hours * scale, hard))
    return week


def _race_week(scenario: Scenario, race: Race, first: date) -> list[Session]:
    """The race week, scaled so that its moving time is exactly the cut that was planted."""
    target_s = scenario.weekly_h * 3600 * (1 - race.cut)
    scale = target_s / 3600 / sum(HABITS[scenario.discipline].race_week.values())
    for _ in range(20):
        week = _race_week_at(scenario, race, first, scale)
        scale *= target_s / sum(session.moving_s for session in week)
    return week


def _race_week_at(scenario: Scenario, race: Race, first: date, scale: float) -> list[Session]:
    habit = HABITS[scenario.discipline]
    shares = habit.panic if race.panic else habit.race_week
    hard = {place: race.hard.of(place[1]) for place in habit.race_hard}
    if race.panic:
        hard = {place: n or race.hard.of(place[1]) for place, n in habit.panic_hard.items()}
    week = []
    away = race.trip
    for (place, sport), hours in shares.items():
        before = 7 - place
        if away and away.arrive_before < before <= away.depart_before:
            continue
        day = first + timedelta(days=place)
        if before == 1:
            week.append(_opener(scenario, day, sport, hours * scale))
        else:
            week.append(_session(scenario, day, sport, hours * scale, hard.get((place, sport), 0)))
    return week


def _session(scenario: Scenario, day: date, sport: str, hours: float, hard: int) -> Session:
    """A session of so many hours, with its hard work in the middle."""
    make = {"running": _run, "cycling": _ride, "swimming": _swim}[sport]
    segments = make(scenario, day, hours * 3600, hard)
    kind = "intervals" if hard else "easy"
    return Session(day, _START_H[sport], sport, kind, tuple(segments))


def _seconds(value: float) -> int:
    """Whole steps of five seconds, as the device records them."""
    return max(5, 5 * round(value / 5))


def _filled(work: list[Segment], total_s: float, easy: float) -> list[Segment]:
    """Easy time before and after the work, so that the session is as long as it should be."""
    left = max(total_s - sum(s.seconds for s in work if s.share > 0), 600)
    if not work:
        return [Segment(_seconds(left), easy)]
    return [Segment(_seconds(left * 0.6), easy), *work, Segment(_seconds(left * 0.4), easy)]


def _run(scenario: Scenario, day: date, total_s: float, repetitions: int) -> list[Segment]:
    """Kilometres at a steady hard pace with jogs between them."""
    pace = HARD * scenario.critical_speed_mps[scenario.season(day)]
    work = [Segment(_seconds(1000 / pace), HARD), Segment(90, 0.6)] * repetitions
    return _filled(work[:-1], total_s, 0.74)


def _ride(scenario: Scenario, day: date, total_s: float, minutes: int) -> list[Segment]:
    """Two hard blocks with easy riding between them."""
    block = Segment(60 * minutes, HARD)
    return _filled([block, Segment(300, 0.55), block] if minutes else [], total_s, 0.66)


def _swim(scenario: Scenario, day: date, total_s: float, repetitions: int) -> list[Segment]:
    """Hundreds with rests at the wall; the rest of the swim in easy four hundreds."""
    speed = scenario.swim_speed_mps[scenario.season(day)]
    hard = [Segment(round(100 / (HARD * speed)), HARD), Segment(20, 0.0)] * repetitions
    left = total_s - sum(s.seconds for s in hard if s.share > 0)
    easy_s = round(400 / (0.84 * speed))
    count = max(round(left / easy_s), 1)
    easy = [Segment(easy_s, 0.84), Segment(30, 0.0)] * count
    middle = 2 * (count // 2 + 1)
    return [*easy[:middle], *hard, *easy[middle:]]


def _opener(scenario: Scenario, day: date, sport: str, hours: float) -> Session:
    """The day before: a short session with a few seconds of race effort."""
    bursts = [Segment(25, 1.25), Segment(120, 0.6)] * 4
    work = bursts[:-1] if sport == "cycling" else [Segment(20, 0.98), Segment(60, 0.6)] * 3
    segments = _filled(work, hours * 3600, 0.64)
    return Session(day, _START_H[sport], sport, "opener", tuple(segments))


def race_sessions(scenario: Scenario, race: Race, finish_s: float) -> list[Session]:
    """The race itself: its legs and changes add up to the finish time."""
    legs = [
        (sport, round(part if sport == "transition" else part * finish_s), share)
        for sport, part, share in HABITS[scenario.discipline].legs
    ]
    rest = round(finish_s) - sum(seconds for _, seconds, _ in legs)
    hour, sessions = 8.0, []
    for sport, seconds, share in legs:
        segment = Segment(seconds or rest, share)
        sessions.append(Session(race.day, hour, sport, "race", (segment,), race=True))
        hour += segment.seconds / 3600
    return sessions
