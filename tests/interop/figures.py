#!/usr/bin/env python3
"""Computes the figures of a season from its raw files, apart from windrow, and compares them with windrow's.

Usage: figures.py SEASON JSON

SEASON is the season folder; JSON is what `windrow figures SEASON --json` printed. Value, standard error, degrees of freedom and
both ends of the interval must agree to six significant digits. A figure that is neither computed here nor of a kind that has no
closed form (NO_CLOSED_FORM) is a failure too, so that a new figure can't stay unchecked. Exit code 0: all agree; 1: differences,
each printed; 2: the comparison can't be made.

Written from docs/methods.md, not from the program. It reads tables as the sample season keeps them (comma, UTF-8, our own
headings, ISO dates), not every form that windrow reads.
"""

import csv
import json
import math
import sys
import tomllib
from collections import defaultdict
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import numpy as np
from scipy import optimize, special, stats

POUND = 0.45359237
ACRE = 43560 * 0.3048**2
MASS = {"kg": 1.0, "lb": POUND, "lbs": POUND, "g": 0.001, "t": 1000.0, "oz": POUND / 16, "short_ton": 2000 * POUND}
AREA = {"m2": 1.0, "ha": 1e4, "acre": ACRE}

# Lean of the log-t interval, and its limit.
LEAN_AMOUNT, LEAN_DENSITY, MOST_LEAN = 1.5, 0.3, 0.6

# Kinds of figures that have no closed form, or need the photos' metadata, which photos.py holds against exiftool.
NO_CLOSED_FORM = {
    "evidence.photos": "needs the pictures",
    "evidence.pulls-with-photo": "needs the pictures",
    "evidence.pulls-with-track": "needs distances on the ellipsoid",
    "evidence.effort-share": "needs the pictures",
    "evidence.pulls-grade-a": "needs the pictures",
    "evidence.pulls-grade-b": "needs the pictures",
    "evidence.pulls-grade-c": "needs the pictures",
    "evidence.pulls-grade-d": "needs the pictures",
    "cover.change-by-classes": "likelihood of ranges",
    "effort.person-hours-imputed": "random draws",
    "removal.wet-mass-imputed": "random draws",
    "outlook.rosettes-never": "random draws",
    "outlook.rosettes-same-effort": "random draws",
    "outlook.rosettes-stop-now": "random draws",
    "outlook.follow-up-years": "random draws",
    "outlook.holding-share": "random draws",
    "passes.initial-if-falling": "what-if",
}

DAUBENMIRE = {"0": 0.0, "1": 2.5, "2": 15.0, "3": 37.5, "4": 62.5, "5": 85.0, "6": 97.5}


class Estimate:
    """Value with whatever is known of its uncertainty; `None` where there is nothing to compare."""

    def __init__(self, value, error=None, degrees=None, interval=None):
        self.value, self.error, self.degrees, self.interval = value, error, degrees, interval

    def times(self, factor):
        return Estimate(
            self.value * factor,
            None if self.error is None else self.error * factor,
            self.degrees,
            None if self.interval is None else tuple(end * factor for end in self.interval),
        )


# ---------------------------------------------------------------- reading


def table(folder, name):
    path = folder / f"{name}.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return [
            {key: value.strip() for key, value in row.items() if value and value.strip()}
            for row in csv.DictReader(file)
        ]


def number(row, key, units=None):
    """A cell as a number, in the base unit; the unit stands behind the heading."""
    if units is None:
        return float(row[key]) if key in row else None
    for unit, factor in units.items():
        if f"{key}_{unit}" in row:
            return float(row[f"{key}_{unit}"]) * factor
    return None


def clock(text):
    return datetime.strptime(text, "%H:%M")


class Pull:
    def __init__(self, rows):
        self.rows = rows
        self.id = rows[0]["pull"]

    def first(self, key):
        return next((row[key] for row in self.rows if key in row), None)

    def first_number(self, key, units=None):
        return next((value for row in self.rows if (value := number(row, key, units)) is not None), None)

    @property
    def day(self):
        return date.fromisoformat(self.first("date"))

    @property
    def site(self):
        return self.first("site")

    def empty(self):
        keys = ("staff", "volunteers", "staff_hours", "volunteer_hours", "containers", "plants")
        return all(key not in row for row in self.rows for key in keys) and all(
            number(row, "mass", MASS) is None for row in self.rows
        )

    def span(self):
        start, end = self.first("start"), self.first("end")
        if start is None or end is None:
            return None
        hours = (clock(end) - clock(start)) / timedelta(hours=1)
        return hours if hours > 0 else None

    def hours_of(self, logged, heads):
        """Hours, or None where missing, or 'silent' where nothing is said."""
        if (given := self.first_number(logged)) is not None:
            return given
        if (count := self.first_number(heads)) is not None:
            if count == 0:
                return 0.0
            return None if self.span() is None else count * self.span()
        return "silent"

    def effort(self):
        staff = self.hours_of("staff_hours", "staff")
        volunteers = self.hours_of("volunteer_hours", "volunteers")
        if staff == "silent" and volunteers == "silent":
            return None, None
        return (0.0 if staff == "silent" else staff), (0.0 if volunteers == "silent" else volunteers)

    def hours(self):
        staff, volunteers = self.effort()
        return None if staff is None or volunteers is None else staff + volunteers

    def boat_hours(self):
        boats = self.first_number("boats")
        if boats is None:
            return None
        return 0.0 if boats == 0 else (None if self.span() is None else boats * self.span())


