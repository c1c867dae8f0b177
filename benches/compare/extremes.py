"""Makes the season folders that are hardest on memory. All is invented, nothing is random: the same words give the same folder.

They are what the limits of windrow let in: as many files as an archive holds, with none, one, two or three doubts a photo; the most rows of
every table, with an error in each; as many kinds of container as the log has rows; the most sites; and all of that but the kinds at once.
"""

import json
import os
import subprocess
from pathlib import Path

MOST_PHOTOS = 99_900
MOST_ROWS = 6_000
MOST_SITES = 350

SETTINGS = """programme = "Made Pond Trust (invented, for measuring)"
year = 2025
starts = 2025-05-01
ends = 2025-09-30
time_zone = "America/New_York"

[[grants]]
id = "pond-fund"
funder = "Made Fund (invented)"
currency = "USD"

[[grants.budget]]
line = "supplies"
amount = 5000
"""

PULLS = "pull,date,site,start,end,staff,volunteers,staff_hours,volunteer_hours,container,containers,plants,basis,stage,finished"


def day(number):
    """A day of the season: 28 in each of its five months."""
    number %= 140
    return f"2025-{5 + number // 28:02}-{1 + number % 28:02}"


def square(number):
    """The north-western corner of a site's outline, in the open ocean; forty in a row."""
    return 38.5 - number // 40 * 0.002, -45.0 + number % 40 * 0.002


def outlines(sites):
    features = []
    for number in range(sites):
        north, west = square(number)
        south, east = north - 0.001, west + 0.001
        ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
        features.append({"type": "Feature", "properties": {"id": f"site-{number}", "name": f"Cove {number}", "waterbody": "Made Pond"},
                         "geometry": {"type": "Polygon", "coordinates": [ring]}})
    return json.dumps({"type": "FeatureCollection", "features": features})


def pulls(rows, sites, faulty=False):
    lines = [PULLS]
    for row in range(rows):
        # A kind of person-hours that nobody can read, in every row.
        hours = f"{row % 9 + 3} or so" if faulty else str(row % 9 + 3)
        lines.append(f"P{row},{day(row // max(1, rows // 140))},site-{row % sites},9:00,12:00,1,4,3,{hours},bag,{4 + row * 7 % 11},,counted,rosette,no")
    return "\n".join(lines) + "\n"


def weighings(rows, pulls_, faulty=False):
    of = (lambda row: f"Q{row}") if faulty else (lambda row: f"P{row % pulls_}")
    return "pull,container,mass_kg\n" + "".join(f"{of(row)},bag,{11 + row * 5 % 7}.5\n" for row in range(rows))


def write(folder, texts):
    folder.mkdir(parents=True)
    for name, text in texts.items():
        (folder / name).write_text(text)
    return folder


def rows(place, number, sites):
    """A season of nothing but its log."""
    folder = place / f"rows-{number}-{sites}"
    if folder.exists():
        return folder
    return write(folder, {"season.toml": SETTINGS, "sites.geojson": outlines(sites), "pulls.csv": pulls(number, sites),
                          "weighings.csv": weighings(number // 4, number)})


def faulty(place, number=MOST_ROWS, sites=30):
    """An error or more in every row of every table."""
    folder = place / f"faulty-{number}-{sites}"
    if folder.exists():
        return folder
    cover = "".join(f"{day(row)},site-{row % sites},plot-{row // 2},,{('before', 'after')[row % 2]},many,,\n" for row in range(number))
    history = "".join(f"{1900 + row // 60},site-{row % sites},some {row},{row},bag,yes,\n" for row in range(number))
    spending = "".join(f"{day(row)},other-{row},supplies,{row}.5,none-{row}.pdf,cash,\n" for row in range(number))
    notes = "".join(f"photos/none-{row}.jpg,site-{row % sites},crew,,Somebody in boat {row}\n" for row in range(number))
    return write(folder, {
        "season.toml": SETTINGS,
        "sites.geojson": outlines(sites),
        "pulls.csv": pulls(number, sites, faulty=True),
        "weighings.csv": weighings(number, number, faulty=True),
        "cover.csv": "date,site,plot,station,when,class,plants,plot_area_m2\n" + cover,
        "history.csv": "year,site,effort_hours,removed,unit,comparable,reason\n" + history,
        "spending.csv": "date,grant,line,amount,receipt,kind,notes\n" + spending,
        "photos.csv": "file,site,role,consent,caption\n" + notes,
    })


def letters(number):
    """A word for each number, since digits could be read as a size."""
    word = ""
    while True:
        number, letter = divmod(number, 26)
        word = chr(ord("a") + letter) + word
        if number == 0:
            return f"k{word}x"
        number -= 1


def kinds(place, number=MOST_ROWS, sites=30):
    """Another kind of container in each row, and each kind weighed once."""
    folder = place / f"kinds-{number}-{sites}"
    if folder.exists():
        return folder
    log = pulls(number, sites).splitlines()
    log[1:] = [line.replace(",bag,", f",{letters(row)},") for row, line in enumerate(log[1:])]
    weighed = weighings(number, number).splitlines()
    weighed[1:] = [line.replace(",bag,", f",{letters(row)},") for row, line in enumerate(weighed[1:])]
    return write(folder, {"season.toml": SETTINGS, "sites.geojson": outlines(sites), "pulls.csv": "\n".join(log) + "\n",
                          "weighings.csv": "\n".join(weighed) + "\n"})


def photos(place, built, number, *kind):
    """As many small photos; with the word `bare` they have neither time nor position."""
    folder = place / "-".join([*(kind or ["small"]), str(number)])
    if not folder.exists():
        subprocess.run([str(built / "examples/many-photos"), str(folder), str(number), *kind], check=True)
    return folder


def linked(folder, texts, from_):
    """The photos of a season beside other tables: links to the same files, so that making it takes no time."""
    if folder.exists():
        return folder
    write(folder, texts)
    for file in sorted((from_ / "photos").rglob("*")):
        to = folder / file.relative_to(from_)
        if file.is_file():
            to.parent.mkdir(parents=True, exist_ok=True)
            os.link(file, to)
    return folder


def read(folder, *names):
    return {name: (folder / name).read_text() for name in names}


def doubtful(place, built, number):
    """No photo has a pull: the only one was on a day without photos."""
    from_ = photos(place, built, number)
    texts = read(from_, "season.toml", "sites.geojson", "weighings.csv")
    texts["pulls.csv"] = PULLS + "\nP0,2025-09-28,north,9:00,12:00,1,4,3,12,bag,4,,counted,rosette,no\n"
    return linked(place / f"doubtful-{number}", texts, from_)


def undated(place, built, number):
    """Neither time nor position, and a row besides with a role that nobody can read, for as many photos as photos.csv may have rows."""
    from_ = photos(place, built, number, "bare")
    texts = read(from_, "season.toml", "sites.geojson", "pulls.csv", "weighings.csv")
    names = sorted(str(file.relative_to(from_)) for file in (from_ / "photos").rglob("*") if file.is_file())
    texts["photos.csv"] = "file,role\n" + "".join(f"{name},thing {row}\n" for row, name in enumerate(names[:50_000]))
    return linked(place / f"undated-{number}", texts, from_)


def all_at_once(place, built, number=MOST_PHOTOS):
    """As many photos, rows with errors and sites as are let in."""
    tables = faulty(place, MOST_ROWS, MOST_SITES)
    texts = {file.name: file.read_text() for file in sorted(tables.iterdir())}
    return linked(place / f"all-{number}", texts, photos(place, built, number, "bare"))
