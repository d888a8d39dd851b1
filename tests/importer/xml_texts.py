"""TCX and GPX files that the tests share."""

from __future__ import annotations

TCX_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<TrainingCenterDatabase xmlns="http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2"
 xmlns:x="http://www.garmin.com/xmlschemas/ActivityExtension/v2"><Activities>
<Activity Sport="Biking"><Id>2030-05-01T06:00:00Z</Id>
<Lap StartTime="2030-05-01T06:00:00Z"><TotalTimeSeconds>120</TotalTimeSeconds>
<DistanceMeters>1200</DistanceMeters>"""
TCX_TAIL = "</Lap></Activity></Activities></TrainingCenterDatabase>"


def tcx_point(second: int) -> str:
    """One track point with every channel."""
    return f"""<Trackpoint><Time>2030-05-01T06:{second // 60:02d}:{second % 60:02d}.000Z</Time>
<Position><LatitudeDegrees>40.5</LatitudeDegrees><LongitudeDegrees>-8.2</LongitudeDegrees></Position>
<AltitudeMeters>{100 + second % 3}</AltitudeMeters><DistanceMeters>{10 * second}</DistanceMeters>
<HeartRateBpm><Value>{130 + second % 4}</Value></HeartRateBpm><Cadence>88</Cadence>
<Extensions><x:TPX><x:Speed>10.0</x:Speed><x:Watts>210</x:Watts></x:TPX></Extensions>
</Trackpoint>"""


def tcx(*, pause: bool = False) -> bytes:
    """A ride of two minutes; with a pause, its middle minute is missing."""
    first = "".join(tcx_point(second) for second in range(30 if pause else 60))
    second = "".join(tcx_point(second) for second in range(90 if pause else 60, 120))
    return f"{TCX_HEAD}<Track>{first}</Track><Track>{second}</Track>{TCX_TAIL}".encode()


def gpx(*, times: bool = True, kind: str = "running", lat_step: float = 3e-5) -> bytes:
    """A run of a minute northwards at about 3.3 m/s, heart rate in an extension."""
    points = "".join(
        f'<trkpt lat="{40.5 + lat_step * second:.6f}" lon="-8.2"><ele>10</ele>'
        + (f"<time>2030-05-01T06:00:{second:02d}Z</time>" if times else "")
        + "<extensions><g:TrackPointExtension><g:hr>141</g:hr></g:TrackPointExtension>"
        + "</extensions></trkpt>"
        for second in range(60)
    )
    return (
        '\n<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1" xmlns:g="urn:g">'
        f"<trk><type>{kind}</type><trkseg>{points}</trkseg></trk></gpx>"
    ).encode()