def slug(text):
    out = ""
    for letter in text.lower():
        if letter.isalnum():
            out += letter
        elif not out.endswith("-"):
            out += "-"
    return out.strip("-")


def singular(kind):
    kind = kind.lower()
    if kind.endswith(("xes", "shes", "ches")):
        return kind[:-2]
    return kind[:-1] if kind.endswith("s") and not kind.endswith("ss") else kind


# ------------------------------------------------------------- intervals


def t_quantile(level, degrees):
    return stats.t.ppf(0.5 + level / 2, degrees)


def log_t(value, error, degrees, lean, level, floor=None):
    if value <= 0:
        return None
    relative = error / value
    reach = t_quantile(level, degrees) * relative
    lower = value / math.exp(reach)
    if floor is not None:
        lower = max(lower, min(floor, value))
    return lower, value * math.exp(reach * (1 + min(lean * relative, MOST_LEAN)))


def mean_t(values, level, bounds=None):
    n = len(values)
    value = np.mean(values)
    error = np.std(values, ddof=1) / math.sqrt(n)
    reach = t_quantile(level, n - 1) * error
    ends = (value - reach, value + reach)
    if bounds:
        ends = max(ends[0], bounds[0]), min(ends[1], bounds[1])
    return Estimate(value, error, n - 1, ends)


def satterthwaite(parts):
    return sum(v for v, _ in parts) ** 2 / sum(v * v / d for v, d in parts)


# --------------------------------------------------------------- removal


class Catch:
    """Mass or plants of every row: how it is known, and the weighed containers of its stratum."""

    def __init__(self, season, amount):
        self.season, self.amount = season, amount
        self.known = {}
        self.observed = defaultdict(list)
        self.members = defaultdict(list)
        self.containers = defaultdict(float)
        for p, pull in enumerate(season.pulls):
            for r, row in enumerate(pull.rows):
                how = self.of_row(row)
                if how[0] == "weighed" and self.listed(pull, row):
                    how = ("convert", (row["container"], row["stage"]), float(row["containers"]))
                self.known[p, r] = how
                if how[0] == "convert":
                    self.members[how[1]].append((p, r))
                    self.containers[how[1]] += how[2]
        for weighing in season.weighings:
            value = self.value(weighing)
            if value is None:
                continue
            p = next(i for i, pull in enumerate(season.pulls) if pull.id == weighing["pull"])
            for r, row in enumerate(season.pulls[p].rows):
                how = self.known[p, r]
                if how[0] == "convert" and how[1][0] == singular(weighing["container"]):
                    self.observed[how[1]].append((p, value))
                    break

    def value(self, row):
        return number(row, "mass", MASS) if self.amount == "mass" else number(row, "plants")

    def of_row(self, row):
        value, containers = self.value(row), number(row, "containers")
        basis = row.get("basis")
        if containers == 0 and not value:
            return ("zero",)
        if value is not None:
            if basis == "weighed":
                return ("weighed" if self.amount == "mass" else "counted", value)
            return ("counted", value) if basis == "counted" else ("guessed", value)
        if containers is None:
            return ("nothing",)
        if "container" not in row:
            return ("no kind",)
        stratum = (singular(row["container"]), row["stage"].lower())
        return ("convert guess" if basis == "guessed" else "convert", stratum, containers)

    def listed(self, pull, row):
        own = [w for w in self.season.weighings if w["pull"] == pull.id and self.value(w) is not None]
        kind = row.get("container")
        number_of_kind = sum(1 for w in own if singular(w["container"]) == kind)
        rows_of_kind = sum(1 for other in pull.rows if other.get("container") == kind)
        return rows_of_kind == 1 and number_of_kind > 0 and number_of_kind == number(row, "containers")

    def convertible(self, stratum):
        return 0 < len(self.observed[stratum]) <= self.containers[stratum]

    def sort(self, rows):
        """Known sums, containers by stratum, whether anything is left out or guessed, and the guesses."""
        weighed = counted = guessed = 0.0
        strata, incomplete, used, guesses = defaultdict(float), set(), 0, 0
        for p, r in rows:
            how = self.known[p, r]
            if how[0] == "zero":
                used += 1
            elif how[0] == "weighed":
                weighed, used = weighed + how[1], used + 1
            elif how[0] == "counted":
                counted, used = counted + how[1], used + 1
            elif how[0] == "convert" and self.convertible(how[1]):
                strata[how[1]] += how[2]
                used += 1
            elif how[0] == "guessed":
                guessed, guesses = guessed + how[1], guesses + 1
                incomplete.add(p)
            elif how[0] == "convert guess" and self.observed[how[1]]:
                guessed += how[2] * np.mean([v for _, v in self.observed[how[1]]])
                guesses += 1
                incomplete.add(p)
            else:
                incomplete.add(p)
        return weighed, counted, guessed, guesses, strata, incomplete, used

    def observed_in(self, stratum, rows):
        members = self.members[stratum]
        whole = all(member in rows for member in members)
        values = [
            value
            for p, value in self.observed[stratum]
            if whole or any(member[0] == p and member in rows for member in members)
        ]
        return sum(values), len(values)

    def total(self, rows, level):
        rows = set(rows)
        weighed, counted, _, _, strata, incomplete, used = self.sort(rows)
        if used == 0:
            return None
        value = floor = weighed + counted
        parts = []
        exact = True
        for stratum, containers in strata.items():
            amounts = [v for _, v in self.observed[stratum]]
            here, n_here = self.observed_in(stratum, rows)
            m, n = max(containers - n_here, 0.0), len(amounts)
            value += here + m * np.mean(amounts)
            floor += here
            if m > 0:
                exact = False
                if n > 1 and len(set(amounts)) > 1:
                    parts.append((np.var(amounts, ddof=1) * (m + m * m / n), n - 1))
                else:
                    return Estimate(value)
        if value == 0 and incomplete:
            return None
        if exact:
            return Estimate(value, 0.0, None, (value, value))
        error = math.sqrt(sum(v for v, _ in parts))
        degrees = satterthwaite(parts)
        return Estimate(value, error, degrees, log_t(value, error, degrees, LEAN_AMOUNT, level, floor))

    def measured(self, rows):
        rows = set(rows)
        weighed, counted, _, _, strata, _, _ = self.sort(rows)
        return weighed, counted, sum(self.observed_in(stratum, rows)[0] for stratum in strata)

    def clusters(self, pulls, level):
        """(pull, amount, hours) of pulls of which all is known, and the variance that they share."""
        found, used = [], []
        for p in pulls:
            pull = self.season.pulls[p]
            rows = [(p, r) for r in range(len(pull.rows))]
            hours = pull.hours()
            if not hours or self.sort(rows)[5]:
                continue
            total = self.total(rows, level)
            if total is not None:
                found.append((p, total.value, hours))
                used += rows
        total = self.total(used, level)
        effort = sum(hours for _, _, hours in found)
        shared = (total.error / effort) ** 2 if total is not None and effort else 0.0
        return found, shared


