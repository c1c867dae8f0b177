"""Holds windrow's places against geographiclib (Karney 2013), which PyPI gives.

geodesy.py make FOLDER            writes a season of hard outlines, with photos around them and a track
geodesy.py compare FOLDER JSON    compares what `windrow check FOLDER --json` printed

Every distance, position and area is computed here a second time, by other means than windrow's: the nearest point of an edge by golden
section along the geodesic, inside or outside by the sum of the turns of the azimuth from corner to corner, areas by geographiclib's own polygons.
"""

import json
import math
import random
import struct
import sys
from pathlib import Path

from geographiclib.geodesic import Geodesic

EARTH = Geodesic.WGS84

# A millimetre a kilometre, and as much again for what is near: a tenth of a millimetre.
RELATIVE, ABSOLUTE = 1e-6, 1e-4

OUTLINES = {
    "mid": [[[(-45.010, 38.500), (-45.000, 38.501), (-45.001, 38.509), (-45.006, 38.512), (-45.011, 38.508)],
             [(-45.007, 38.503), (-45.004, 38.503), (-45.004, 38.506), (-45.007, 38.506)]]],
    "south": [[[(-60.02, -51.71), (-60.00, -51.71), (-60.00, -51.70), (-60.02, -51.69)]]],
    "across": [[[(179.99, 10.0), (-179.99, 10.0), (-179.99, 10.01), (179.99, 10.02)]]],
    "cut": [[[(179.99, -20.0), (180.0, -20.0), (180.0, -19.99), (179.99, -19.99)]],
            [[(-180.0, -20.0), (-179.99, -20.0), (-179.99, -19.99), (-180.0, -19.99)]]],
    "arctic": [[[(20.0, 78.0), (20.2, 78.0), (20.2, 78.02), (20.0, 78.03)]]],
    "wide": [[[(0.0, 60.0), (1.0, 60.0), (1.0, 60.3), (0.0, 60.3)]]],
    "clockwise": [[[(30.0, 1.0), (30.0, 1.01), (30.01, 1.01), (30.01, 1.0)]]],
    "islands": [[[(5.0, -1.0), (5.01, -1.0), (5.01, -0.99), (5.0, -0.99)]],
                [[(5.02, -1.0), (5.03, -1.0), (5.03, -0.99), (5.02, -0.99)]]],
}

TRACK = [("14:00:00", 38.5000, -45.0200), ("14:00:40", 38.5004, -45.0204), ("14:01:10", 38.5011, -45.0203), ("14:05:00", 38.5040, -45.0150)]
ASKED = ["14:00:07", "14:00:40", "14:01:00", "14:03:33", "14:04:59"]

JPEG = bytes.fromhex(
    "ffd8ffdb004300" + "10" * 64 + "ffc0000b080001000101011100ffc4001400010000000000000000000000000000000affc400141001000000000000"
    "00000000000000000000ffda0008010100003f0037ffd9"
)


