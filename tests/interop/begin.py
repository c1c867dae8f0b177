"""Fills the workbooks of a new season folder as a spreadsheet program would, and looks at what they offer to whoever types.

    begin.py SEASON
"""

import datetime
import json
import sys

import openpyxl

season = sys.argv[1]


def fill(name, rows):
    path = f"{season}/{name}.xlsx"
    book = openpyxl.load_workbook(path)
    sheet = book.worksheets[0]
    columns = {cell.value: cell for cell in sheet[1]}
    assert sheet.freeze_panes == "B2", sheet.freeze_panes
    assert all(cell.comment and cell.comment.text for cell in sheet[1]), "a heading without a note"
    for number, row in enumerate(rows, 2):
        for heading, value in row.items():
            sheet.cell(number, columns[heading].column).value = value
    book.save(path)
    return sheet, columns


pulls = [
    {
        "pull": f"P{number:02}",
        "date": datetime.date(2026, month, 14),
        "site": "example-cove",
        "start": datetime.time(9, 0),
        "end": datetime.time(12, 30),
        "staff": 1,
        "volunteers": 5,
        "paid_by": "own funds",
        "container": "bag",
        "containers": containers,
        "basis": "counted",
        "stage": stage,
        "fruit": "none",
        "gear_cleaned": "yes",
        "bloom_seen": "no",
        "disposal": "compost yard",
    }
    for number, (month, containers, stage) in enumerate([(6, 9, "rosette"), (7, 12, "rosette"), (8, 0, "flowering")], 1)
]
sheet, columns = fill("pulls", pulls)
lists = {}
for rule in sheet.data_validations.dataValidation:
    if rule.type == "list":
        for area in rule.sqref.ranges:
            lists[area.min_col] = rule.formula1.strip('"').split(",")
for heading, words in {
    "basis": ["counted", "weighed", "guessed"],
    "finished": ["yes", "no"],
    "container": ["bag", "basket"],
    "paid_by": ["own funds", "partner"],
}.items():
    found = lists[columns[heading].column]
    assert found == words, (heading, found)
fill("weighings", [{"pull": "P01", "container": "bag", "mass_lb": mass} for mass in (18, 21.5, 24)])

path = f"{season}/sites.geojson"
with open(path) as file:
    sites = json.load(file)
# Invented, in the open ocean.
outline = [[-45.001, 38.5], [-45.0, 38.5], [-45.0, 38.501], [-45.001, 38.5]]
sites["features"] = [
    {
        "type": "Feature",
        "properties": {"id": "example-cove", "name": "Example Cove"},
        "geometry": {"type": "Polygon", "coordinates": [outline]},
    }
]
with open(path, "w") as file:
    json.dump(sites, file)
