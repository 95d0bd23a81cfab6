#!/usr/bin/env python3
"""The same product of likely factors with Python's json module: price_with_json.py MATRIX < NDJSON.

A floor for a seller's own script: no ranges, no reasons, no checks of the input.
"""

import json
import math
import sys


def without_comments(text):
    out, at, in_string = [], 0, False
    while at < len(text):
        if in_string:
            step = 2 if text[at] == "\\" else 1
            in_string = text[at] != '"'
            out.append(text[at:at + step])
            at += step
        elif text.startswith("//", at):
            at = text.find("\n", at)
        else:
            in_string = text[at] == '"'
            out.append(text[at])
            at += 1
    return "".join(out)


def likely(spread):
    return math.sqrt(spread[0] * spread[1]) if isinstance(spread, list) else spread


def middle(value):
    return sum(value) / 2 if isinstance(value, list) else value


def neighbours(axis, x):
    for i, high in enumerate(axis):
        if x <= high:
            if i == 0 or x == high:
                return i, i, 0
            return i - 1, i, (x - axis[i - 1]) / (high - axis[i - 1])
    return len(axis) - 1, len(axis) - 1, 0


def admits(rule, record):
    return (record["type"] in rule.get("type", [record["type"]])
            and record["transparency"] in rule.get("transparency", [record["transparency"]]))


def look_up(record, pointer):
    for token in pointer.split("/")[1:]:
        record = record.get(token) if record is not None else None
    return record


def grid_price(grid, tone, grade):
    a, b, u = neighbours([int(name[1]) for name in grid["body_tone"]], tone)
    c, d, v = neighbours(grid["brightness"], grade)
    cells = grid["per_carat"]
    return math.exp(sum(w * math.log(likely(cells[row][column]))
                        for row, column, w in ((a, c, (1 - u) * (1 - v)), (a, d, (1 - u) * v),
                                               (b, c, u * (1 - v)), (b, d, u * v)) if w))


def curve_factor(factor, x):
    log = factor["spacing"] == "log"
    axis = [math.log(p["at"]) if log else p["at"] for p in factor["points"]]
    a, b, w = neighbours(axis, math.log(x) if log else x)
    low, high = (math.log(likely(factor["points"][i]["factor"])) for i in (a, b))
    return math.exp((1 - w) * low + w * high)


def price(record, matrix):
    grid = next(grid for grid in matrix["grids"] if admits(grid, record))
    tones = record["body_tone"]
    tone = middle([int(name[1]) for name in tones] if isinstance(tones, list) else int(tones[1]))
    carats = record["weight_ct"]["value"]
    value = carats * grid_price(grid, tone, middle(record["brightness"]["grade"]))
    for factor in matrix["factors"]:
        if not admits(factor, record):
            continue
        kind = factor["kind"]
        if kind == "share-weighted":
            value *= sum(c["share"] * likely(factor["values"][c["colour"]])
                         for c in record["play_of_colour"]["colours"])
        elif kind == "fault":
            for fault in record["faults"]:
                value *= likely(factor["values"][fault["kind"]][fault["place"]][fault["severity"]])
        elif kind == "curve":
            x = carats if factor["field"] == "/weight_ct" else look_up(record, factor["field"])
            if "per" in factor:
                x /= look_up(record, factor["per"])
            value *= curve_factor(factor, x)
        else:
            word = look_up(record, factor["field"])
            words = word if isinstance(word, list) else [word]
            for word in words:
                name = {True: "yes", False: "no"}.get(word, word)
                if name is None:
                    value *= likely(factor.get("if_absent", 1))
                else:
                    value *= likely(factor["values"][name])
    return carats, value


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        matrix = json.loads(without_comments(file.read()))
    for line in sys.stdin:
        record = json.loads(line)
        carats, value = price(record, matrix)
        sys.stdout.write(json.dumps({"id": record["id"], "weight_ct": carats,
                                     "likely": round(value, 2)}) + "\n")


if __name__ == "__main__":
    main()