def rate(clusters, shared, level):
    y = np.array([amount for _, amount, _ in clusters])
    x = np.array([hours for _, _, hours in clusters])
    n, value = len(x), y.sum() / x.sum()
    if n < 2 or value == 0:
        return Estimate(value)
    without = (y.sum() - y) / (x.sum() - x)
    error = math.sqrt((n - 1) / n * ((without - without.mean()) ** 2).sum() + shared)
    return Estimate(value, error, n - 1, log_t(value, error, n - 1, LEAN_AMOUNT, level))


def share(a, b, level):
    if a is None or b is None:
        return None
    value = a.value / (a.value + b.value)
    if a.error == 0 and b.error == 0:
        return Estimate(value)
    odds = math.hypot(a.error / a.value, b.error / b.value)
    degrees = min(e.degrees for e in (a, b) if e.error)
    reach = t_quantile(level, degrees) * odds
    ends = tuple((r := a.value / b.value * math.exp(side * reach)) / (1 + r) for side in (-1, 1))
    return Estimate(value, value * (1 - value) * odds, degrees, ends)


# ---------------------------------------------------------------- passes


def removal(catches, level):
    """Initial number by direct maximisation over N and p, and its profile interval."""
    k, total = len(catches), sum(catches)
    early = sum((k - 1 - i) * c for i, c in enumerate(catches))

    def log_likelihood(n, p):
        return (
            special.gammaln(n + 1)
            - special.gammaln(n - total + 1)
            + total * math.log(p)
            + (k * n - early - total) * math.log1p(-p)
        )

    def profile(n):
        return log_likelihood(n, total / (k * n - early))

    def slope(n):
        p = total / (k * n - early)
        return special.digamma(n + 1) - special.digamma(n - total + 1) + k * math.log1p(-p)

    best = optimize.brentq(slope, total + 1e-9, 100.0 * total, xtol=1e-10)
    cut = profile(best) - 0.5 * stats.norm.ppf(0.5 + level / 2) ** 2 * (1 + 6 / total)
    low = optimize.brentq(lambda n: profile(n) - cut, total + 1e-9, best, xtol=1e-10)
    high = optimize.brentq(lambda n: profile(n) - cut, best, 100.0 * total, xtol=1e-10)
    p = total / (k * best - early)
    q = 1 - p
    taken = 1 - q**k
    error = math.sqrt(best * taken * q**k / (taken**2 - (k * p) ** 2 * q ** (k - 1)))
    p_error = math.sqrt((q * p) ** 2 * taken / (best * (q * taken**2 - (k * p) ** 2 * q**k)))
    return (
        Estimate(best, error, None, (low, high)),
        Estimate(p, p_error, None, (total / (k * high - early), total / (k * low - early))),
        Estimate(total / best, None, None, (total / high, total / low)),
    )


