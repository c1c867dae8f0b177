#!/usr/bin/env python3
"""Compares what windrow read from photos with what exiftool reads, value by value.

Usage: photos.py FOLDER JSON

FOLDER is the season folder; JSON is what `windrow check FOLDER --json` printed, whose field "photos" is a list.
Each difference is printed on a line of its own. Exit code 0: none; 1: at least one; 2: the comparison can't be made.

A value that windrow left out because it can't be true (a blank time, a position of 0 0) is not a difference, as long as
windrow names that tag among the photo's troubles. Such values are counted and printed apart.

exiftool is asked for numbers as stored (-n) and for the group of each tag (-G1), so that only EXIF is compared: values
from XMP, maker notes or exiftool's own composites don't count.
"""

import json
import re
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

# Degrees of position: a billionth is a tenth of a millimetre. The other is for metres and degrees of bearing.
DEGREES = 1e-9
METRES = 1e-6

# Best first: name of the time in the standard, exiftool's name with its group, and the tags that go with it.
CLOCKS = [
    ("DateTimeOriginal", "ExifIFD:DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal"),
    ("DateTimeDigitized", "ExifIFD:CreateDate", "SubSecTimeDigitized", "OffsetTimeDigitized"),
    ("DateTime", "IFD0:ModifyDate", "SubSecTime", "OffsetTime"),
]

# Where exiftool puts the size of the stored picture, by format; a maker's or EXIF's own idea of it is not meant.
SIZE_GROUPS = ("File", "PNG", "RIFF", "IFD0", "Meta")


def exiftool(folder, paths):
    """What exiftool reads from the files, by path."""
    listed = "\n".join(str(folder / path) for path in paths)
    command = ["exiftool", "-json", "-n", "-G1", "-@", "-"]
    done = subprocess.run(command, input=listed, capture_output=True, text=True, encoding="utf-8", errors="replace")
    if not done.stdout.strip():
        sys.exit(f"exiftool read nothing: {done.stderr.strip()}")
    read = json.loads(done.stdout)
    return {str(Path(tags["SourceFile"]).relative_to(folder)): tags for tags in read}


def number(value):
    """A value as a number, or None: exiftool prints 'undef' and 'inf' for fractions without a denominator."""
    if isinstance(value, (int, float)):
        return float(value)
    try:
        found = float(str(value))
    except ValueError:
        return None
    return found if abs(found) != float("inf") and found == found else None


def local_time(text, fraction):
    """A time as EXIF writes it, with its fraction of a second; None if it is none."""
    match = re.fullmatch(r"(\d{4})[:\-/.](\d\d)[:\-/.](\d\d)[ T](\d\d):(\d\d):(\d\d)", str(text).strip())
    if not match:
        return None
    try:
        time = datetime(*(int(part) for part in match.groups()))
    except ValueError:
        return None
    # exiftool prints digits as a number only where no zero leads them, so that none is lost.
    digits = str(fraction if fraction is not None else "").strip()
    if digits.isdigit():
        time += timedelta(microseconds=int(digits[:6].ljust(6, "0")))
    return time


def minutes(text):
    """An offset as minutes east of UTC; None if it is none."""
    text = str(text if text is not None else "").strip()
    if text == "Z":
        return 0
    match = re.fullmatch(r"([+-])(\d\d):?(\d\d)", text)
    if not match:
        return None
    sign, hours, rest = match.groups()
    return (int(hours) * 60 + int(rest)) * (1 if sign == "+" else -1)


def signed(tags, name, negative):
    value = number(tags.get(f"GPS:{name}"))
    reference = str(tags.get(f"GPS:{name}Ref", "")).strip().upper()
    if value is None or not reference:
        return None
    return -abs(value) if reference == negative else abs(value)


def camera(tags):
    """Make and model, the make left out where the model begins with its first word."""
    make, model = (
        " ".join(str(tags.get(f"IFD0:{name}", "")).split()) for name in ("Make", "Model")
    )
    if make and model and make.split()[0].lower() != model.split()[0].lower():
        return f"{make} {model}"
    return model or make or None


