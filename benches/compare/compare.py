"""Times windrow beside public tools on the same files, each so many times in turn, and prints medians and ratios in Markdown.

All files are warm: each is read before the first measurement, and where there are gigabytes of them before every one, so that the disk
counts for writing alone. Every command writes beside the files, is followed by a flush of what it wrote to the disk where windrow does
the same, and its output is removed again.
"""

import argparse
import datetime
import json
import os
import platform
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

import extremes

WORDS = argparse.ArgumentParser(description=__doc__)
WORDS.add_argument("--place", type=Path, required=True)
WORDS.add_argument("--built", type=Path, required=True)
WORDS.add_argument("--large", type=int, default=600, help="photos of 12 megapixels and 3 to 4 MB")
WORDS.add_argument("--small", type=int, default=10_000, help="photos of a few kilobytes")
WORDS.add_argument("--rounds", type=int, default=5)
WORDS.add_argument("--only", nargs="*", help="pack, verify, metadata, thumbnails, report, close")
WORDS.add_argument("--growth", action="store_true", help="how time and memory grow from 100 to 50,000 photos; draws a chart too")
WORDS.add_argument("--extremes", action="store_true", help="memory of the folders that are hardest on it")
words = WORDS.parse_args()

place, built = words.place.resolve(), words.built.resolve()
windrow = str(built / "windrow")
python, bagit = str(place / "tools/bin/python"), str(place / "tools/bin/bagit.py")
os.environ["WINDROW_CACHE"] = str(place / "cache")
os.environ.pop("NO_COLOR", None)


class Run:
    """What a command took: seconds by the clock, seconds of processors, the most memory in MB."""

    def __init__(self, wall, processor, memory):
        self.wall, self.processor, self.memory = wall, processor, memory


def run(*commands):
    """Runs commands at the same time, and waits for all."""
    # Findings of grade error end windrow with 1, and are no failure here.
    began = time.perf_counter()
    running = [subprocess.Popen(c, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=place) for c in commands]
    processor = memory = 0
    for process, command in zip(running, commands):
        _, status, used = os.wait4(process.pid, 0)
        if os.waitstatus_to_exitcode(status) not in ((0, 1) if command[0] == windrow else (0,)):
            sys.exit(f"{' '.join(map(str, command[:6]))} failed: {status}")
        processor += used.ru_utime + used.ru_stime
        memory = max(memory, used.ru_maxrss / 1000)
    return Run(time.perf_counter() - began, processor, memory)


def flush(path):
    """Brings what was written to the disk, as windrow does with its outputs, and times it."""
    return run(["sync", "--file-system", str(path)])


def total(*runs):
    return Run(sum(r.wall for r in runs), sum(r.processor for r in runs), max(r.memory for r in runs))


def gone(*names):
    for name in names:
        path = place / name
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)


def photos(folder):
    return sorted(str(p) for p in folder.rglob("*") if p.is_file())


def halves(files):
    """Two lists of about the same bytes."""
    lists, sizes = ([], []), [0, 0]
    for file in files:
        to = sizes.index(min(sizes))
        lists[to].append(file)
        sizes[to] += os.path.getsize(file)
    return lists


def made(name, number, *more):
    folder = place / f"{name}-{number}"
    if not folder.exists():
        run([str(built / "examples/many-photos"), str(folder), str(number), *more])
        # What was written a moment ago might be written again without a sign, so that nothing is kept of it.
        time.sleep(4)
    for file in photos(folder):
        Path(file).read_bytes()
    return folder


FLUSH = "its flush"