def leslie(visits, level):
    amount = np.array([a for a, _ in visits])
    y = amount / np.array([e for _, e in visits])
    x = np.concatenate([[0.0], np.cumsum(amount)[:-1]])
    n, fit = len(x), stats.linregress(x, y)
    s2 = ((y - fit.intercept - fit.slope * x) ** 2).sum() / (n - 2)
    spread = ((x - x.mean()) ** 2).sum()
    t = t_quantile(level, n - 2)
    zero, caught = -fit.intercept / fit.slope, amount.sum()
    # Every x at which a height of zero is not rejected: a quadratic in x − x̄.
    roots = np.roots(
        [
            fit.slope**2 - t * t * s2 / spread,
            2 * fit.slope * y.mean(),
            y.mean() ** 2 - t * t * s2 / n,
        ]
    )
    low, high = sorted((x.mean() + roots.real).tolist())
    low = max(low, caught)
    error = math.sqrt(s2 * (1 / n + (zero - x.mean()) ** 2 / spread)) / abs(fit.slope)
    reach = t * fit.stderr
    return (
        Estimate(zero, error, n - 2, (low, high)),
        Estimate(caught / zero, None, n - 2, (caught / high, min(caught / low, 1.0))),
        Estimate(-fit.slope, fit.stderr, n - 2, (max(-fit.slope - reach, 0.0), -fit.slope + reach)),
    )


# ----------------------------------------------------------------- trend


def trend(rows, level):
    """Quasi-Poisson by Newton's method on the likelihood, offset ln(effort)."""
    year, y, effort = (np.array(column, float) for column in zip(*rows))
    design = np.column_stack([np.ones_like(year), year - year.mean()])
    beta = np.array([math.log(y.sum() / effort.sum()), 0.0])
    for _ in range(100):
        mean = effort * np.exp(design @ beta)
        step = np.linalg.solve(design.T @ (design * mean[:, None]), design.T @ (y - mean))
        beta = beta + step
        if np.abs(step).max() < 1e-14:
            break
    mean = effort * np.exp(design @ beta)
    degrees = len(y) - 2
    dispersion = ((y - mean) ** 2 / mean).sum() / degrees
    error = math.sqrt(dispersion * np.linalg.inv(design.T @ (design * mean[:, None]))[1, 1])
    reach = t_quantile(level, degrees) * error
    change = lambda b: 100 * math.expm1(b)
    slope = Estimate(
        change(beta[1]), 100 * math.exp(beta[1]) * error, degrees, (change(beta[1] - reach), change(beta[1] + reach))
    )
    covariance = dispersion * np.linalg.inv(design.T @ (design * mean[:, None]))
    line = {}
    for when, row in zip(year, design):
        log, spread = row @ beta, math.sqrt(row @ covariance @ row)
        wide = t_quantile(level, degrees) * spread
        line[int(when)] = Estimate(
            math.exp(log), math.exp(log) * spread, degrees, (math.exp(log - wide), math.exp(log + wide))
        )
    return slope, line


# --------------------------------------------------------------- figures


class Season:
    def __init__(self, folder):
        self.settings = tomllib.loads((folder / "season.toml").read_text(encoding="utf-8"))
        self.level = self.settings.get("method", {}).get("level", 0.95)
        features = json.loads((folder / "sites.geojson").read_text(encoding="utf-8"))["features"]
        self.sites = [
            f["properties"]
            for f in features
            if f["geometry"]["type"].endswith("Polygon") and f["properties"].get("kind") != "shoreline"
        ]
        grouped = {}
        for row in table(folder, "pulls"):
            grouped.setdefault(row["pull"], []).append(row)
        self.pulls = [Pull(rows) for rows in grouped.values()]
        self.weighings = table(folder, "weighings")
        self.cover = table(folder, "cover")
        self.history = table(folder, "history")
        self.spending = table(folder, "spending")


