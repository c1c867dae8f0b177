"""Redoes windrow's draws from the tables of an unpacked archive, by the rule in docs/for-auditors.md and by nothing of windrow's.

    draw.py BAG DRAW.json

BAG is the unpacked base directory, DRAW.json what `windrow draw ... --json` printed. Reads tables in CSV. Exit code 0 if the draw
is the same, 1 if not.
"""

import csv
import decimal
import hashlib
import json
import math
import pathlib
import sys

KILOGRAMS = {"mass_kg": 1.0, "mass_lb": 0.45359237}


def rank(seed, item):
    return hashlib.sha256(f"{seed}|{item}".encode()).hexdigest()


def rows(path):
    """The rows with their numbers as a spreadsheet counts: line breaks within a cell don't count."""
    with open(path, encoding="utf-8-sig", newline="") as file:
        table = list(csv.reader(file))
    for number, cells in enumerate(table[1:], start=2):
        if any(cell.strip() for cell in cells):
            yield number, dict(zip(table[0], cells))


def half_up(number):
    return int(decimal.Decimal(number).quantize(decimal.Decimal(1), decimal.ROUND_HALF_UP))


def items(bag, of):
    """Each item's name and, where it has one, its size in grams or hundredths."""
    if of == "photos":
        return [(row["path"], None) for _, row in rows(bag / "data/ledger/photo-index.csv")]
    season = bag / "data/season"
    if of == "pulls":
        return [(name, None) for name in dict.fromkeys(row["pull"] for _, row in rows(season / "pulls.csv"))]
    if of == "weighings":
        table = []
        for number, row in rows(season / "weighings.csv"):
            column = next(name for name in KILOGRAMS if name in row)
            mass = float(row[column] or 0) * KILOGRAMS[column] * 1000
            table.append((f"weighings.csv row {number}", half_up(mass)))
        return table
    return [
        (f"spending.csv row {number}", half_up(decimal.Decimal(row["amount"]) * 100))
        for number, row in rows(season / "spending.csv")
    ]


def enough(population, wrong, size, errors, risk):
    """Whether a sample of `size` shows more than `errors` wrong ones often enough, by whole numbers."""
    ways = sum(math.comb(wrong, x) * math.comb(population - wrong, size - x) for x in range(errors + 1))
    return ways <= risk * math.comb(population, size)


def size_of_sample(draw, population):
    """The same size from the law itself, counted up from one."""
    risk, errors = 1 - draw["confidence"], draw["expected"]
    if draw["by-size"]:
        share = draw["tolerable"]
        size = errors + 1
        while sum(math.comb(size, x) * share**x * (1 - share) ** (size - x) for x in range(errors + 1)) > risk:
            size += 1
        return size
    wrong = math.ceil(draw["tolerable"] * population - 1e-9)
    size = errors + 1
    while not enough(population, wrong, size, errors, risk):
        size += 1
    return size


def redo(draw, everything):
    """The drawn items with how often each is hit, in the order of the rule."""
    seed = draw["seed"]
    if draw["by-size"]:
        everything = [item for item in everything if item[1] > 0]
    order = sorted(everything, key=lambda item: rank(seed, item[0]))
    size = size_of_sample(draw, len(order))
    if not draw["by-size"]:
        return size, [(name, 1) for name, _ in order[:size]]
    total = sum(grams for _, grams in order)
    start = int(rank(seed, "start")[:8], 16)
    parts = [(k * 2**32 + start) * total // (size * 2**32) for k in range(size)]
    found, begin = [], 0
    for name, grams in order:
        hits = sum(begin <= part < begin + grams for part in parts)
        begin += grams
        if hits:
            found.append((name, hits))
    return size, found


def main():
    bag, file = pathlib.Path(sys.argv[1]), sys.argv[2]
    draw = json.loads(pathlib.Path(file).read_text(encoding="utf-8"))["draw"]
    size, found = redo(draw, items(bag, draw["of"]))
    told = [(item["id"], item["hits"]) for item in draw["items"]]
    if (size, found) != (draw["size"], told):
        sys.exit(f"windrow drew {draw['size']}: {told}\nhere it is {size}: {found}")
    print(f"{draw['of']}: the same {len(told)} items")


main()
