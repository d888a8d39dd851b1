"""The journal that the invented athlete kept."""

from __future__ import annotations

from datetime import timedelta

from scenario import Scenario
from truth import RaceTruth

NOTES = {
    "Tidewall Triathlon": "felt behind, trained to catch up",
    "Gullcliff Triathlon": "moved house that week, slept badly",
    "Marrowbank Triathlon": "long flight east, hot",
}


def journal_files(scenario: Scenario, truths: list[RaceTruth]) -> dict[str, bytes]:
    """File name -> bytes of the four files that a person keeps."""
    texts = {
        "athlete.toml": _athlete(scenario),
        "races.csv": _races(truths),
        "nights.csv": _nights(truths),
        "trips.csv": _trips(scenario, truths),
    }
    return {name: text.encode() for name, text in texts.items()}


def _athlete(scenario: Scenario) -> str:
    lines = [
        f'name = "{scenario.name}"',
        f'home_zone = "{scenario.home_zone}"',
        'sports = ["swimming", "cycling", "running"]',
        f'sex = "{scenario.sex}"',
    ]
    years = sorted({race.day.year for race in scenario.races})
    for season, year in enumerate(years[:2]):
        limits = {
            "swimming": ("critical_speed_mps", scenario.swim_speed_mps[season]),
            "cycling": ("critical_power_w", scenario.critical_power_w[season]),
            "running": ("critical_speed_mps", scenario.critical_speed_mps[season]),
        }
        for sport, (name, value) in limits.items():
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


def _races(truths: list[RaceTruth]) -> str:
    lines = [
        "date,name,sports,distance,finish_time,expected_time,reference_time,reference,"
        "place,field_size,temp_c,race_rpe,status,notes"
    ]
    for place, truth in enumerate(truths):
        race = truth.race
        reference = f"{_clock(race.expected_s * 1.09)},field median" if place >= 3 else ","
        notes = f'"{NOTES[race.name]}"' if race.name in NOTES else ""
        lines.append(
            f"{race.day},{race.name},triathlon,olympic,{_clock(truth.finish_s)},"
            f"{_clock(race.expected_s)},{reference},{race.place},{race.field},"
            f"{race.temp_c:g},{race.rpe:g},finished,{notes}"
        )
    return "\n".join(lines) + "\n"


def _nights(truths: list[RaceTruth]) -> str:
    lines = ["date,sleep_h,quality,notes"]
    for truth in truths:
        if truth.race.sleep_files:
            continue
        for day, hours in truth.nights.items():
            quality = 4 if hours > 7 else 3 if hours > 6 else 2
            lines.append(f"{day},{hours:.2f},{quality},")
    return "\n".join(lines) + "\n"


def _trips(scenario: Scenario, truths: list[RaceTruth]) -> str:
    lines = ["depart_date,arrive_date,from_zone,to_zone,travel_h,mode,notes"]
    for truth in truths:
        trip, race = truth.race.trip, truth.race
        if trip:
            depart = race.day - timedelta(days=trip.depart_before)
            arrive = race.day - timedelta(days=trip.arrive_before)
            lines.append(
                f"{depart},{arrive},{scenario.home_zone},{trip.zone},{trip.hours:g},plane,"
            )
    return "\n".join(lines) + "\n"