def compute(season):
    out = {}
    level, settings = season.level, season.settings
    mass, plants = Catch(season, "mass"), Catch(season, "plants")
    whole = [p for p, pull in enumerate(season.pulls) if not pull.empty()]
    scopes = [("", whole)] + [
        (f"/{site['id']}", [p for p in whole if season.pulls[p].site == site["id"]]) for site in season.sites
    ]
    waterbody = {site["id"]: site["waterbody"] for site in season.sites}
    ripens = settings.get("seed_ripens")

    def add(name, value):
        if value is not None:
            out[name] = value if isinstance(value, (Estimate, Decimal)) else Estimate(value)

    def pull_key(by, pull):
        if by == "waterbody":
            return slug(waterbody[pull.site])
        if by == "month":
            return f"{pull.day:%Y-%m}"
        if by == "pass":
            return pull.first("pass") or "not-recorded"
        stages = {row["stage"] for row in pull.rows if "stage" in row}
        return stages.pop() if len(stages) == 1 else "several" if stages else "not-recorded"

    def row_key(by, pull, row):
        if by == "stage":
            return row.get("stage", "not-recorded")
        if by == "container":
            return slug(singular(row["container"])) if "container" in row else "not-recorded"
        return pull_key(by, pull)

    for suffix, scope in scopes:
        pulls = [season.pulls[p] for p in scope]
        rows = [(p, r) for p in scope for r in range(len(season.pulls[p].rows))]
        known_sum = lambda values: sum(v for v in values if v is not None) if any(v is not None for v in values) else None
        add(f"effort.pulls{suffix}", len(pulls))
        add(f"effort.days{suffix}", len({pull.day for pull in pulls}))
        add(f"effort.crews{suffix}", crews(pulls))
        heads = [pull.first_number("staff") for pull in pulls] + [pull.first_number("volunteers") for pull in pulls]
        add(f"effort.visits{suffix}", known_sum(heads))
        add(f"effort.person-hours{suffix}", known_sum([pull.hours() for pull in pulls]))
        add(f"effort.staff-hours{suffix}", known_sum([pull.effort()[0] for pull in pulls]))
        add(f"effort.volunteer-hours{suffix}", known_sum([pull.effort()[1] for pull in pulls]))
        add(f"effort.travel-hours{suffix}", known_sum([pull.first_number("travel_hours") for pull in pulls]))
        add(f"effort.boat-hours{suffix}", known_sum([pull.boat_hours() for pull in pulls]))
        if ripens:
            timed = [pull for pull in pulls if pull.hours() is not None]
            early = sum(pull.hours() for pull in timed if pull.day < ripens)
            add(f"effort.before-seed-share{suffix}", 100 * early / sum(pull.hours() for pull in timed))

        logged_passes = any(pull.first("pass") for pull in pulls)
        dimensions = ["month"] if suffix else ["waterbody", "month", "stage", "container"]
        for by in dimensions + (["pass"] if logged_passes else []):
            if by != "container":
                groups = defaultdict(list)
                for pull in pulls:
                    groups[pull_key(by, pull)].append(pull.hours())
                for key, hours in groups.items():
                    add(f"effort.person-hours-by-{by}/{key}{suffix}", known_sum(hours))
            groups = defaultdict(list)
            for p, r in rows:
                groups[row_key(by, season.pulls[p], season.pulls[p].rows[r])].append((p, r))
            for key, part in groups.items():
                add(f"removal.wet-mass-by-{by}/{key}{suffix}", mass.total(part, level))
                if not suffix:
                    add(f"removal.plants-by-{by}/{key}", plants.total(part, level))

        kinds = defaultdict(float)
        for pull in pulls:
            for row in pull.rows:
                if "container" in row and "containers" in row:
                    guess = row.get("basis") == "guessed" and number(row, "mass", MASS) is None
                    kinds[singular(row["container"])] += 0.0 if guess else float(row["containers"])
        for kind, count in kinds.items():
            add(f"removal.containers/{kind}{suffix}", count)

        for stem, catch in (("removal.wet-mass", mass), ("removal.plants", plants)):
            total = catch.total(rows, level)
            weighed, counted, observed = catch.measured(rows)
            add(f"{stem}{suffix}", total)
            if catch.sort(rows)[6]:
                if catch is mass:
                    add(f"removal.wet-mass-weighed{suffix}", weighed + observed)
                else:
                    add(f"removal.plants-counted{suffix}", counted + observed)
            if total is not None:
                floor = weighed + counted + observed
                ends = tuple(max(end - floor, 0) for end in total.interval) if total.interval else None
                add(f"{stem}-converted{suffix}", Estimate(total.value - floor, total.error, total.degrees, ends))
            if catch.sort(rows)[3]:
                add(f"{stem}-guessed{suffix}", catch.sort(rows)[2])
            found, shared = catch.clusters(scope, level)
            if found:
                name = "rate.mass-per-hour" if catch is mass else "rate.plants-per-hour"
                add(f"{name}{suffix}", rate(found, shared, level))
        if ripens:
            early = [(p, r) for p, r in rows if season.pulls[p].day < ripens]
            late = [(p, r) for p, r in rows if season.pulls[p].day >= ripens]
            before, after = mass.total(early, level), mass.total(late, level)
            add(f"removal.wet-mass-before-seed{suffix}", before)
            add(f"removal.wet-mass-after-seed{suffix}", after)
            if not late:
                add(f"removal.wet-mass-before-seed-share{suffix}", 100.0)
            elif (part := share(before, after, level)) is not None:
                part = part.times(100)
                certain = not mass.sort(rows)[5] or all(
                    mass.known[row][0] in ("guessed", "convert guess") for row in rows if row[0] in mass.sort(rows)[5]
                )
                add(f"removal.wet-mass-before-seed-share{suffix}", part if certain else part.value)
            seeds_kept(season, plants, early, suffix, add)
        cover(season, suffix, add)
        absence(season, mass, scope, suffix, add)
        if suffix:
            passes(season, mass, plants, scope, suffix, add)

    for stem, mean_stem, catch in (
        ("stratum.wet-mass", "stratum.mass-per-container", mass),
        ("stratum.plants", "stratum.plants-per-container", plants),
    ):
        for stratum, containers in catch.containers.items():
            amounts = [v for _, v in catch.observed[stratum]]
            if not catch.convertible(stratum):
                continue
            n, value = len(amounts), containers * np.mean(amounts)
            error = math.sqrt(containers * (containers - n) * np.var(amounts, ddof=1) / n)
            total = Estimate(value, error, n - 1, log_t(value, error, n - 1, LEAN_AMOUNT, level, sum(amounts)))
            add(f"{stem}/{stratum[0]}/{stratum[1]}", total)
            add(f"{mean_stem}/{stratum[0]}/{stratum[1]}", total.times(1 / containers))

    for key in ("searched", "treated"):
        largest = {
            site["id"]: max(
                (
                    value
                    for pull in season.pulls
                    if pull.site == site["id"]
                    and (value := pull.first_number(f"{key}_area", AREA)) is not None
                ),
                default=None,
            )
            for site in season.sites
        }
        for site, area in largest.items():
            add(f"area.{key}/{site}", area)
        add(f"area.{key}", sum(area for area in largest.values() if area is not None))

    seasons(season, mass, scopes, add)
    money(season, add)
    promises(season, out, add)
    return out


