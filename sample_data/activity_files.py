"""Sessions as the files that devices write: FIT, TCX, GPX."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np

from fit_writer import FitWriter, degrees
from plan import Session
from signals import POOL_M, Length, Track

NAMES = {"swimming": "lap_swimming", "cycling": "road", "running": "generic"}


def start_utc(session: Session, offset_s: float) -> datetime:
    """When the session starts, from its local day and hour."""
    midnight = datetime.combine(session.day, datetime.min.time(), UTC)
    return midnight + timedelta(hours=session.start_h) - timedelta(seconds=offset_s)


def fit_open(start: datetime, *, big_endian: bool = False) -> FitWriter:
    """The head of an activity file."""
    writer = FitWriter(big_endian=big_endian)
    return writer.message("file_id", type="activity", time_created=start)


def fit_track(
    writer: FitWriter,
    track: Track,
    start: datetime,
    *,
    power: bool,
    distance_from_m: float = 0.0,
    developer: bool = False,
    dropout: tuple[int, int] = (0, 0),
    spike_at: int = -1,
) -> None:
    """The readings of one leg, with the timer's stops and starts around them.

    Heart rate is missing within `dropout` and wrong at `spike_at`, both counted in readings.
    """
    began = start.timestamp()
    writer.message("event", timestamp=began, event="timer", event_type="start")
    stops = list(track.pauses)
    for place, second in enumerate(track.time_s.tolist()):
        while stops and stops[0][1] <= second:
            for moment, kind in zip(stops.pop(0), ("stop_all", "start"), strict=True):
                writer.message("event", timestamp=began + moment, event="timer", event_type=kind)
        rate: float | None = track.heart_rate_bpm[place]
        rate = None if dropout[0] <= place < dropout[1] else 228.0 if place == spike_at else rate
        values = {
            "timestamp": began + second,
            "position_lat": degrees(track.lat[place]),
            "position_long": degrees(track.lon[place]),
            "altitude": track.altitude_m[place],
            "distance": distance_from_m + track.distance_m[place],
            "speed": track.speed_mps[place],
            "heart_rate": rate,
            "cadence": track.cadence_rpm[place],
        }
        if power:
            values["power"] = track.power_w[place]
        extra = [(0, 0, 0x84, 300 + place % 40)] if developer else []
        writer.message("record", developer=extra, **values)
    ended = began + float(track.time_s[-1])
    writer.message("event", timestamp=ended, event="timer", event_type="stop_all")


def fit_lengths(writer: FitWriter, lengths: Sequence[Length], start: datetime) -> None:
    """The lengths of a pool swim."""
    for length in lengths:
        writer.message(
            "length",
            timestamp=start.timestamp() + length.start_s + length.seconds,
            start_time=start.timestamp() + length.start_s,
            total_elapsed_time=length.seconds,
            total_timer_time=length.seconds,
            length_type="active" if length.active else "idle",
        )


def fit_strap(writer: FitWriter, rates: np.ndarray, start: datetime) -> None:
    """Heart rate that a strap kept to itself, a reading a second, handed over after the swim."""
    clock = 5000
    writer.message("hr", timestamp=start, event_timestamp=float(clock), filtered_bpm=int(rates[0]))
    for first in range(1, len(rates) - 7, 8):
        ticks = [(1024 * (clock + first + k)) % 4096 for k in range(8)]
        pairs = zip(ticks[0::2], ticks[1::2], strict=True)
        packed = b"".join(bytes([a & 0xFF, a >> 8 | (b & 0xF) << 4, b >> 4]) for a, b in pairs)
        rates_now = [int(rate) for rate in rates[first : first + 8]]
        writer.message("hr", event_timestamp_12=packed, filtered_bpm=rates_now)


def fit_session(
    writer: FitWriter,
    session: Session,
    start: datetime,
    *,
    elapsed_s: float,
    timer_s: float,
    distance_m: float,
    rpe: float | None,
    sub_sport: str = "",
) -> None:
    """The summary of one leg."""
    values = {
        "timestamp": start.timestamp() + elapsed_s,
        "start_time": start,
        "sport": session.sport,
        "total_elapsed_time": elapsed_s,
        "total_timer_time": timer_s,
        "total_distance": distance_m,
    }
    if session.sport == "swimming" and not session.race:
        values |= {"sub_sport": "lap_swimming", "pool_length": POOL_M}
    elif session.sport == "swimming":
        values |= {"sub_sport": "open_water"}
    elif sub_sport:
        values |= {"sub_sport": sub_sport}
    if rpe is not None:
        values |= {"workout_rpe": 10 * rpe, "workout_feel": 75}
    writer.message(
        "lap", **{k: v for k, v in values.items() if not k.startswith(("workout", "pool"))}
    )
    writer.message("session", **values)


def fit_close(writer: FitWriter, end: datetime, offset_s: float, sessions: int) -> bytes:
    """The file's last message, which carries the local clock."""
    writer.message(
        "activity",
        timestamp=end,
        local_timestamp=end.timestamp() + offset_s,
        num_sessions=sessions,
        total_timer_time=0.0,
    )
    return writer.bytes()