def theirs(tags):
    """The values that exiftool gives for one photo, under our names, each with the EXIF tags that it comes from."""
    values = {}
    for name, key, fraction, offset in CLOCKS:
        time = local_time(tags.get(key, ""), tags.get(f"ExifIFD:{fraction}"))
        if time is not None:
            values["captured"] = (time, [name, fraction])
            values["offset"] = (minutes(tags.get(f"ExifIFD:{offset}")), [name, offset])
            break
    latitude, longitude = signed(tags, "GPSLatitude", "S"), signed(tags, "GPSLongitude", "W")
    if latitude is not None and longitude is not None:
        place = ["GPSLatitude", "GPSLongitude", "GPSLatitudeRef", "GPSLongitudeRef"]
        values["latitude"] = (latitude, place)
        values["longitude"] = (longitude, place)
        altitude = number(tags.get("GPS:GPSAltitude"))
        if altitude is not None:
            below = number(tags.get("GPS:GPSAltitudeRef")) in (1.0, 3.0)
            values["altitude_m"] = (-altitude if below else altitude, [*place, "GPSAltitude", "GPSAltitudeRef"])
        error = number(tags.get("GPS:GPSHPositioningError"))
        values["error_m"] = (error, [*place, "GPSHPositioningError"])
    bearing = number(tags.get("GPS:GPSImgDirection"))
    if bearing is not None:
        values["bearing"] = (bearing % 360, ["GPSImgDirection"])
        reference = str(tags.get("GPS:GPSImgDirectionRef", "")).strip()
        north = {"T": "True", "M": "Magnetic"}.get(reference, "Unknown")
        values["north"] = (north, ["GPSImgDirection"])
    day, clock = tags.get("GPS:GPSDateStamp"), tags.get("GPS:GPSTimeStamp")
    if day and clock:
        whole, _, fraction = str(clock).partition(".")
        values["gps_time"] = (local_time(f"{day} {whole}", fraction or None), ["GPSDateStamp", "GPSTimeStamp"])
    values["orientation"] = (number(tags.get("IFD0:Orientation", 1)), ["Orientation"])
    values["camera"] = (camera(tags), ["Make", "Model"])
    for group in SIZE_GROUPS:
        if f"{group}:ImageWidth" in tags:
            values["width"] = (number(tags[f"{group}:ImageWidth"]), ["file"])
            values["height"] = (number(tags[f"{group}:ImageHeight"]), ["file"])
            break
    return values


def ours(photo):
    """The same values from one photo of windrow's list."""
    values = {"orientation": float(photo["orientation"]), "camera": photo["camera"]}
    if photo["captured"]:
        values["captured"] = datetime.fromisoformat(photo["captured"]["local"][:26])
        values["offset"] = minutes(photo["captured"]["offset"])
    if photo["gps_time"]:
        values["gps_time"] = datetime.fromisoformat(photo["gps_time"].rstrip("Z")[:26])
    if photo["position"]:
        values.update(photo["position"])
    if photo["bearing"]:
        values["bearing"] = photo["bearing"]["degrees"]
        values["north"] = photo["bearing"]["reference"]
    if photo["dimensions"]:
        values["width"], values["height"] = (float(side) for side in photo["dimensions"])
    return values


def same(name, our, their):
    if our is None or their is None:
        return our is their
    if name in ("latitude", "longitude"):
        return abs(our - their) <= DEGREES
    if isinstance(their, float):
        return abs(our - their) <= METRES
    if isinstance(their, datetime):
        # exiftool cuts or rounds long fractions of a second.
        return abs(our - their) <= timedelta(milliseconds=1)
    return our == their


def compare(photo, tags):
    """Differences, and values left out with a trouble, as lines of text."""
    our_values, their_values = ours(photo), theirs(tags)
    named = {trouble["tag"] for trouble in photo["troubles"]}
    differences, left_out, compared = [], [], 0
    for name in sorted(our_values.keys() | their_values.keys()):
        our = our_values.get(name)
        their, sources = their_values.get(name, (None, []))
        compared += our is not None or their is not None
        if same(name, our, their):
            continue
        line = f"{photo['path']}: {name}: windrow {our}, exiftool {their}"
        if our is None and named & {*sources, "EXIF"}:
            left_out.append(line)
        else:
            differences.append(line)
    return differences, left_out, compared


def main():
    if len(sys.argv) != 3:
        print(__doc__.strip(), file=sys.stderr)
        return 2
    folder = Path(sys.argv[1]).resolve()
    photos = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))["photos"]
    if not photos:
        print("no photos to compare", file=sys.stderr)
        return 2
    read = exiftool(folder, [photo["path"] for photo in photos])
    all_differences, all_left_out, all_compared = [], [], 0
    for photo in photos:
        tags = read.get(photo["path"])
        if tags is None:
            all_differences.append(f"{photo['path']}: exiftool could not read it")
            continue
        differences, left_out, compared = compare(photo, tags)
        all_differences += differences
        all_left_out += left_out
        all_compared += compared
    for line in all_left_out:
        print(f"left out with a trouble: {line}")
    for line in all_differences:
        print(f"DIFFERENCE: {line}")
    print(
        f"{len(photos)} photos, {all_compared} values compared, {len(all_left_out)} left out with a trouble, "
        f"{len(all_differences)} differences"
    )
    return 1 if all_differences else 0


if __name__ == "__main__":
    sys.exit(main())