def crews(pulls):
    by_day = defaultdict(list)
    for pull in pulls:
        by_day[pull.day].append(pull)
    total = 0
    for of_day in by_day.values():
        free = []
        for pull in sorted(of_day, key=lambda pull: clock(pull.first("start"))):
            heads = (pull.first("staff"), pull.first("volunteers"))
            start, end = clock(pull.first("start")), clock(pull.first("end"))
            crew = next((c for c in free if c[0] == heads and heads != (None, None) and c[1] <= start), None)
            if crew:
                crew[1] = end
            else:
                free.append([heads, end])
        total += len(free)
    return total


def in_scope(suffix, row):
    return not suffix or row["site"] == suffix[1:]


def cover(season, suffix, add):
    looks = defaultdict(dict)
    for row in sorted(season.cover, key=lambda row: row["date"]):
        if in_scope(suffix, row) and "class" in row:
            plot = looks[row["site"], row["plot"]]
            if row["when"] == "after" or "before" not in plot:
                plot[row["when"]] = DAUBENMIRE[row["class"]]
    pairs = [(plot["before"], plot["after"]) for plot in looks.values() if len(plot) == 2]
    if pairs:
        before, after = (np.array(column) for column in zip(*pairs))
        add(f"cover.before{suffix}", mean_t(before, season.level, (0, 100)))
        add(f"cover.after{suffix}", mean_t(after, season.level, (0, 100)))
        add(f"cover.change{suffix}", mean_t(after - before, season.level))
    for when in ("before", "after"):
        counts = [
            (float(row["plants"]), number(row, "plot_area", AREA))
            for row in season.cover
            if in_scope(suffix, row) and row["when"] == when and "plants" in row
        ]
        if counts:
            area = counts[0][1]
            mean = mean_t([count for count, _ in counts], season.level)
            ends = log_t(mean.value, mean.error, mean.degrees, LEAN_DENSITY, season.level)
            add(
                f"density.{when}{suffix}",
                Estimate(mean.value, mean.error, mean.degrees, ends).times(1 / area),
            )


def ends(supposition):
    return (supposition["low"], supposition["high"]) if isinstance(supposition, dict) else tuple(supposition)


def absence(season, mass, scope, suffix, add):
    if not suffix:
        return
    ordered = sorted(scope, key=lambda p: (season.pulls[p].day, clock(season.pulls[p].first("start"))))
    hours, searches = 0.0, 0
    for p in reversed(ordered):
        if any(mass.known[p, r][0] != "zero" for r in range(len(season.pulls[p].rows))):
            break
        hours, searches = hours + season.pulls[p].hours(), searches + 1
    if not searches:
        return
    add(f"absence.search-hours{suffix}", hours)
    if "absence" not in season.settings:
        return
    rates, before = ends(season.settings["absence"]["finds_per_hour"]), ends(season.settings["absence"]["chance_before"])

    def present(rate_per_hour, chance):
        missed = math.exp(-rate_per_hour * hours)
        return 100 * chance * missed / (chance * missed + 1 - chance)

    def needed(rate_per_hour, chance):
        return math.log(chance / (1 - chance) * 0.95 / 0.05) / rate_per_hour if chance > 0.05 else 0.0

    add(f"absence.chance-remaining{suffix}", Estimate(None, interval=(present(rates[1], before[0]), present(rates[0], before[1]))))
    add(f"absence.hours-needed{suffix}", Estimate(None, interval=(needed(rates[1], before[0]), needed(rates[0], before[1]))))