def medians(measures, warm=()):
    """Runs each measure in turn, so many rounds; gives the run of the median wall time of each. `warm` are files that are read before each:
    a system may forget gigabytes, and whoever comes first would bring them back for the others."""
    runs = {name: [] for name in measures}
    for _ in range(words.rounds):
        for name, measure in measures.items():
            # Nobody waits for what another has yet to bring to the disk, but for the flush that is measured itself.
            if name != FLUSH:
                os.sync()
                for file in warm:
                    with open(file, "rb") as opened:
                        while opened.read(1 << 20):
                            pass
            runs[name].append(measure())
    return {name: sorted(list_, key=lambda r: r.wall)[len(list_) // 2] for name, list_ in runs.items()}


def table(title, what, found, against):
    """`against`: name of ours, names of the others that make one sum, and the wanted ratio."""
    print(f"\n### {title}\n\n{what}\n\n| | seconds | of processors | memory, MB |\n| --- | ---: | ---: | ---: |")
    for name, r in found.items():
        print(f"| {name} | {r.wall:.2f} | {r.processor:.2f} | {r.memory:.0f} |")
    print()
    for ours, others, wanted in against:
        ratio = found[ours].wall / sum(found[o].wall for o in others)
        print(f"- {ours} : {' + '.join(others)} = **{ratio:.2f}** ({wanted})")


def size(folder):
    files = photos(folder)
    return f"{len(files)} files, {sum(map(os.path.getsize, files)) / 1e6:.0f} MB"


def wanted(theme):
    return not (words.growth or words.extremes) and (not words.only or theme in words.only)


def pack_folder(folder):
    gone("out.zip")
    return run([windrow, "pack", str(folder), "--output", "out.zip"])


def pack_anew(folder):
    """With nothing kept of earlier runs: plates are drawn, and pictures without a small copy looked at."""
    gone("cache")
    return pack_folder(folder)


def pack():
    folder = made("large", words.large, "large")
    files = photos(folder)

    def copy():
        gone("copy")
        return run(["cp", "-r", str(folder), "copy"])

    def bag():
        gone("bag")
        shutil.copytree(folder, place / "bag")
        return run([python, bagit, "--processes", "2", "--sha256", "bag"])

    def zipped(source):
        def measure():
            gone("other.zip")
            return total(run(["zip", "-0", "-q", "-r", "other.zip", str(source)]))

        return measure

    found = medians({
        "windrow pack, the first": lambda: pack_anew(folder),
        "windrow pack": lambda: pack_folder(folder),
        "openssl dgst": lambda: run(["openssl", "dgst", "-sha256", *files]),
        "one copy": copy,
        FLUSH: lambda: flush(place / "copy"),
        "sha256sum": lambda: run(["sha256sum", *files]),
        "zip -0": zipped(folder),
        "bagit, 2 processes": bag,
    }, files)
    text = (f"{size(folder)}. windrow reads and hashes photos, computes, sets two editions of the report, packs and flushes to the disk. The "
            "first time it draws the plates as well; whoever has set the report before packs with plates that are drawn.")
    ratios = [
        (["openssl dgst", "one copy"], "1.3 at most"),
        (["openssl dgst", "one copy", FLUSH], "the copy as safe as the archive"),
        (["bagit, 2 processes", "zip -0"], "0.4 at most"),
        (["sha256sum", "zip -0"], "no aim"),
    ]
    ours = ["windrow pack", "windrow pack, the first"]
    table("Pack", text, found, [(one, others, wanted) for one in ours for others, wanted in ratios])
    gone("out.zip", "copy", "bag", "other.zip")


def verify():
    folder = made("large", words.large, "large")
    pack_folder(folder)
    gone("unpacked")
    run(["unzip", "-q", "out.zip", "-d", "unpacked"])
    bag = next((place / "unpacked").iterdir())
    files = halves(photos(bag))
    found = medians({
        "windrow verify": lambda: run([windrow, "verify", "out.zip"]),
        "two openssl dgst": lambda: run(*(["openssl", "dgst", "-sha256", *half] for half in files)),
        "unzip -t": lambda: run(["unzip", "-t", "-qq", "out.zip"]),
        "sha256sum -c": lambda: run(["sh", "-c", f"cd {bag} && sha256sum --quiet -c manifest-sha256.txt"]),
        "bagit --validate": lambda: run([python, bagit, "--validate", "--processes", "2", str(bag)]),
    }, [str(place / "out.zip"), *photos(bag)])
    table("Verify", f"{size(folder)}, from the ZIP; the others but unzip from the unpacked folder.", found, [
        ("windrow verify", ["two openssl dgst"], "1.2 at most"),
        ("windrow verify", ["unzip -t", "sha256sum -c"], "no aim"),
        ("windrow verify", ["bagit --validate"], "no aim"),
    ])
    gone("out.zip", "unpacked")


EXIF = ["-DateTimeOriginal", "-OffsetTimeOriginal", "-SubSecTimeOriginal", "-GPS*", "-Orientation", "-Make", "-Model", "-ImageSize"]


def metadata():
    folder = made("small", words.small)

    def first():
        gone("cache")
        return run([windrow, "check", str(folder)])

    found = medians({
        "windrow check": first,
        "windrow check again": lambda: run([windrow, "check", str(folder)]),
        "exiftool": lambda: run(["exiftool", "-r", "-json", "-n", *EXIF, str(folder / "photos")]),
    })
    text = f"{size(folder)}. windrow reads, hashes, matches, computes and judges; exiftool is one process, asked for the same fields alone."
    table("Metadata", text, found, [
        ("exiftool", ["windrow check"], "20 or more"),
        ("windrow check again", ["windrow check"], "0.1 at most"),
    ])
    # The larger photos are, the more the first check reads; the second never does.
    large = made("large", words.large, "large")

    def first_large():
        gone("cache")
        return run([windrow, "check", str(large)])

    found = medians({
        "windrow check": first_large,
        "windrow check again": lambda: run([windrow, "check", str(large)]),
    })
    table("A second check", f"{size(large)}.", found, [("windrow check again", ["windrow check"], "0.1 at most")])


def thumbnails():
    folder = made("large", words.large, "large")
    lists = halves(photos(folder / "photos"))

    def ours():
        gone("small")
        (place / "small").mkdir()
        return run([str(built / "examples/stages"), "thumbnails", str(folder), "small"])

    def vips(*more):
        def measure():
            gone("small")
            (place / "small").mkdir()
            command = ["vipsthumbnail", "--size", "810", *more, "-o", f"{place}/small/%s.jpg[Q=85,strip]"]
            return run(*(command + half for half in lists))

        return measure

    found = medians({
        "windrow": ours,
        "two vipsthumbnail --linear": vips("--linear"),
        "two vipsthumbnail": vips(),
    })
    text = f"{size(folder / 'photos')}, to 810 pixels. windrow averages in linear light, as --linear does; vips alone lets the decoder skip detail."
    table("Small copies", text, found, [
        ("windrow", ["two vipsthumbnail --linear"], "1.3 at most"),
        ("windrow", ["two vipsthumbnail"], "the faster way, by the curve's values"),
    ])
    gone("small")


def report():
    folder = made("large", words.large, "large")
    runs = []
    for _ in range(words.rounds):
        text = subprocess.run([str(built / "examples/stages"), "report", str(folder)], check=True, capture_output=True, cwd=place).stdout
        runs.append(json.loads(text))
    middle = {key: statistics.median(r[key] for r in runs) for key in runs[0]}
    print("\n### Report\n")
    print(f"{middle['plates']:.0f} plates, {middle['bytes'] / 1e6:.1f} MB of PDF, {size(folder)}.\n")
    print("| | seconds |\n| --- | ---: |")
    for key, what in [("pictures", "small copies"), ("data", "texts, charts, map"), ("compiler", "the Typst compiler"), ("whole", "all")]:
        print(f"| {what} | {middle[key]:.2f} |")
    ratio = (middle["whole"] - middle["pictures"]) / middle["compiler"]
    print(f"\n- all but the small copies : compiler = **{ratio:.2f}** (1.5 at most)")
    print(f"- all : compiler = **{middle['whole'] / middle['compiler']:.2f}** (small copies drawn anew)")
    memory = run([windrow, "report", str(folder), "--output", "out.pdf"]).memory
    print(f"- memory of `windrow report`: **{memory:.0f} MB** (700 at most)")
    gone("out.pdf")


def close():
    def measure():
        gone("closed")
        return run([windrow, "close", "sample-season", "--output", "closed"])

    gone("sample-season")
    shutil.copytree(Path(__file__).parents[2] / "sample-season", place / "sample-season")
    found = medians({"windrow close": measure})
    table("Close", "sample-season, warm. Under 3 seconds is the aim.", found, [])
    gone("closed", "sample-season")


SIZES = [100, 300, 1000, 3000, 10_000, 30_000, 50_000]


def part_of(whole, number):
    """A season of the first so many photos of a larger one: links to the same files, so that making it takes no time."""
    folder = place / f"first-{number}"
    if folder.exists():
        return folder
    for file in sorted(whole.rglob("*")):
        to = folder / file.relative_to(whole)
        if file.is_dir() or (file.suffix == ".jpg" and int(file.stem.split("_")[1]) >= number):
            continue
        to.parent.mkdir(parents=True, exist_ok=True)
        os.link(file, to)
    # Plates are named for the first sixty; there may be fewer photos.
    notes = (folder / "photos.csv").read_text().splitlines()
    (folder / "photos.csv").unlink()
    (folder / "photos.csv").write_text("\n".join(notes[: number + 1]) + "\n")
    for file in photos(folder):
        Path(file).read_bytes()
    return folder


def growth():
    print("\n### Growth\n\nSmall photos, so that what a photo costs by itself is seen; medians.\n")
    print("| photos | check, s | MB | check again, s | pack, s | MB | verify, s | MB |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    rows = []
    whole = made("small", SIZES[-1])
    for number in SIZES:
        folder = whole if number == SIZES[-1] else part_of(whole, number)

        def first():
            gone("cache")
            return run([windrow, "check", str(folder)])

        found = medians({
            "check": first,
            "again": lambda: run([windrow, "check", str(folder)]),
            "pack": lambda: pack_folder(folder),
            "verify": lambda: run([windrow, "verify", "out.zip"]),
        })
        check, again, packed, verified = (found[k] for k in ("check", "again", "pack", "verify"))
        rows.append((number, check, packed, verified))
        print(f"| {number:,} | {check.wall:.2f} | {check.memory:.0f} | {again.wall:.2f} | {packed.wall:.2f} | {packed.memory:.0f} "
              f"| {verified.wall:.2f} | {verified.memory:.0f} |", flush=True)
    gone("out.zip", "cache")
    chart(rows)


def chart(rows):
    """Two panels, time and memory, both axes by powers of ten: a straight line of slope one is linear growth."""
    from math import log10

    width, height, left, top = 300, 240, 60, 40
    parts = ['<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 360" font-family="sans-serif" font-size="12">',
             '<rect width="800" height="360" fill="white"/>']
    series = [("check", 1, "#1b6a8f", ""), ("pack", 2, "#8f5a1b", "6 3"), ("verify", 3, "#3d7a3d", "2 3")]
    panels = [("seconds", lambda r: r.wall, 0.01, 100), ("memory, MB", lambda r: r.memory, 10, 1000)]
    for number, (title, value, low, high) in enumerate(panels):
        x0 = left + number * 390

        def x(photos):
            return x0 + (log10(photos) - 2) / (log10(SIZES[-1]) - 2) * width

        def y(v):
            return top + height - (log10(max(v, low)) - log10(low)) / (log10(high) - log10(low)) * height

        parts.append(f'<text x="{x0}" y="{top - 16}" font-weight="bold">{title}</text>')
        tick = low
        while tick <= high:
            parts.append(f'<line x1="{x0}" x2="{x0 + width}" y1="{y(tick):.1f}" y2="{y(tick):.1f}" stroke="#ddd"/>')
            parts.append(f'<text x="{x0 - 6}" y="{y(tick) + 4:.1f}" text-anchor="end">{tick:g}</text>')
            tick *= 10
        for photos_ in (100, 1000, 10_000, 50_000):
            parts.append(f'<text x="{x(photos_):.1f}" y="{top + height + 18}" text-anchor="middle">{photos_:,}</text>')
        parts.append(f'<text x="{x0 + width / 2}" y="{top + height + 40}" text-anchor="middle">photos</text>')
        for name, column, colour, dash in series:
            points = " ".join(f"{x(row[0]):.1f},{y(value(row[column])):.1f}" for row in rows)
            parts.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>')
    for number, (name, _, colour, dash) in enumerate(series):
        at = left + number * 100
        parts.append(f'<line x1="{at}" x2="{at + 30}" y1="348" y2="348" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>')
        parts.append(f'<text x="{at + 36}" y="352">{name}</text>')
    parts.append("</svg>\n")
    target = Path(__file__).parents[2] / "docs/performance-growth.svg"
    target.write_text("\n".join(parts))
    print("\n![How cost grows](performance-growth.svg)")


def extreme():
    print("\n### Extremes\n\nThe most resident at any moment, in MB, and seconds; one round.\n")
    print("| | check, s | MB | pack, s | MB | to hand over, s | MB | verify, s | MB |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    most = extremes.MOST_PHOTOS
    seasons = {
        "600 pulls at 20 sites": lambda: extremes.rows(place, 600, 20),
        "3,000 pulls at 30 sites": lambda: extremes.rows(place, 3000, 30),
        "the largest tables that are read, an error or more in each row of all six": lambda: extremes.faulty(place),
        "the largest log, each container of a kind of its own": lambda: extremes.kinds(place),
        "as many sites as are read": lambda: extremes.rows(place, 600, extremes.MOST_SITES),
        "50,000 photos": lambda: extremes.photos(place, built, 50_000),
        "50,000 photos, a doubt for each": lambda: extremes.doubtful(place, built, 50_000),
        f"{most:,} photos": lambda: extremes.photos(place, built, most),
        f"{most:,} photos, a doubt for each": lambda: extremes.doubtful(place, built, most),
        f"{most:,} photos, two doubts for each": lambda: extremes.photos(place, built, most, "bare"),
        f"{most:,} photos, two doubts for each, and a row with an error for 50,000": lambda: extremes.undated(place, built, most),
        "as many photos, rows and sites as are let in, with all their faults": lambda: extremes.all_at_once(place, built),
    }
    for name, make in seasons.items():
        folder = make()
        time.sleep(4)
        for file in photos(folder):
            Path(file).read_bytes()
        gone("cache")
        runs = [run([windrow, "check", str(folder)]), pack_folder(folder)]
        verified = run([windrow, "verify", "out.zip"])
        gone("out.zip")
        runs.append(run([windrow, "pack", str(folder), "--handover", "--output", "out.zip"]))
        runs.append(verified)
        print(f"| {name} | " + " | ".join(f"{r.wall:.1f} | {r.memory:.0f}" for r in runs) + " |", flush=True)
    gone("out.zip", "cache")


def machine():
    model = next((line.split(":")[1].strip() for line in open("/proc/cpuinfo") if line.startswith("model name")), platform.machine())
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1e9
    print(f"{datetime.date.today()}; {os.cpu_count()} processors ({model}), {memory:.0f} GB; load before: {os.getloadavg()[0]:.2f}; "
          f"medians of {words.rounds}.")


machine()
for theme in (pack, verify, metadata, thumbnails, report, close):
    if wanted(theme.__name__):
        theme()
        sys.stdout.flush()
if words.growth:
    growth()
if words.extremes:
    extreme()
