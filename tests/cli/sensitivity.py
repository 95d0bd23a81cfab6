#!/usr/bin/python3
"""What --sensitivity says of a step is what the program says of the record so edited.

Usage: sensitivity.py ROOT BINARY

Every step carries its edit as a JSON merge patch. It is applied here to the record's text (RFC
7396, written anew), the program values the result, and both must agree to the cent; a step that is
not priced must be refused in the same words.
"""

import copy
import json
import pathlib
import subprocess
import sys
import xml.etree.ElementTree

import by_hand
from merge_patch import merge

SEED = 20261125
RECORDS = 60


def run(binary, arguments, text=None):
    return subprocess.run([binary, "value", "--quiet", *arguments], input=text, timeout=300,
                          capture_output=True, text=True, encoding="utf-8")


def lines(binary, arguments, records):
    text = "".join(json.dumps(record) + "\n" for record in records)
    done = run(binary, ["--format", "ndjson", *arguments, "-"], text)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if done.returncode == 2 or len(answers) != len(records):
        raise SystemExit(f"value {arguments}: exit status {done.returncode}\n{done.stderr}")
    return answers


def check(binary, arguments, records, failures):
    """Returns how many steps were compared, how many of them were refused, and the axes seen."""
    axes = set()
    edited, steps = [], []
    for record, answer in zip(records, lines(binary, ["--sensitivity", *arguments], records)):
        if "error" in answer:
            continue
        sizes = []
        for axis in answer["axes"]:
            axes.add(axis["axis"])
            changes = [abs(step["change"]) for step in axis["steps"] if "change" in step]
            sizes.append(max(changes, default=-1))
            for step in axis["steps"]:
                if "likely" in step:
                    change = round(step["likely"] - answer["likely"], 3)
                    if change != step["change"]:
                        failures.append(f"{answer['id']} {axis['axis']}: change {step['change']}")
                    minor = 1 if answer["currency"] == "JPY" else 0.01
                    if abs(100 * step["change"] / answer["likely"] - step["per_cent"]) > \
                            110 * minor / answer["likely"] * (1 + abs(step["per_cent"]) / 100):
                        failures.append(f"{answer['id']} {axis['axis']}: {step['per_cent']} %")
                edited.append(merge(copy.deepcopy(record), step["edit"]))
                steps.append((answer["id"], axis["axis"], step))
        # Sorted before they were rounded to the minor unit.
        if any(after - before > 0.0101 for before, after in zip(sizes, sizes[1:])):
            failures.append(f"{answer['id']}: the axes are not in order of size: {sizes}")
    refused = 0
    for (name, axis, step), answer in zip(steps, lines(binary, arguments, edited)):
        where = f"{name} {axis} {step['to']}"
        if "error" in step:
            refused += 1
            same = "error" in answer and all(
                answer["error"][key] == step["error"][key] for key in ("code", "message", "hint"))
            if not same:
                failures.append(f"{where}: {step['error']}, and valued again {answer}")
        elif "error" in answer:
            failures.append(f"{where}: refused when valued again: {answer['error']['message']}")
        elif answer["value"]["likely"] != step["likely"]:
            failures.append(f"{where}: {step['likely']}, valued again {answer['value']['likely']}")
    return len(steps), refused, axes


def main(root, binary):
    root = pathlib.Path(root)
    failures = []
    matrix = json.loads(by_hand.without_comments(
        (root / "data/demonstration-matrix.json").read_text()))
    records = [record for _, group in by_hand.example_records(root / "examples")
               for record in group]
    records += list(by_hand.random_records(matrix, SEED, RECORDS))
    # A weight without an uncertainty, whose last digit is its resolution, and one by limits.
    for weight in (1.8, 2, [1.2, 1.4]):
        records.append({**records[-1], "id": f"W-{weight}", "weight_ct": weight})
    steps, refused, axes = check(binary, [], records, failures)
    wanted = {"body tone", "brightness", "transparency", "colours", "coverage", "pattern",
              "directionality", "polish", "hydrophane", "weight", "potch line, face"}
    if wanted - axes:
        failures.append(f"never an axis: {sorted(wanted - axes)}")
    if steps < 15 * RECORDS:
        failures.append(f"only {steps} steps")
    small = str(root / "examples/own-matrix.json")
    _, small_refused, _ = check(binary, ["--matrix", small], records, failures)
    if small_refused == 0:
        failures.append("no step leaves the small matrix")
    check(binary, ["--level", "retail", "--in", "JPY", "--rate", "97.25", "--rate-date",
                   "2026-11-01"], records[:20], failures)

    stone = str(root / "examples/first-stone.json")
    drawing = run(binary, ["--sensitivity", "--format", "svg", stone])
    svg = xml.etree.ElementTree.fromstring(drawing.stdout)
    bars = svg.findall("{http://www.w3.org/2000/svg}rect")
    if len(bars) < 10 or drawing.returncode != 0:
        failures.append(f"the drawing has {len(bars)} bars")
    text = run(binary, ["--sensitivity", stone]).stdout
    longest = max(map(len, text.splitlines()))
    if longest > 80:
        failures.append(f"a line of the chart has {longest} characters")

    print("\n".join(failures[:40]))
    print(f"{steps} steps of {len(records)} records valued again, {refused} of them refused; "
          f"{small_refused} leave the small matrix: {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