def seeds_kept(season, plants, early, suffix, add):
    if "seed_bank" not in season.settings:
        return
    bank = season.settings["seed_bank"]
    low = high = 0.0
    known = False
    stage = lambda row: season.pulls[row[0]].rows[row[1]].get("stage")
    for part, growing in (
        ([row for row in early if stage(row) != "seedling"], (1.0, 1.0)),
        ([row for row in early if stage(row) == "seedling"], ends(bank["establishing"])),
    ):
        total = plants.total(part, season.level)
        if total is not None:
            known = True
            bounds = total.interval or (total.value, total.value)
            low += bounds[0] * growing[0] * ends(bank["seeds_per_rosette"])[0]
            high += bounds[1] * growing[1] * ends(bank["seeds_per_rosette"])[1]
    if known:
        add(f"outlook.seeds-kept{suffix}", Estimate(None, interval=(low, high)))


def passes(season, mass, plants, scope, suffix, add):
    """Runs of passes 1, 2, … on one day, a pull a pass, every plant counted: what the sample season has."""
    days = defaultdict(list)
    for p in scope:
        if season.pulls[p].first("pass"):
            days[season.pulls[p].day].append((int(season.pulls[p].first("pass")), p))
    for day, of_day in days.items():
        of_day = [p for _, p in sorted(of_day)]
        part = f"{suffix}/{day}"
        catches = [int(sum(float(row["plants"]) for row in season.pulls[p].rows)) for p in of_day]
        for number_of_pass, caught in enumerate(catches, 1):
            add(f"passes.catch{part}/{number_of_pass}", caught)
        initial, capture, taken = removal(catches, season.level)
        add(f"passes.initial{part}", initial)
        add(f"passes.capture{part}", capture.times(100))
        # The number times the chance, and what each earlier pass left of it.
        for earlier in range(len(catches)):
            expected = initial.value * capture.value * (1 - capture.value) ** earlier
            add(f"passes.expected{part}/{earlier + 1}", Estimate(expected))
        add(f"passes.share-removed{part}", taken.times(100))
        visits = [
            (mass.total([(p, r) for r in range(len(season.pulls[p].rows))], season.level).value, season.pulls[p].hours())
            for p in of_day
        ]
        initial, taken, catchability = leslie(visits, season.level)
        add(f"passes.initial-mass{part}", initial)
        add(f"passes.share-of-mass-removed{part}", taken.times(100))
        add(f"passes.share-an-hour{part}", catchability.times(100))


def seasons(season, mass, scopes, add):
    """Seasons recorded as a mass at every site of this season; others must be refused."""
    this_year = season.settings["year"]
    rows = defaultdict(dict)
    for row in season.history:
        if row["unit"] in MASS and row["comparable"] == "yes":
            rows[row["site"]][int(row["year"])] = (float(row["removed"]) * MASS[row["unit"]], float(row["effort_hours"]))
    for suffix, scope in scopes[1:]:
        found, _ = mass.clusters(scope, season.level)
        rows[suffix[1:]][this_year] = (sum(a for _, a, _ in found), sum(h for _, _, h in found))
    common = set.intersection(*(set(years) for years in rows.values()))
    overall = {year: tuple(sum(rows[site][year][i] for site in rows) for i in (0, 1)) for year in sorted(common)}
    for suffix, scope in scopes:
        years = rows[suffix[1:]] if suffix else overall
        for year, (amount, effort) in years.items():
            if year == this_year:
                found, shared = mass.clusters(scope, season.level)
                add(f"history.rate/{year}{suffix}", rate(found, shared, season.level))
            else:
                add(f"history.rate/{year}{suffix}", amount / effort)
        if len(years) >= 3:
            slope, line = trend([(y, a, e) for y, (a, e) in sorted(years.items())], season.level)
            add(f"trend.rate{suffix}", slope)
            for when, fitted in line.items():
                add(f"trend.line/{when}{suffix}", fitted)


def money(season, add):
    settings = season.settings
    cents = lambda amount: amount.quantize(Decimal("0.01"), ROUND_HALF_UP)
    claiming = [g["id"] for g in settings["grants"] if Decimal(g.get("match_required", "0")) > 0]
    if not claiming and len(settings["grants"]) == 1:
        claiming = [settings["grants"][0]["id"]]
    ids = {grant["id"] for grant in settings["grants"]}
    for grant in settings["grants"]:
        own = [row for row in season.spending if row["grant"] == grant["id"]]
        booked = lambda kind, line=None: sum(
            (Decimal(row["amount"]) for row in own if row["kind"] == kind and line in (None, row["line"])), Decimal(0)
        )
        budget = {line["line"]: Decimal(line["amount"]) for line in grant.get("budget", [])}
        add(f"spending.cash/{grant['id']}", booked("cash"))
        if any(row["kind"] == "in-kind" for row in own):
            add(f"spending.in-kind/{grant['id']}", booked("in-kind"))
        if budget:
            add(f"budget.total/{grant['id']}", sum(budget.values()))
            add(f"budget.left/{grant['id']}", sum(budget.values()) - booked("cash"))
        for line, planned in budget.items():
            part = f"{grant['id']}/{slug(line)}"
            add(f"budget.line/{part}", planned)
            add(f"spending.line/{part}", booked("cash", line))
            add(f"budget.line-left/{part}", planned - booked("cash", line))
        if grant["id"] not in claiming:
            continue
        total = Decimal(0)
        for kind in ("volunteer", "staff"):
            price = next((Decimal(rate["per_hour"]) for rate in settings["rates"] if rate["kind"] == kind), None)
            if price is None:
                continue
            hours = 0.0
            for pull in season.pulls:
                given = pull.effort()[1 if kind == "volunteer" else 0]
                payer = pull.first("paid_by")
                first = claiming[0] == grant["id"]
                if not given:
                    continue
                if kind == "staff":
                    counts = payer is not None and payer not in ids and first
                else:
                    counts = payer == grant["id"] or (payer not in ids and first)
                hours += given if counts else 0.0
            value = cents(Decimal(f"{hours:.4f}") * price)
            total += value
            add(f"match.{kind}-hours/{grant['id']}", hours)
            add(f"match.{kind}-value/{grant['id']}", value)
        add(f"match.value/{grant['id']}", total)
        if "match_required" in grant:
            add(f"match.required/{grant['id']}", Decimal(grant["match_required"]))


