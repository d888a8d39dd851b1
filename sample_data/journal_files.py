"""The journal that the invented athlete kept."""

from __future__ import annotations

from datetime import timedelta

from habits import HABITS
from scenario import Scenario
from truth import RaceTruth, toml_text

NOTES = {
    "Tidewall Triathlon": "felt behind, trained to catch up",
    "Gullcliff Triathlon": "moved house that week, slept badly",
    "Marrowbank Triathlon": "long flight east, hot",
}


def journal_files(scenario: Scenario, truths: list[RaceTruth]) -> dict[str, bytes]:
    """File name -> bytes of the four files that a person keeps."""
    texts = {
        "athlete.toml": _athlete(scenario),
        "races.csv": _races(scenario, truths),
        "nights.csv": _nights(scenario, truths),
        "trips.csv": _trips(scenario, truths),
    }
    return {name: text.encode() for name, text in texts.items()}


def _athlete(scenario: Scenario) -> str:
    sports = HABITS[scenario.discipline].sports
    lines = [
        f"name = {toml_text(scenario.name)}",
        f'home_zone = "{scenario.home_zone}"',
        f"sports = [{', '.join(map(toml_text, sports))}]",
        f'sex = "{scenario.sex}"',
    ]
    years = sorted({race.day.year for race in scenario.races})
    for season, year in enumerate(years[:2]):
        limits = {
            "swimming": ("critical_speed_mps", scenario.swim_speed_mps[season]),
            "cycling": ("critical_power_w", scenario.critical_power_w[season]),
            "running": ("critical_speed_mps", scenario.critical_speed_mps[season]),
        }
        for sport in sports:
            name, value = limits[sport]
            lines += ["", "[[thresholds]]", f"since = {year}-01-01", f'sport = "{sport}"']
            lines.append(f"{name} = {value}")
    lines += ["", "[[thresholds]]", f"since = {years[0]}-01-01"]
    lines.append(f"second_threshold_heart_rate_bpm = {scenario.threshold_bpm}")
    lines.append(f"max_heart_rate_bpm = {scenario.max_bpm}")
    lines.append(f"resting_heart_rate_bpm = {scenario.resting_bpm}")
    return "\n".join(lines) + "\n"


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 3600}:{whole % 3600 // 60:02d}:{whole % 60:02d}"


def _races(scenario: Scenario, truths: list[RaceTruth]) -> str:
    lines = [
        "date,name,sports,distance,finish_time,expected_time,reference_time,reference,"
        "place,field_size,temp_c,race_rpe,status,notes"
    ]
    habit = HABITS[scenario.discipline]
    for truth in truths:
        race = truth.race
        head = f"{race.day},{_cell(race.name)},{habit.race},{habit.distance}"
        expected = _clock(race.expected_s)
        if not race.told:
            lines.append(f"{head},,{expected},,,,,,,,")
            continue
        reference = f"{_clock(race.expected_s * 1.09)},field median" if race.field_median else ","
        lines.append(
            f"{head},{_clock(truth.finish_s)},{expected},{reference},{race.place},{race.field},"
            f"{race.temp_c:g},{race.rpe:g},finished,{_cell(NOTES.get(race.name, ''))}"
        )
    if scenario.next_race:
        day, name, expected_s = scenario.next_race
        head = f"{day},{_cell(name)},{habit.race},{habit.distance}"
        lines.append(f"{head},,{_clock(expected_s)},,,,,,,,")
    return "\n".join(lines) + "\n"


def _cell(text: str) -> str:
    """A text as a cell of a CSV file."""
    return '"' + text.replace('"', '""') + '"' if set(text) & set(',"') else text


def _nights(scenario: Scenario, truths: list[RaceTruth]) -> str:
    lines = ["date,sleep_h,quality,notes"]
    for truth in truths:
        if truth.race.sleep_files:
            continue
        for day, hours in list(truth.nights.items())[:: scenario.nights_every]:
            quality = 4 if hours > 7 else 3 if hours > 6 else 2
            lines.append(f"{day},{hours:.2f},{quality},")
    return "\n".join(lines) + "\n"


def _trips(scenario: Scenario, truths: list[RaceTruth]) -> str:
    """The trips to races, and home again where another race follows."""
    lines = ["depart_date,arrive_date,from_zone,to_zone,travel_h,mode,notes"]
    home = scenario.home_zone
    for place, truth in enumerate(truths, 1):
        trip, day = truth.race.trip, truth.race.day
        if not trip:
            continue
        depart, arrive = (day - timedelta(days=k) for k in (trip.depart_before, trip.arrive_before))
        lines.append(f"{depart},{arrive},{home},{trip.zone},{trip.hours:g},plane,")
        if place < len(truths) or scenario.next_race:
            depart, arrive = day + timedelta(days=1), day + timedelta(days=2)
            lines.append(f"{depart},{arrive},{trip.zone},{home},{trip.hours:g},plane,")
    return "\n".join(lines) + "\n"