SLEEP_PATTERN = (
    ("light", 0.14),
    ("deep", 0.2),
    ("light", 0.16),
    ("rem", 0.12),
    ("light", 0.18),
    ("rem", 0.2),
)


def sleep_file(woke: datetime, asleep_h: float) -> bytes:
    """A night: levels of sleep with twelve minutes awake in its middle."""
    asleep_s, awake_s = asleep_h * 3600, 720
    clock = woke.timestamp() - asleep_s - awake_s
    writer = FitWriter().message("file_id", type="monitoring_b", time_created=woke)
    for place, (level, share) in enumerate(SLEEP_PATTERN):
        if place == 3:
            writer.message("sleep_level", timestamp=round(clock), sleep_level="awake")
            clock += awake_s
        writer.message("sleep_level", timestamp=round(clock), sleep_level=level)
        clock += share * asleep_s
    writer.message("sleep_level", timestamp=round(woke.timestamp()), sleep_level="awake")
    return writer.bytes()


def tcx_file(track: Track, session: Session, start: datetime) -> bytes:
    """The readings as TCX, with speed and power in its extension."""
    sport = {"cycling": "Biking", "running": "Running"}.get(session.sport, "Other")
    points = "".join(
        f"<Trackpoint><Time>{_iso(start, track.time_s[k])}</Time><Position>"
        f"<LatitudeDegrees>{track.lat[k]:.6f}</LatitudeDegrees>"
        f"<LongitudeDegrees>{track.lon[k]:.6f}</LongitudeDegrees></Position>"
        f"<AltitudeMeters>{track.altitude_m[k]:.1f}</AltitudeMeters>"
        f"<DistanceMeters>{track.distance_m[k]:.1f}</DistanceMeters>"
        f"<HeartRateBpm><Value>{track.heart_rate_bpm[k]:.0f}</Value></HeartRateBpm>"
        f"<Extensions><e:TPX><e:Speed>{track.speed_mps[k]:.3f}</e:Speed>"
        f"<e:Watts>{track.power_w[k]:.0f}</e:Watts></e:TPX></Extensions></Trackpoint>\n"
        for k in range(len(track.time_s))
    )
    home = "http://www.garmin.com/xmlschemas"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<TrainingCenterDatabase '
        f'xmlns="{home}/TrainingCenterDatabase/v2" xmlns:e="{home}/ActivityExtension/v2">'
        f'<Activities><Activity Sport="{sport}"><Id>{_iso(start, 0)}</Id>'
        f'<Lap StartTime="{_iso(start, 0)}">'
        f"<TotalTimeSeconds>{track.time_s[-1]:.0f}</TotalTimeSeconds>"
        f"<DistanceMeters>{track.distance_m[-1]:.1f}</DistanceMeters><Track>\n{points}</Track>"
        "</Lap></Activity></Activities></TrainingCenterDatabase>\n"
    ).encode()


def gpx_file(track: Track, session: Session, start: datetime) -> bytes:
    """The readings as GPX 1.1, with speed and heart rate as extensions."""
    points = "".join(
        f'<trkpt lat="{track.lat[k]:.6f}" lon="{track.lon[k]:.6f}">'
        f"<ele>{track.altitude_m[k]:.1f}</ele><time>{_iso(start, track.time_s[k])}</time>"
        f"<extensions><t:speed>{track.speed_mps[k]:.3f}</t:speed>"
        f"<t:hr>{track.heart_rate_bpm[k]:.0f}</t:hr></extensions></trkpt>\n"
        for k in range(len(track.time_s))
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="sample" '
        'xmlns="http://www.topografix.com/GPX/1/1" xmlns:t="urn:sample:point">'
        f"<trk><type>{session.sport}</type><trkseg>\n{points}</trkseg></trk></gpx>\n"
    ).encode()


def _iso(start: datetime, second: float) -> str:
    return f"{start + timedelta(seconds=float(second)):%Y-%m-%dT%H:%M:%SZ}"