def photo(taken, position, model):
    """A JPEG with time, offset and position; the position in degrees, minutes and ten-millionths of a second."""
    def text(tag, words):
        return tag, 2, len(words) + 1, words.encode() + b"\0"

    def angle(tag, degrees):
        parts = round(abs(degrees) * 3600e7)
        whole, minutes, rest = parts // 36_000_000_000, parts // 600_000_000 % 60, parts % 600_000_000
        return tag, 5, 3, struct.pack("<6I", whole, 1, minutes, 1, rest, 10_000_000)

    def table(rows, at):
        out, values = struct.pack("<H", len(rows)), b""
        free = at + 2 + 12 * len(rows) + 4
        for tag, kind, count, value in sorted(rows):
            if len(value) <= 4:
                out += struct.pack("<HHI", tag, kind, count) + value.ljust(4, b"\0")
            else:
                out += struct.pack("<HHII", tag, kind, count, free + len(values))
                values += value + b"\0" * (len(value) % 2)
        return out + b"\0\0\0\0" + values

    def long(tag, value):
        return tag, 4, 1, struct.pack("<I", value)

    exif = [text(0x9003, taken), text(0x9011, "+00:00")]
    gps = []
    if position:
        gps = [text(1, "S" if position[0] < 0 else "N"), angle(2, position[0]), text(3, "W" if position[1] < 0 else "E"), angle(4, position[1]),
               (0x1F, 5, 1, struct.pack("<2I", 5, 1))]
    first = [text(0x0110, model), long(0x8769, 0)] + ([long(0x8825, 0)] if gps else [])
    exif_at = 8 + len(table(first, 8))
    gps_at = exif_at + len(table(exif, exif_at))
    first = [text(0x0110, model), long(0x8769, exif_at)] + ([long(0x8825, gps_at)] if gps else [])
    block = b"II\x2a\0\x08\0\0\0" + table(first, 8) + table(exif, exif_at) + (table(gps, gps_at) if gps else b"")
    return JPEG[:2] + b"\xff\xe1" + struct.pack(">H", len(block) + 8) + b"Exif\0\0" + block + JPEG[2:]


