#!/usr/bin/python3
"""The attribution of compare adds up, on random pairs of matrices.

Usage: compare.py ROOT BINARY

A pair is the demonstration matrix with its numbers moved at random, cells taken out, factors
dropped and levels changed, twice. The records are valued under each by "value", the changes of the
logarithms are reckoned from the reasons printed there, and compared with what compare prints.
"""

import copy
import csv
import html.parser
import io
import json
import math
import pathlib
import random
import subprocess
import sys
import tempfile

import by_hand

SEED = 20261125
PAIRS = 8
RECORDS = 25
EXACT = 1e-9


def run(binary, *arguments, text=None):
    done = subprocess.run([binary, *arguments], input=text, timeout=300, capture_output=True,
                          text=True, encoding="utf-8")
    if done.returncode == 2:
        raise SystemExit(f"{arguments}: {done.stderr}")
    return done


def moved(spread, chance):
    low, high = by_hand.ends(spread)
    by = math.exp(chance.gauss(0, 0.3))
    wider = math.exp(abs(chance.gauss(0, 0.1)))
    return [round(low * by / wider, 6), round(high * by * wider, 6)]


def random_matrix(base, chance, name):
    matrix = copy.deepcopy(base)
    matrix["name"] = name
    for grid in matrix["grids"]:
        if chance.random() < 0.6:
            grid["per_carat"] = [[None if chance.random() < 0.01 else moved(cell, chance)
                                  for cell in row] for row in grid["per_carat"]]
        if chance.random() < 0.3:  # a coarser axis: its cells have no like under the other
            keep = [0, 2, 4, 6, 8]
            grid["body_tone"] = [grid["body_tone"][i] for i in keep]
            grid["per_carat"] = [grid["per_carat"][i] for i in keep]
    for factor in matrix["factors"]:
        if chance.random() < 0.4:
            continue
        if factor["kind"] == "curve":
            for point in factor["points"]:
                point["factor"] = moved(point["factor"], chance)
        elif factor["kind"] != "fault":
            for word in factor["values"]:
                factor["values"][word] = moved(factor["values"][word], chance)
        else:
            for places in factor["values"].values():
                for severities in places.values():
                    for severity in severities:
                        severities[severity] = moved(severities[severity], chance)
        if "if_absent" in factor and chance.random() < 0.5:
            factor["if_absent"] = moved(factor["if_absent"], chance)
    dropped = chance.choice([None, "outline", "hydrophane", "coverage of the face"])
    matrix["factors"] = [f for f in matrix["factors"] if f["name"] != dropped]
    for factor in matrix["factors"]:
        if factor["name"] == "pattern" and chance.random() < 0.3:
            factor["name"] = "kind of pattern"
    return matrix


def logarithm(answer):
    """ln of the likely value, from the printed factors."""
    return math.log(answer["weight_ct"]["value"]) + \
        sum(math.log(reason["likely"]) for reason in answer["reasons"])


def check_stone(stone, a, b, failures):
    where = stone["id"]
    for letter, answer in (("a", a), ("b", b)):
        if "error" in answer:
            if stone[letter].get("error", {}).get("message") != answer["error"]["message"]:
                failures.append(f"{where}: {letter} is {stone[letter]}, refused by value")
        elif stone[letter].get("likely") != answer["value"]["likely"]:
            failures.append(f"{where}: {letter} is {stone[letter]}")
    if "error" in a or "error" in b:
        if "causes" in stone:
            failures.append(f"{where}: causes of a stone that is refused")
        return 0
    whole = logarithm(b) - logarithm(a)
    parts = math.fsum(cause["log_change"] for cause in stone["causes"])
    if abs(whole - stone["log_change"]) > EXACT or abs(parts - whole) > EXACT:
        failures.append(f"{where}: {whole} by the reasons, {stone['log_change']} stated, "
                        f"{parts} by the causes")
    money = sum(cause["change"] for cause in stone["causes"])
    if abs(money - stone["change"]) > 0.0051 * (len(stone["causes"]) + 1):
        failures.append(f"{where}: the causes come to {money}, the change is {stone['change']}")
    sizes = [abs(cause["log_change"]) for cause in stone["causes"]]
    if sizes != sorted(sizes, reverse=True) or 0 in sizes:
        failures.append(f"{where}: causes out of order")
    with_cells = 0
    for cause in stone["causes"]:
        ends = [math.log(cause[side]["likely"]) if cause[side] else 0 for side in "ab"]
        if abs(ends[1] - ends[0] - cause["log_change"]) > EXACT:
            failures.append(f"{where} {cause['step']}: {cause['log_change']}")
        if "cells" in cause:
            with_cells += 1
            cells = math.fsum(cell["log_change"] for cell in cause["cells"])
            if abs(cells - cause["log_change"]) > EXACT:
                failures.append(f"{where} {cause['step']}: its cells come to {cells}")
    return with_cells