def promises(season, out, add):
    for grant in season.settings["grants"]:
        for promise in grant.get("deliverables", []):
            answer = out.get(promise["figure"])
            if answer is None:
                continue
            target = promise["at_least"] * (MASS | AREA).get(promise.get("unit"), 1.0)
            name = f"deliverable.chance/{grant['id']}/{promise['id']}"
            if not answer.error:
                add(name, 100.0 if answer.value >= target else 0.0)
                continue
            relative = answer.error / answer.value
            away = math.log(answer.value / target) / relative
            unfloored = answer.value / math.exp(t_quantile(season.level, answer.degrees) * relative)
            if answer.interval[0] > unfloored * (1 + 1e-6) and target <= answer.interval[0]:
                add(name, 100.0)
                continue
            if away < 0:
                away /= 1 + min(LEAN_AMOUNT * relative, MOST_LEAN)
            add(name, 100 * stats.t.cdf(away, answer.degrees))


# ------------------------------------------------------------- comparing


def agree(ours, theirs):
    """To six significant digits; a difference of two large numbers near zero, to a billionth."""
    return math.isclose(ours, theirs, rel_tol=5e-7, abs_tol=1e-9)


def differences(name, ours, figure):
    if isinstance(ours, Decimal):
        if figure.get("value") is None or Decimal(figure["value"]) != ours:
            yield f"{ours} here, {figure.get('value')} by windrow"
        return
    if "supposed" in figure:
        theirs = (figure["supposed"]["lower"], figure["supposed"]["upper"])
        if ours.interval is None or not all(agree(a, b) for a, b in zip(ours.interval, theirs)):
            yield f"{ours.interval} here, {theirs} by windrow"
        return
    if figure.get("value") is None:
        yield f"{ours.value} here, refused by windrow: {figure.get('refused')}"
        return
    pairs = [("value", ours.value, figure["value"])]
    if not figure.get("exact"):
        if figure.get("interval") is not None:
            if ours.interval is None:
                yield "windrow has an interval, and there is none here"
                return
            pairs.append(("lower end", ours.interval[0], figure["interval"]["lower"]))
            pairs.append(("upper end", ours.interval[1], figure["interval"]["upper"]))
        elif ours.interval is not None:
            yield "an interval here, and none by windrow"
        for word, mine, theirs in (
            ("standard error", ours.error, figure.get("standard_error")),
            ("degrees of freedom", ours.degrees, figure.get("degrees_of_freedom")),
        ):
            if (mine is None) != (theirs is None):
                yield f"{word}: {mine} here, {theirs} by windrow"
            elif mine is not None:
                pairs.append((word, mine, theirs))
    for word, mine, theirs in pairs:
        if not agree(float(mine), float(theirs)):
            yield f"{word}: {mine:.10g} here, {float(theirs):.10g} by windrow"


def main():
    if len(sys.argv) != 3:
        print(__doc__, file=sys.stderr)
        return 2
    season = Season(Path(sys.argv[1]))
    ledger = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))["figures"]
    ours = compute(season)
    failed = compared = refused = apart = 0
    for name, figure in sorted(ledger.items()):
        stem = name.split("/")[0]
        if stem in NO_CLOSED_FORM:
            apart += 1
            continue
        if name not in ours:
            # What can't be computed here has to be refused there.
            if "refused" in figure:
                refused += 1
            else:
                failed += 1
                print(f"failed  {name}: windrow has {figure.get('value')}, and it is not computed here")
            continue
        found = list(differences(name, ours[name], figure))
        compared += 1
        failed += bool(found)
        for difference in found:
            print(f"failed  {name}: {difference}")
        if not found:
            print(f"ok      {name}")
    for name in sorted(set(ours) - set(ledger)):
        failed += 1
        print(f"failed  {name}: computed here, and windrow has no such figure")
    print(
        f"{compared} figures compared, {failed} differ; {refused} refused by both; {apart} have no closed form or need the pictures"
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