def make(folder):
    chance = random.Random(7)
    (folder / "photos").mkdir(parents=True)
    (folder / "tracks").mkdir()
    (folder / "season.toml").write_text('programme = "Invented"\nyear = 2025\ntime_zone = "UTC"\n')
    (folder / "pulls.csv").write_text("pull,date,site,staff,volunteers,staff_hours,volunteer_hours\nP1,2025-06-14,mid,1,0,1,0\n")
    features = []
    for name, polygons in OUTLINES.items():
        rings = [[[list(corner) for corner in ring + ring[:1]] for ring in polygon] for polygon in polygons]
        features.append({"type": "Feature", "properties": {"id": name}, "geometry": {"type": "MultiPolygon", "coordinates": rings}})
    (folder / "sites.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    number = 0
    for polygons in OUTLINES.values():
        corners = [corner for polygon in polygons for ring in polygon for corner in ring]
        for spread in (0.2, 1.0, 4.0):
            for _ in range(6):
                # Around a corner, by a part of the outline's own size.
                longitude, latitude = chance.choice(corners)
                other = chance.choice(corners)
                east = (other[0] - longitude + 540) % 360 - 180
                longitude = (longitude + spread * chance.uniform(-0.5, 0.5) * max(abs(east), 0.003) + 540) % 360 - 180
                latitude = max(-89.9, min(89.9, latitude + spread * chance.uniform(-0.01, 0.01)))
                (folder / f"photos/p{number:04}.jpg").write_bytes(photo("2025:06:14 10:00:00", (latitude, longitude), "A"))
                number += 1
    for moment in ASKED:
        (folder / f"photos/t{moment.replace(':', '')}.jpg").write_bytes(photo(f"2025:06:14 {moment}", None, "B"))
    points = "".join(f'<trkpt lat="{lat}" lon="{lon}"><time>2025-06-14T{time}Z</time></trkpt>' for time, lat, lon in TRACK)
    (folder / "tracks/one.gpx").write_text(
        f'<?xml version="1.0"?><gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{points}</trkseg></trk></gpx>'
    )


def metres(a, b):
    return EARTH.Inverse(a[0], a[1], b[0], b[1], Geodesic.DISTANCE)["s12"]


def to_edge(point, start, end):
    """Metres from a point to a geodesic; corners are longitude and latitude."""
    line = EARTH.InverseLine(start[1], start[0], end[1], end[0])

    def away(part):
        place = line.Position(part * line.s13)
        return metres(point, (place["lat2"], place["lon2"]))

    # The nearest of some points along the edge brackets the least distance; golden section does the rest.
    steps = 32
    best = min(range(steps + 1), key=lambda step: away(step / steps))
    low, high = max(best - 1, 0) / steps, min(best + 1, steps) / steps
    golden = (math.sqrt(5) - 1) / 2
    for _ in range(60):
        a, b = high - golden * (high - low), low + golden * (high - low)
        if away(a) < away(b):
            high = b
        else:
            low = a
    return min(away(low), away(high), away((low + high) / 2))


def edges(polygons):
    for polygon in polygons:
        for ring in polygon:
            yield from zip(ring, ring[1:] + ring[:1])


def inside(point, polygon):
    """By the turns of the azimuth from the point: along one edge it turns by less than half a circle, and round a ring by a whole one."""
    def turns(ring):
        azimuths = [EARTH.Inverse(point[0], point[1], corner[1], corner[0], Geodesic.AZIMUTH)["azi1"] for corner in ring]
        total = sum((b - a + 540) % 360 - 180 for a, b in zip(azimuths, azimuths[1:] + azimuths[:1]))
        return round(total / 360) != 0

    return turns(polygon[0]) and not any(turns(hole) for hole in polygon[1:])


def area(polygons):
    def ring_area(ring):
        shape = EARTH.Polygon()
        for longitude, latitude in ring:
            shape.AddPoint(latitude, longitude)
        return abs(shape.Compute(False, True)[2])

    return sum(ring_area(polygon[0]) - sum(ring_area(hole) for hole in polygon[1:]) for polygon in polygons)


def compare(folder, check):
    said = json.loads(check.read_text())
    photos, worst, wrong, count = said["photos"], 0.0, 0, 0

    def close(what, ours, theirs):
        nonlocal worst, wrong, count
        count += 1
        limit = ABSOLUTE + RELATIVE * abs(theirs)
        worst = max(worst, abs(ours - theirs) / limit)
        if abs(ours - theirs) > limit:
            wrong += 1
            print(f"differs  {what}: windrow {ours}, geographiclib {theirs}")

    holes = set()
    for match in said["matches"]:
        path, placed = photos[match["photo"]]["path"], match["placed"]
        if placed is None:
            print(f"differs  {path}: windrow gives no position")
            wrong += 1
            continue
        point = (placed["latitude"], placed["longitude"])
        if path.startswith("photos/t"):
            moment = path[8:14]
            second = int(moment[:2]) * 3600 + int(moment[2:4]) * 60 + int(moment[4:])
            track = [(sum(int(part) * unit for part, unit in zip(time.split(":"), (3600, 60, 1))), lat, lon) for time, lat, lon in TRACK]
            a, b = next((a, b) for a, b in zip(track, track[1:]) if a[0] <= second <= b[0])
            line = EARTH.InverseLine(a[1], a[2], b[1], b[2])
            place = line.Position((second - a[0]) / (b[0] - a[0]) * line.s13)
            close(f"{path} along the track", metres(point, (place["lat2"], place["lon2"])), 0.0)
            continue
        site, told = (match["site"], match["distance_m"]) if match["site"] else match["nearest"]
        polygons = OUTLINES[site]
        if any(inside(point, polygon) for polygon in polygons):
            close(f"{path} within {site}", told, 0.0)
            holes.add("within")
            continue
        holes.add("without")
        # A cut along the antimeridian is no edge of a site.
        cut = lambda start, end: abs(start[0]) == 180 and abs(end[0]) == 180
        close(f"{path} to {site}", told, min(to_edge(point, *edge) for edge in edges(polygons) if not cut(*edge)))
    for site in said["sites"]:
        close(f"area of {site['id']}", site["area_m2"], area(OUTLINES[site["id"]]))
    assert holes == {"within", "without"}
    print(f"{count} distances, positions and areas; {wrong} differ; the largest is {worst:.1e} of what is allowed, a millimetre a kilometre and a tenth of a millimetre")
    return 1 if wrong else 0


if __name__ == "__main__":
    if sys.argv[1] == "make":
        make(Path(sys.argv[2]))
    else:
        sys.exit(compare(Path(sys.argv[2]), Path(sys.argv[3])))