def check_pair(binary, folder, matrices, records, level, failures):
    paths = []
    for letter, matrix in zip("ab", matrices):
        paths.append(str(folder / f"{letter}.json"))
        pathlib.Path(paths[-1]).write_text(json.dumps(matrix))
    stock = folder / "stock.ndjson"
    stock.write_text("".join(json.dumps(record) + "\n" for record in records))
    answers = [[json.loads(line) for line in
                run(binary, "value", "--quiet", "--format", "ndjson", "--matrix", path,
                    "--level", level, str(stock)).stdout.splitlines()] for path in paths]
    by_id = {a.get("id"): (a, b) for a, b in zip(*answers)}
    compared = ["compare", *paths, "--level", level, "--quiet", str(stock)]
    report = json.loads(run(binary, *compared, "--format", "json").stdout)
    with_cells = both = 0
    for stone in report["stones"]:
        a, b = by_id.pop(stone["id"])
        both += "error" not in a and "error" not in b
        with_cells += check_stone(stone, a, b, failures)
    if by_id:
        failures.append(f"left out: {sorted(by_id)}")
    changes = [abs(s["change"]) for s in report["stones"] if "change" in s]
    if changes != sorted(changes, reverse=True):
        failures.append("the stones that move most do not come first")
    total = report["total"]
    steps = sum(step["change"] for step in total["steps"])
    if total["both"] != both or abs(steps - total["change"]) > 0.0051 * (len(total["steps"]) + 1) \
            or abs(total["b"] - total["a"] - total["change"]) > 0.0101:
        failures.append(f"total: {total}")
    rows = list(csv.DictReader(io.StringIO(run(binary, *compared, "--format", "csv").stdout)))
    for stone in (row for row in rows if row["row"] == "stone" and row["log_change"]):
        parts = math.fsum(float(row["log_change"]) for row in rows
                          if row["row"] == "cause" and row["id"] == stone["id"])
        if abs(parts - float(stone["log_change"])) > EXACT:
            failures.append(f"CSV: the causes of {stone['id']} come to {parts}")
    return both, with_cells


class Page(html.parser.HTMLParser):
    """Whether every element is closed, and nothing is fetched."""

    VOID = {"meta", "br"}

    def __init__(self):
        super().__init__()
        self.open, self.faults, self.rows = [], [], 0

    def handle_starttag(self, tag, attrs):
        self.rows += tag == "tr"
        if tag not in self.VOID:
            self.open.append(tag)
        if any(name in ("src", "href") for name, _ in attrs):
            self.faults.append(f"<{tag}> refers to another file")

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}>")


def main(root, binary):
    root = pathlib.Path(root)
    failures = []
    base = json.loads(by_hand.without_comments(
        (root / "data/demonstration-matrix.json").read_text()))
    chance = random.Random(SEED)
    records = list(by_hand.random_records(base, SEED, RECORDS))
    both = with_cells = 0
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for pair in range(PAIRS):
            matrices = [random_matrix(base, chance, f"{pair}{letter}") for letter in "ab"]
            found = check_pair(binary, folder, matrices, records,
                               "retail" if pair % 2 else "trade", failures)
            both += found[0]
            with_cells += found[1]
        # Nothing changed: nothing is said to have.
        same = json.loads(run(binary, "compare", "demonstration", "demonstration", "--format",
                              "json", str(folder / "stock.ndjson")).stdout)
        if any(stone.get("causes") for stone in same["stones"]) or same["total"]["steps"]:
            failures.append("a matrix differs from itself")
        page = Page()
        page.feed(run(binary, "compare", "demonstration", str(folder / "b.json"), "--format",
                      "html", str(root / "examples/tray.json")).stdout)
        failures += [f"HTML: {fault}" for fault in page.faults + page.open]
        if page.rows < 20:
            failures.append(f"the page has {page.rows} rows")
        text = run(binary, "compare", "demonstration", str(folder / "b.json"), "--reasons",
                   str(root / "examples/tray.json")).stdout
        wide = [line for line in text.splitlines() if len(line) > 80]
        if wide:
            failures.append(f"{len(wide)} lines are wider than 80: {wide[0]}")
    if both < PAIRS * RECORDS / 2 or with_cells < both / 2:
        failures.append(f"only {both} stones under both, {with_cells} causes with cells")
    print("\n".join(failures[:40]))
    print(f"{PAIRS} random pairs (seed {SEED}), {both} stones under both, {with_cells} causes "
          f"shared out among cells: {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
