#!/usr/bin/python3
"""Checks the data files: the schemas, the examples against them, and the demonstration matrix.

Usage: validate.py ROOT

ROOT is the top of the project. Prints a line for each group of checks and exits with 1 when a
check fails. Needs the Debian package python3-jsonschema.

What the files must hold is written down here a second time, by hand, so that a slip in a schema or
in the matrix cannot hide itself. The last group spoils good data and asks the checks to notice.
"""

import copy
import json
import math
import pathlib
import re
import sys

import jsonschema

TONES = [f"N{n}" for n in range(1, 10)]
TYPES = ["solid", "boulder", "matrix", "doublet", "triplet", "mosaic", "synthetic", "imitation"]
TRANSPARENCIES = ["transparent", "translucent", "opaque"]
UNPRICED = {"mosaic", "synthetic", "imitation"}
OUTLINES = ["round", "oval", "cushion", "square", "rectangle", "octagon", "pear", "marquise",
            "heart", "triangle", "freeform"]
COLOURS_DEAREST_FIRST = ["red", "orange", "yellow", "green", "blue", "violet"]
PATTERNS = ["harlequin", "ribbon", "rolling flash", "broad flash", "flash", "flagstone",
            "Chinese writing", "straw", "floral", "mosaic", "peacock", "mackerel", "pinfire",
            "moss"]
BROAD_PATTERNS = ["harlequin", "ribbon", "rolling flash", "broad flash", "flagstone"]
SMALL_PATTERNS = ["pinfire", "moss"]
DIRECTIONALITY_DEAREST_FIRST = ["none", "slight", "moderate", "strong", "one-way"]
POLISH_DEAREST_FIRST = ["excellent", "good", "fair", "poor"]
FAULTS = ["crazing", "crack", "sand", "potch line", "webbing", "pits", "window", "inclusion",
          "scratched polish", "unstable host"]
SEVERITIES_DEAREST_FIRST = ["minor", "moderate", "severe"]
# A fault costs most where it is seen most. "body" is inside the stone.
PLACES_CHEAPEST_FIRST = [["face", "girdle", "back"], ["face", "body", "back"]]


# ---- reading

def without_comments(text):
    """Blanks out // comments that stand outside strings; every other character keeps its place."""
    kept = re.compile(r'"(?:[^"\\\n]|\\.)*"|//[^\n]*')
    return kept.sub(lambda m: m.group() if m.group()[0] == '"' else " " * len(m.group()), text)


def unique(pairs):
    result = dict(pairs)
    if len(result) != len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"key given twice: {sorted(n for n in set(names) if names.count(n) > 1)}")
    return result


def parse(text):
    return json.loads(text, object_pairs_hook=unique)


def pointer(path):
    return "".join("/" + str(token).replace("~", "~0").replace("/", "~1") for token in path)


def at(document, path):
    for token in path:
        document = document[token]
    return document


def tokens(text):
    """Path of a JSON Pointer; digits are indices."""
    return [int(t) if t.isdigit() else t for t in text.split("/")[1:]]


# ---- samples that use every property once

STONE = {
    "format": "trayworth/stone/1",
    "id": "A-1",
    "type": "solid",
    "treatments": ["smoke"],
    "body_tone": ["N3", "N4"],
    "body_hue": "orange",
    "transparency": ["transparent", "translucent"],
    "hydrophane": False,
    "brightness": {"grade": [2.5, 3], "steps": 5, "brightest": 5},
    "play_of_colour": {
        "colours": [{"colour": "green", "share": 0.6}, {"colour": "blue", "share": [0.3, 0.4]}],
        "pattern": ["flash", "broad flash"],
        "coverage": 0.95,
        "directionality": "slight",
    },
    "faults": [{"kind": "crack", "place": "back", "severity": ["minor", "moderate"]}],
    "cut": {"outline": "oval", "dome": ["low", "medium"], "back": "convex", "polish": "good",
            "area_mm2": 93.1},
    "dimensions_mm": {"length": 12.1, "width": {"value": 9.9, "uncertainty": 0.02},
                      "depth": [4.3, 4.5], "wall": 1, "dome": {"value": [2.9, 3.1]}, "back": 0.4,
                      "uncertainty": 0.02},
    "weight_ct": {"value": 3.61, "uncertainty": 0.005},
    "density": [2.06, 2.14],
    "mounted": False,
    "cost": {"amount": 0, "currency": "AUD", "note": "a gift"},
    "sale": {"price": 250, "currency": "AUD", "date": "2026-10-03", "market_level": "retail",
             "days": 12},
    "notes": "none",
    "x-own": {"anything": [1, None]},
}
COMMON = {**STONE, "brightness": None, "play_of_colour": None}
UNSOLD = {**STONE, "sale": {"unsold_at": 300, "currency": "AUD", "date": "2026-11-28",
                            "market_level": "retail"}}
SCALE = {"brightness": {"steps": 5, "brightest": 5}, "weight_ct": {"uncertainty": 0.005}}

MATRIX = {
    "format": "trayworth/price-matrix/1",
    "name": "m",
    "invented": False,
    "currency": "AUD",
    "as_of": "2026-11-01",
    "market_level": "trade",
    "provenance": "p",
    "coverage": 0.8,
    "common": {"prices": 0.8, "factors": 0.5, "market_level": 1, "grading": 0, "measuring": 0.5},
    "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0.5},
    "market_levels": {"trade": 1, "retail": [1.8, 2.4]},
    "grids": [{"name": "g", "type": ["solid"], "transparency": ["opaque"],
               "body_tone": ["N1", "N2"], "brightness": [1, 2],
               "per_carat": [[[1, 2], 3], [None, [1, 1]]], "x-own": 1}],
    "factors": [
        {"name": "category", "kind": "category", "field": "/hydrophane", "type": ["solid"],
         "transparency": ["opaque"], "if_absent": [0.7, 1], "values": {"yes": 0.5, "no": [1, 1]},
         "x-own": 1},
        {"name": "colours", "kind": "share-weighted", "field": "/play_of_colour/colours",
         "values": {"red": 2}},
        {"name": "curve", "kind": "curve", "field": "/dimensions_mm/depth",
         "per": "/dimensions_mm/width", "spacing": "log",
         "points": [{"at": 0.1, "factor": 1}, {"at": 1, "factor": [0.4, 0.5]}]},
        {"name": "faults", "kind": "fault", "field": "/faults",
         "values": {"crack": {"face": {"minor": [0.5, 0.8]}}}},
    ],
    "rounding": [{"from": 0, "to_nearest": 1}, {"from": 100, "to_nearest": 5}],
    "list_prices": [{"from": 5, "to_nearest": 5}, {"from": 100, "to_nearest": 10, "ending": 9}],
    "accepted": [{"code": "grid-gap", "at": "/grids", "reason": "so"}],
    "x-own": None,
}

FINDING = {"code": "field-missing", "severity": "error", "message": "m",
           "pointer": "/cut/outline", "file": "stone.json", "line": 3, "column": 1, "hint": "h"}
VALUATION = {
    "id": "A-1",
    "name": "black crystal opal",
    "classification": {"tone_classes": ["black", "dark"], "straddles": ["N4 to N5"]},
    "weight_ct": {"value": 3.61, "standard_uncertainty": 0.005, "low": 3.6, "high": 3.62,
                  "basis": "weighed", "printed": "3.61"},
    "value": {"likely": 461.2, "low": 300.1, "high": 708.9, "outer_low": 100.5,
              "outer_high": 2000.5, "coverage": 0.8, "coverage_factor": 1.28,
              "log_standard_uncertainty": 0.33, "currency": "USD",
              "converted": {"from": "AUD", "rate": 0.65, "date": "2026-11-01"},
              "market_level": "trade",
              "rounded": {"likely": 460, "low": 300, "high": 710}},
    "simulation": {"trials": 100000, "seed": 1, "likely": 460.1, "low": 301.1, "high": 705.2,
                   "log_standard_uncertainty": 0.33},
    "reasons": [{"step": "price per carat", "field": "/body_tone",
                 "matrix_pointer": "/grids/0/per_carat/0/0", "matrix_file": "mine.json", "read": "N1, brightness 1 of 5",
                 "low": 1, "likely": 1.5, "high": 2, "running": 5.4, "note": "n",
                 "cells": [{"pointer": "/grids/0/per_carat/0/0", "at": "N1 at brightness 1",
                            "weight": 1, "low": 1, "high": 2,
                            "file": "mine.json"}]}],
    "budget": [{"source": "grade: brightness", "share": 1, "log_standard_uncertainty": 0.33}],
    "matrix": {"name": "m", "as_of": "2026-11-01", "provenance": "p", "invented": True},
    "purpose": "an estimate",
    "cautions": ["not an appraisal"],
    "warnings": [FINDING],
    "cost": {"amount": 140, "currency": "AUD", "likely_over_cost": 3.3},
    "x-own": [1],
}
WEIGHT = {name: VALUATION["weight_ct"][name]
          for name in ("value", "standard_uncertainty", "basis", "printed")}
# One for each kind of answer: its name is that of its definition.
ANSWERS = {
    "valuation": VALUATION,
    "brief": {"id": "A-1", "name": "black crystal opal", "weight_ct": WEIGHT,
              "value": VALUATION["value"], "invented": True},
    "sensitivity": {
        "id": "A-1", "name": "black crystal opal", "likely": 299.98, "currency": "USD",
        "converted": {"from": "AUD", "rate": 0.65, "date": "2026-11-01"},
        "market_level": "trade",
        "axes": [{"axis": "body tone", "field": "/body_tone", "read": "N4",
                  "steps": [{"to": "N5", "likely": 250.5, "change": -49.48, "per_cent": -16.5,
                             "edit": {"body_tone": "N5"}},
                            {"to": "N3", "error": {"code": "not-priced", "message": "m",
                                                   "pointer": "/body_tone", "hint": "h"},
                             "edit": {"body_tone": "N3"}}]}],
        "matrix": VALUATION["matrix"], "purpose": "pricing", "cautions": ["not an appraisal"],
        "warnings": [FINDING],
    },
    "total": {
        "stones": 11, "refused": 1,
        "total": {"likely": 9846.84, "low": 7173.57, "high": 14114.6, "coverage": 0.8,
                  "log_standard_uncertainty": 0.264, "common_share": 0.81, "currency": "USD",
                  "converted": {"from": "AUD", "rate": 0.65, "date": "2026-11-01"},
                  "market_level": "trade"},
        "budget": [{"source": "factor: pattern", "share": 0.2, "common": 0.15}],
        "matrix": VALUATION["matrix"], "purpose": "pricing",
    },
    "weighed": {
        "id": "A-1", "name": "black crystal opal", "classification": VALUATION["classification"],
        "weight_ct": WEIGHT,
        "estimate": {"weight_ct": 3.6, "standard_uncertainty": 0.3, "volume_mm3": 343.2,
                     "density": 2.1, "density_source": "stated",
                     "budget": [{"source": "depth", "value": 4.4, "standard_uncertainty": 0.03,
                                 "contribution_ct": -0.02, "share": 0.004}]},
        "calibrated_size": {"length_mm": 12, "width_mm": 10, "length_off_mm": 0.1,
                            "width_off_mm": -0.1, "tolerance_mm": 0.2, "fits": True},
        "warnings": [FINDING], "x-own": [1],
    },
    "sound": {"id": "A-1", "name": "black crystal opal",
              "classification": VALUATION["classification"], "warnings": [FINDING]},
    "sound_matrix": {"name": "m", "warnings": [FINDING]},
    "refused": {"id": None, "error": FINDING, "errors": [FINDING]},
}

# Every key that may not be left out. "weight_ct" and "dimensions_mm" stand in for each other and
# have checks of their own.
REQUIRED = {
    "stone": """/type /body_tone /transparency /brightness /brightness/grade /brightness/steps
        /brightness/brightest /play_of_colour /play_of_colour/colours /play_of_colour/pattern
        /play_of_colour/colours/0/colour /play_of_colour/colours/0/share /faults/0/kind
        /faults/0/place /faults/0/severity /weight_ct/value /dimensions_mm/width/value
        /dimensions_mm/dome/value /cost/amount /cost/currency""",
    "tray": """/tray /stones /stones/0/faults/0/kind /stones/0/faults/0/place
        /stones/0/faults/0/severity /stones/0/play_of_colour/colours/0/colour
        /stones/0/play_of_colour/colours/0/share /stones/0/dimensions_mm/width/value""",
    "matrix": """/format /name /currency /as_of /market_level /provenance /coverage /brightness
        /brightness/steps /brightness/brightest /brightness/mapping_half_width /market_levels
        /grids /grids/0/name /grids/0/type /grids/0/transparency /grids/0/body_tone
        /grids/0/brightness /grids/0/per_carat /factors /factors/0/name /factors/0/kind
        /factors/0/field /factors/0/values /factors/1/name /factors/1/kind /factors/1/field
        /factors/1/values /factors/2/name /factors/2/kind /factors/2/field /factors/2/spacing
        /factors/2/points /factors/2/points/0/at /factors/2/points/0/factor /factors/3/name
        /factors/3/kind /factors/3/field /factors/3/values /rounding /rounding/0/from
        /rounding/0/to_nearest /rounding/1/from /rounding/1/to_nearest
        /list_prices/0/from /list_prices/0/to_nearest /list_prices/1/from
        /list_prices/1/to_nearest""",
    "valuation": """/id /name /classification /classification/tone_classes
        /classification/straddles /weight_ct /weight_ct/value /weight_ct/standard_uncertainty
        /weight_ct/low /weight_ct/high /weight_ct/basis /weight_ct/printed /value /value/likely
        /value/low /value/high /value/outer_low /value/outer_high /value/coverage
        /value/coverage_factor /value/log_standard_uncertainty /value/currency /value/market_level
        /value/rounded /value/rounded/likely /value/rounded/low /value/rounded/high
        /simulation/trials /simulation/seed /simulation/likely /simulation/low /simulation/high
        /simulation/log_standard_uncertainty /reasons /reasons/0/step /reasons/0/field
        /reasons/0/matrix_pointer /reasons/0/read /reasons/0/low /reasons/0/likely /reasons/0/high
        /reasons/0/running /reasons/0/cells/0/pointer /reasons/0/cells/0/weight
        /reasons/0/cells/0/low /reasons/0/cells/0/high /budget /budget/0/source /budget/0/share
        /budget/0/log_standard_uncertainty /matrix /matrix/name /matrix/as_of /matrix/provenance
        /matrix/invented /purpose /cautions /warnings /warnings/0/code /warnings/0/severity
        /warnings/0/message
        /warnings/0/pointer /warnings/0/line /warnings/0/column /warnings/0/hint /cost/amount
        /cost/currency""",
    "brief": """/id /name /weight_ct /weight_ct/value /weight_ct/standard_uncertainty
        /weight_ct/basis /weight_ct/printed /value /value/likely /value/rounded /invented""",
    "sensitivity": """/id /name /likely /currency /market_level /axes /axes/0/axis /axes/0/field
        /axes/0/read /axes/0/steps /axes/0/steps/0/to /axes/0/steps/0/edit /axes/0/steps/0/likely
        /axes/0/steps/0/change /axes/0/steps/0/per_cent /axes/0/steps/1/error /matrix /purpose
        /cautions /warnings""",
    "total": """/stones /refused /total /total/likely /total/low /total/high /total/coverage
        /total/log_standard_uncertainty /total/common_share /total/currency /total/market_level
        /budget /budget/0/source /budget/0/share /budget/0/common /matrix /matrix/invented
        /purpose""",
    "weighed": """/id /name /classification /classification/straddles /weight_ct /weight_ct/value
        /weight_ct/standard_uncertainty /weight_ct/basis /weight_ct/printed /estimate/weight_ct
        /estimate/standard_uncertainty /estimate/volume_mm3 /estimate/density
        /estimate/density_source /estimate/budget /estimate/budget/0/source
        /estimate/budget/0/value /estimate/budget/0/standard_uncertainty
        /estimate/budget/0/contribution_ct /estimate/budget/0/share /calibrated_size/length_mm
        /calibrated_size/width_mm /calibrated_size/length_off_mm /calibrated_size/width_off_mm
        /calibrated_size/tolerance_mm /calibrated_size/fits /warnings /warnings/0/hint""",
    "sound": "/id /name /classification /classification/tone_classes /warnings /warnings/0/code",
    "sound_matrix": "/name /warnings /warnings/0/line",
    "refused": """/id /error /errors /error/code /error/severity /error/message /error/pointer
        /error/line
        /error/column /error/hint /errors/0/code""",
}

# Wrong values of the right type, or of a type that only looks right.
OUT_OF_RANGE = {
    "stone": {
        "/format": ["trayworth/stone/2", "trayworth/price-matrix/1"],
        "/type": ["Solid", "opal", ["solid", "boulder"]],
        "/treatments": [[""], "smoke", [["smoke"]]],
        "/body_tone": ["N0", "N10", "n3", 3, ["N3"], ["N3", "N4", "N5"]],
        "/transparency": ["clear", ["opaque", "translucent"], ["transparent"]],
        "/brightness/grade": [0, 101, [2], [2, 3, 4]],
        "/brightness/steps": [1, 101, 2.5],
        "/brightness/brightest": [0, 1.5],
        "/brightness/stpes": [5],
        "/play_of_colour/colours": [[], {"green": 0.6}],
        "/play_of_colour/colours/0/share": [-0.1, 1.1, [0.5], [0.5, 1.5]],
        "/play_of_colour/pattern": ["", ["flash"], ["flash", "moss", "straw"]],
        "/play_of_colour/coverage": [-0.01, 1.01, 95],
        "/faults/0/severity": ["", ["minor"]],
        "/faults/0/colour": ["green"],
        "/cut/dome": ["tall", ["low"]],
        "/cut/back": ["round", ["flat", "convex"]],
        "/cut/area_mm2": [0, -1],
        "/dimensions_mm/length": [0, -12.1, [12], [0, 12]],
        "/dimensions_mm/width/uncertainty": [-0.02],
        "/dimensions_mm/width/value": [0, [9.8, 9.9]],
        "/dimensions_mm/uncertainty": [-0.02, [0, 1]],
        "/dimensions_mm/height": [4],
        "/brightness": [None, {}, {"steps": 5, "brightest": 5}],
        "/play_of_colour": [None],
        "/weight_ct": [0, -1, 1.1e9, {"value": 0}, {"value": 1, "unit": "g"},
                       {"uncertainty": 0.005}],
        "/density": [0, ""],
        "/cost/amount": [-1],
        "/cost/currency": ["aud", "A$", "AUDX"],
        "/id": [""],
        "/body_hue": [""],
        "/notes": [""],
        "/hue": ["orange"],
        "/X-own": [1],
    },
    "matrix": {
        "/format": ["trayworth/price-matrix/2"],
        "/currency": ["aud", "dollars"],
        "/as_of": ["2026-13-01", "01/11/2026", "2026"],
        "/coverage": [0.49, 1, 80],
        "/brightness/steps": [1, 101],
        "/brightness/mapping_half_width": [-0.5],
        "/common": [[], {"prices": -0.1}, {"prices": 1.1}, {"price": 1}],
        "/market_levels": [{}, {"trade": 0}, {"trade": [1, 2, 3]}],
        "/grids": [[]],
        "/grids/0/type": [[], ["opal"], ["solid", "solid"]],
        "/grids/0/transparency": [[], ["clear"]],
        "/grids/0/body_tone": [[], ["N0"], ["N1", "N1"]],
        "/grids/0/brightness": [[], [0, 1], [1, 1]],
        "/grids/0/per_carat": [[], [[]]],
        "/grids/0/per_carat/0/0": [0, -1, [1], [0, 1], [1, 2, 3], "12"],
        "/grids/0/price": [1],
        "/factors/0/kind": ["curve", "table"],
        "/factors/0/field": ["/weight_ct", "hydrophane", "/faults"],
        "/factors/0/values": [{}, {"yes": 0}],
        "/factors/0/points": [[{"at": 0, "factor": 1}, {"at": 1, "factor": 1}]],
        "/factors/0/per": ["/dimensions_mm/width"],
        "/factors/0/if_missing": [1],
        "/factors/1/field": ["/play_of_colour/pattern"],
        "/factors/2/field": ["/cut/outline"],
        "/factors/2/per": ["/weight_ct", "width"],
        "/factors/2/spacing": ["cubic"],
        "/factors/2/points": [[], [{"at": 1, "factor": 1}]],
        "/factors/2/points/0/at": [-1, 0],
        "/factors/2/values": [{"a": 1}],
        "/factors/3/field": ["/treatments"],
        "/factors/3/values/crack": [{}, {"face": {}}, {"face": 1}, {"face": {"minor": 0}}],
        "/rounding": [[]],
        "/rounding/0/from": [10, -1],
        "/rounding/1/from": [-1],
        "/rounding/1/to_nearest": [0],
        "/list_prices": [[]],
        "/list_prices/0/from": [-1],
        "/list_prices/1/to_nearest": [0],
        "/list_prices/1/ending": [-1],
        "/list_prices/1/step": [1],
        "/prices": [1],
    },
    "valuation": {
        "/classification/tone_classes": [["grey"]],
        "/weight_ct/basis": ["guessed"],
        "/weight_ct/printed": ["3.6", "3.617", "3,61"],
        "/value/coverage": [1.1],
        "/value/likely": [-1],
        "/value/currency": ["A$"],
        "/reasons/0/matrix_pointer": ["grids", "/a~2", None],
        "/budget/0/share": [1.1, -0.1],
        "/warnings/0/code": ["Field Missing", ""],
        "/warnings/0/line": [0],
        "/cost/likely_over_cost": [-1, None],
        "/error": [FINDING],
        "/price": [1],
    },
    "brief": {"/weight_ct/low": [3.6], "/weight_ct/high": [3.62], "/warnings": [[]],
              "/value/currency": ["aud"], "/x-own": [1]},
    "total": {"/stones": [-1, 1.5], "/refused": [-1], "/total/common_share": [1.1],
              "/budget/0/common": [-0.1], "/total/outer_low": [1], "/id": [None], "/x-own": [1]},
    "weighed": {"/weight_ct/low": [3.6], "/weight_ct/high": [3.62], "/estimate/volume_mm3": [0],
                "/estimate/density": [0], "/estimate/budget/0/share": [1.1],
                "/calibrated_size/tolerance_mm": [0], "/value": [VALUATION["value"]]},
    "sound": {"/weight_ct": [WEIGHT], "/error": [FINDING], "/x-own": [1]},
    "sound_matrix": {"/id": [None], "/classification": [VALUATION["classification"]],
                     "/x-own": [1]},
    "refused": {"/errors": [[]], "/value": [{}], "/x-own": [1], "/error/severity": ["fatal"],
                "/error/file": [""]},
}

# Forms that must pass: the variety that the format allows.
ALSO_VALID = {
    "stone": {
        "/body_tone": ["N1", "N9", ["N9", "N9"]],
        "/body_hue": [None],
        "/transparency": ["opaque", ["transparent", "opaque"], ["opaque", "opaque"]],
        "/brightness/grade": [1, 5.0],
        "/treatments": [[]],
        "/faults": [[]],
        "/weight_ct": [3.61, [3.6, 3.7], {"value": [3.6, 3.7]}],
        "/density": [2.1, "australian", {"value": 2.1, "uncertainty": 0.03}],
    },
    "matrix": {
        "/factors": [[]],
        "/grids/0/per_carat/0/0": [12, 0.5, None, [3, 3]],
        "/brightness/mapping_half_width": [0],
        "/coverage": [0.5, 0.99],
    },
    "valuation": {"/id": [None], "/reasons/0/field": [None], "/warnings": [[]],
                  "/warnings/0/line": [None]},
    "total": {"/stones": [0], "/budget": [[]]},
    "weighed": {"/id": [None], "/x-own": [None, "2"],
                "/classification": [{"tone_classes": [], "straddles": []}]},
}


def changed(document, path, value):
    result = copy.deepcopy(document)
    at(result, path[:-1])[path[-1]] = value
    return result


def without(document, path):
    result = copy.deepcopy(document)
    del at(result, path[:-1])[path[-1]]
    return result


def properties_of(document, path=()):
    """Paths of all properties of objects, except below x- properties."""
    if isinstance(document, dict):
        for name, value in document.items():
            if not name.startswith("x-"):
                yield path + (name,)
                yield from properties_of(value, path + (name,))
    elif isinstance(document, list):
        for index, value in enumerate(document):
            yield from properties_of(value, path + (index,))


def wrong_types(value, path):
    yield {"no-such": None}
    yield [[["no-such"]]]
    yield "yes" if isinstance(value, bool) else True
    if path[-1] == "density":  # a number or a name
        return
    words = value is None or all(isinstance(v, str) for v in (value if isinstance(value, list)
                                                              else [value]))
    yield 7.5 if words else "7.5"


# ---- checks: each yields a complaint for everything that is wrong

class Project:
    def __init__(self, root):
        self.root = root
        self.schemas = {name: parse((root / f"data/{name}.schema.json").read_text())
                        for name in ("record", "matrix", "valuation")}
        self.matrix_text = (root / "data/demonstration-matrix.json").read_text()
        self.matrices = {
            path: parse(without_comments((root / path).read_text()))
            for path in ("data/demonstration-matrix.json", "examples/own-matrix.json")}
        self.matrix = self.matrices["data/demonstration-matrix.json"]
        self.records = {path.name: parse(path.read_text())
                        for path in sorted((root / "examples").glob("*.json"))
                        if not path.name.endswith("-matrix.json")}
        self.lines = {f"{path.name}, line {number}": parse(line)
                      for path in sorted((root / "examples").glob("*.ndjson"))
                      for number, line in enumerate(path.read_text().splitlines(), 1)}

    def validator(self, name):
        return jsonschema.Draft202012Validator(self.schemas[name])

    def answer_validator(self, kind):
        """Of one kind of answer, by its definition in the schema of answers."""
        definitions = self.schemas["valuation"]["$defs"]
        return jsonschema.Draft202012Validator({"$ref": f"#/$defs/{kind}", "$defs": definitions})

    def stones(self):
        """Every example stone with what its tray supplies filled in."""
        for name, document in {**self.records, **self.lines}.items():
            if "stones" not in document:
                yield name, document
                continue
            for stone in document["stones"]:
                filled = copy.deepcopy(document["tray"])
                for field, value in stone.items():
                    known = filled.get(field)
                    if isinstance(known, dict) and isinstance(value, dict):
                        known.update(value)
                    else:
                        filled[field] = value
                yield f"{name}, {stone['id']}", filled


def check_schemas(project):
    identifiers = set()
    for name, schema in project.schemas.items():
        try:
            jsonschema.Draft202012Validator.check_schema(schema)
        except jsonschema.SchemaError as error:
            yield f"{name}: {error.message}"
        if schema.get("$schema") != "https://json-schema.org/draft/2020-12/schema":
            yield f"{name}: $schema is {schema.get('$schema')}"
        if not re.fullmatch(r"urn:trayworth:[a-z-]+:1", schema.get("$id", "")):
            yield f"{name}: $id is {schema.get('$id')}"
        identifiers.add(schema.get("$id"))
        if not schema.get("title"):
            yield f"{name}: no title"
        for path, properties in property_lists(schema):
            for key, property_schema in properties.items():
                target = property_schema
                while isinstance(target, dict) and "description" not in target and "$ref" in target:
                    target = at(schema, target["$ref"].split("/")[1:])
                if isinstance(target, dict) and not target.get("description"):
                    yield f"{name}: {pointer(path + (key,))} has no description"
        for path, part in parts(schema):
            is_object = part.get("type") in ("object", ["object", "null"])
            closed = part.get("additionalProperties") is False
            if is_object and "properties" in part and not closed:
                yield f"{name}: {pointer(path)} lets unknown properties pass"
            if "$ref" in part and not isinstance(resolved(schema, part["$ref"]), dict):
                yield f"{name}: {pointer(path)} refers to nothing"
    if len(identifiers) != len(project.schemas):
        yield "two schemas have the same $id"


def resolved(schema, reference):
    try:
        return at(schema, reference.split("/")[1:])
    except KeyError:
        return None


def parts(schema, path=()):
    if isinstance(schema, dict):
        yield path, schema
        for key, value in schema.items():
            yield from parts(value, path + (key,))
    elif isinstance(schema, list):
        for index, value in enumerate(schema):
            yield from parts(value, path + (index,))


def property_lists(schema):
    """Every "properties" that is a keyword; a property may itself be named "properties"."""
    for path, part in parts(schema):
        named_by_user = path and path[-1] in ("properties", "$defs")
        if not named_by_user and isinstance(part.get("properties"), dict):
            yield path + ("properties",), part["properties"]


def complaints_of(validator, name, document):
    for error in validator.iter_errors(document):
        best = jsonschema.exceptions.best_match([error])
        yield f"{name}: {pointer(best.absolute_path)}: {best.message[:200]}"


def check_examples(project):
    validator = project.validator("record")
    schema = project.schemas["record"]
    alone = jsonschema.Draft202012Validator({**schema["$defs"]["record"], "$defs": schema["$defs"]})
    for name, document in project.records.items():
        yield from complaints_of(validator, name, document)
    for name, document in project.lines.items():
        yield from complaints_of(alone, name, document)
    for name, stone in project.stones():
        yield from complaints_of(alone, name + " with its tray", stone)
    if len(project.lines) < 6 or len(project.records) < 3:
        yield "examples are missing"


def check_matrices(project):
    validator = project.validator("matrix")
    for name, document in project.matrices.items():
        yield from complaints_of(validator, name, document)


def sample_sets(project):
    tray = {"format": "trayworth/stone/1", "tray": {**STONE, **SCALE}, "stones": [STONE, {}]}
    return {
        "stone": (project.validator("record"), STONE),
        "tray": (project.validator("record"), tray),
        "matrix": (project.validator("matrix"), MATRIX),
        **{kind: (project.answer_validator(kind), sample) for kind, sample in ANSWERS.items()},
    }


def check_samples(project):
    for name, (validator, sample) in sample_sets(project).items():
        yield from complaints_of(validator, name, sample)
        for where, values in ALSO_VALID.get(name, {}).items():
            for value in values:
                if not validator.is_valid(changed(sample, tokens(where), value)):
                    yield f"{name}: refuses {where} = {json.dumps(value)}"
    record = project.validator("record")
    for document in ([], [STONE, STONE], {"tray": {}, "stones": [{}]},
                     {"tray": {}, "stones": [], "x-own": 1},
                     {"tray": SCALE, "stones": [{"brightness": {"grade": 3}}]},
                     without(STONE, ["weight_ct"]), without(STONE, ["dimensions_mm"]), COMMON, UNSOLD,
                     without(COMMON, ["brightness"]),
                     {**COMMON, "brightness": SCALE["brightness"]}):
        if not record.is_valid(document):
            yield f"record: refuses {json.dumps(document)[:90]}"
    used = {key for sample in [UNSOLD] + [sample for _, sample in sample_sets(project).values()]
            for path in properties_of(sample) for key in path}
    for name, schema in project.schemas.items():
        for path, properties in property_lists(schema):
            for key in properties:
                if key not in used:
                    yield f"{name}: no sample uses {pointer(path + (key,))}"


def check_kinds(project):
    """An answer is of one kind, stands alone, and in an array beside refusals only."""
    whole = project.validator("valuation")
    of_stones = ("valuation", "brief", "sensitivity", "weighed", "sound")
    for kind, sample in ANSWERS.items():
        yield from complaints_of(whole, f"{kind} by the whole schema", sample)
        for other in ANSWERS:
            if other != kind and project.answer_validator(other).is_valid(sample):
                yield f"{kind} passes as {other}"
        in_arrays = kind in of_stones or kind == "refused"
        if whole.is_valid([sample]) != in_arrays:
            yield f"array of {kind}: {'refused' if in_arrays else 'passes'}"
    for kind in of_stones:
        yield from complaints_of(whole, f"array of {kind}", [ANSWERS["refused"], ANSWERS[kind]])
        for other in of_stones:
            if other != kind and whole.is_valid([ANSWERS[kind], ANSWERS[other]]):
                yield f"{kind} passes beside {other}"
    yield from complaints_of(whole, "array of nothing", [])


def check_required(project):
    for name, (validator, sample) in sample_sets(project).items():
        for where in REQUIRED[name].split():
            if validator.is_valid(without(sample, tokens(where))):
                yield f"{name}: passes without {where}"
    record = project.validator("record")
    neither = without(without(STONE, ["weight_ct"]), ["dimensions_mm"])
    if record.is_valid(neither):
        yield "stone: passes with neither a weight nor dimensions"
    for document in ({}, [{}], [[STONE]], {"stones": [STONE]}, {"tray": {}}, None, 3, "stone",
                     {"tray": {}, "stones": [{}], "own": 1}, {**STONE, "stones": []}):
        if record.is_valid(document):
            yield f"record: passes {json.dumps(document)[:90]}"


def check_types(project):
    for name, (validator, sample) in sample_sets(project).items():
        for path in properties_of(sample):
            if "edit" in path[:-1]:
                continue  # part of a record, which the record's schema describes
            for value in wrong_types(at(sample, path), path):
                if validator.is_valid(changed(sample, path, value)):
                    yield f"{name}: passes {pointer(path)} = {json.dumps(value)}"
        for where, values in OUT_OF_RANGE.get(name, {}).items():
            for value in values:
                if validator.is_valid(changed(sample, tokens(where), value)):
                    yield f"{name}: passes {where} = {json.dumps(value)}"


# ---- the demonstration matrix

def span(value):
    return (value, value) if isinstance(value, (int, float)) else tuple(value)


def spans(document, path=()):
    """Every list of two numbers, with its path."""
    if isinstance(document, dict):
        for key, value in document.items():
            yield from spans(value, path + (key,))
    elif isinstance(document, list):
        if len(document) == 2 and all(isinstance(v, (int, float)) for v in document):
            yield path, tuple(document)
        else:
            for index, value in enumerate(document):
                yield from spans(value, path + (index,))


def falls(values, what, strictly=True):
    """Complains unless low ends and high ends both fall along the list of (name, span)."""
    for (name, dearer), (next_name, cheaper) in zip(values, values[1:]):
        for end, a, b in zip(("low", "high"), span(dearer), span(cheaper)):
            if a < b or (strictly and a == b):
                yield f"{what}: {end} of {name} is {a}, of {next_name} {b}"


def factor(matrix, field, **more):
    found = [f for f in matrix["factors"] if f["field"] == field
             and all(f.get(key) == value for key, value in more.items())]
    if len(found) != 1:
        raise ValueError(f"{len(found)} factors read {field}")
    return found[0]


def grids_by_class(matrix):
    result = {}
    for index, grid in enumerate(matrix["grids"]):
        for kind in grid["type"]:
            for transparency in grid["transparency"]:
                result.setdefault((kind, transparency), []).append(index)
    return result


def check_head(matrix):
    if matrix["name"] != "Demonstration matrix" or matrix["currency"] != "AUD":
        yield f"head: {matrix['name']}, {matrix['currency']}"
    if matrix.get("invented") is not True or "invented" not in matrix["provenance"]:
        yield "head: does not say that it is invented"
    if matrix["market_levels"].get(matrix["market_level"]) != 1:
        yield "head: its own market level is not 1"
    if len({f["name"] for f in matrix["factors"]}) != len(matrix["factors"]):
        yield "factors: two share a name"
    steps = [step["from"] for step in matrix["rounding"]]
    sizes = [step["to_nearest"] for step in matrix["rounding"]]
    if steps != sorted(set(steps)) or sizes != sorted(set(sizes)) or steps[0] != 0:
        yield "rounding: not ascending from 0"
    steps = [step["from"] for step in matrix["list_prices"]]
    if steps != sorted(set(steps)) or any(step.get("ending", 0) >= step["to_nearest"]
                                          for step in matrix["list_prices"]):
        yield "list prices: not ascending, or an ending that is none"


def check_spans(matrix):
    for path, (low, high) in spans(matrix):
        if path[-1] != "brightness" and not 0 < low <= high:
            yield f"{pointer(path)}: {low} to {high}"
    for name, level in matrix["market_levels"].items():
        low, high = span(level)
        if not 0 < low <= high:
            yield f"market level {name}: {low} to {high}"


def check_grids(matrix):
    classes = grids_by_class(matrix)
    for kind in TYPES:
        for transparency in TRANSPARENCIES:
            found = len(classes.get((kind, transparency), []))
            if found != (0 if kind in UNPRICED else 1):
                yield f"grids: {found} for {kind}, {transparency}"
    for grid in matrix["grids"]:
        name, rows = grid["name"], grid["per_carat"]
        if grid["body_tone"] != TONES or grid["brightness"] != [1, 2, 3, 4, 5]:
            yield f"{name}: not the whole of both scales"
        if len(rows) != len(TONES) or any(len(row) != 5 for row in rows):
            yield f"{name}: rows or columns are missing"
            continue
        for column in range(5):
            yield from falls([(tone, row[column]) for tone, row in zip(TONES, rows)],
                             f"{name}, brightness {column + 1}")
        for tone, row in zip(TONES, rows):
            yield from falls([(f"brightness {5 - i}", cell) for i, cell in enumerate(row[::-1])],
                             f"{name}, {tone}")
            for column, cell in enumerate(row, 1):
                low, high = span(cell)
                if not 1.45 <= high / low <= 2.25:
                    yield f"{name}, {tone}, brightness {column}: {low} to {high}"


def check_grids_compared(matrix):
    classes = grids_by_class(matrix)

    def middle(kind, row, column, transparency="opaque"):
        grid = matrix["grids"][classes[(kind, transparency)][0]]
        return math.sqrt(math.prod(span(grid["per_carat"][row][column])))

    for row, tone in enumerate(TONES):
        for column in range(5):
            solid = middle("solid", row, column)
            where = f"{tone}, brightness {column + 1}"
            for kind, low, high in (("boulder", 0.28, 0.38), ("doublet", 0.08, 0.12)):
                ratio = middle(kind, row, column) / solid
                if not low <= ratio <= high:
                    yield f"{where}: {kind} is {ratio:.3f} of the solid"
            if not middle("triplet", row, column) < middle("doublet", row, column):
                yield f"{where}: triplet is not below doublet"
            if not middle("matrix", row, column) < solid:
                yield f"{where}: matrix is not below solid"


def check_words(matrix):
    def compare(what, words, expected):
        if sorted(words) != sorted(expected):
            yield f"{what}: {sorted(set(words) ^ set(expected))} is on one side only"

    yield from compare("colours", factor(matrix, "/play_of_colour/colours")["values"],
                       COLOURS_DEAREST_FIRST)
    yield from compare("patterns", factor(matrix, "/play_of_colour/pattern")["values"], PATTERNS)
    yield from compare("directionality", factor(matrix, "/play_of_colour/directionality")["values"],
                       DIRECTIONALITY_DEAREST_FIRST)
    yield from compare("polish", factor(matrix, "/cut/polish")["values"], POLISH_DEAREST_FIRST)
    yield from compare("hydrophane", factor(matrix, "/hydrophane")["values"], ["no", "yes"])
    yield from compare("faults", factor(matrix, "/faults")["values"], FAULTS)
    for field, words in (("/cut/outline", OUTLINES), ("/weight_ct", None)):
        covered = []
        for each in (f for f in matrix["factors"] if f["field"] == field):
            covered += each.get("type", TYPES)
            if words:
                yield from compare(each["name"], each["values"], words)
        yield from compare(f"types of the factors over {field}", covered,
                           [t for t in TYPES if t not in UNPRICED])


def check_orders(matrix):
    def listed(field, order):
        values = factor(matrix, field)["values"]
        return [(word, values[word]) for word in order]

    yield from falls(listed("/play_of_colour/colours", COLOURS_DEAREST_FIRST), "colours")
    yield from falls(listed("/play_of_colour/directionality", DIRECTIONALITY_DEAREST_FIRST),
                     "directionality")
    yield from falls(listed("/cut/polish", POLISH_DEAREST_FIRST), "polish")
    yield from falls(listed("/hydrophane", ["no", "yes"]), "hydrophane")
    patterns = factor(matrix, "/play_of_colour/pattern")["values"]
    for name in PATTERNS:
        if name != "harlequin":
            yield from falls([("harlequin", patterns["harlequin"]), (name, patterns[name])],
                             "pattern")
        if name != "pinfire":
            yield from falls([(name, patterns[name]), ("pinfire", patterns["pinfire"])], "pattern")
    for broad in BROAD_PATTERNS:
        for small in SMALL_PATTERNS:
            yield from falls([(broad, patterns[broad]), (small, patterns[small])], "pattern")
    for name, value in factor(matrix, "/treatments")["values"].items():
        if span(value)[1] >= 1:
            yield f"treatments: {name} takes nothing off"


def check_faults(matrix):
    for kind, places in factor(matrix, "/faults")["values"].items():
        for place, severities in places.items():
            if list(severities) != SEVERITIES_DEAREST_FIRST:
                yield f"{kind}, {place}: severities {list(severities)}"
                continue
            yield from falls([("no fault", 1)] + list(severities.items()), f"{kind}, {place}",
                             strictly=False)
            yield from falls(list(severities.items()), f"{kind}, {place}")
            if kind == "crazing" and span(severities["minor"])[1] > 0.7:
                yield f"crazing, {place}: takes off less than 30 %"
        unknown = set(places) - {"face", "body", "girdle", "back"}
        if unknown or len(places) < 2:
            yield f"{kind}: places {list(places)}"
        for order in PLACES_CHEAPEST_FIRST:
            known = [place for place in order if place in places]
            for severity in SEVERITIES_DEAREST_FIRST:
                yield from falls([(place, places[place][severity]) for place in known[::-1]],
                                 f"{kind}, {severity}", strictly=False)


def check_curves(matrix):
    for each in (f for f in matrix["factors"] if f["kind"] == "curve"):
        places = [point["at"] for point in each["points"]]
        if places != sorted(set(places)):
            yield f"{each['name']}: points are not ascending"
    coverage = factor(matrix, "/play_of_colour/coverage")["points"]
    yield from falls([(p["at"], p["factor"]) for p in coverage[::-1]], "coverage of the face")
    if (coverage[0]["at"], coverage[-1]["at"]) != (0, 1):
        yield "coverage of the face: not from 0 to 1"
    for size in (f for f in matrix["factors"] if f["field"] == "/weight_ct"):
        if size["points"][0]["at"] > 0.05 or size["points"][-1]["at"] < 1000:
            yield f"{size['name']}: not from 0.05 to 1000 ct"
        middles = [(p["at"], p["at"] * math.sqrt(math.prod(span(p["factor"]))))
                   for p in size["points"]]
        yield from falls(middles[::-1], f"{size['name']}: price of the whole stone")
    depth = factor(matrix, "/dimensions_mm/depth", per="/dimensions_mm/width")
    points = depth["points"]
    if points[0]["at"] > 0.05 or points[-1]["at"] < 3 or depth.get("if_absent") != 1:
        yield "depth to width: not from 0.05 to 3, or absent is not 1"
    plain = [p for p in points if span(p["factor"]) == (1, 1)]
    deep = points[points.index(plain[-1]):] if plain else points
    yield from falls([(p["at"], p["factor"]) for p in deep], "depth to width")
    # The same face cut deeper: the whole stone's price must not run away with the carats.
    for point in deep[1:]:
        whole = point["at"] / deep[0]["at"] * math.sqrt(math.prod(span(point["factor"])))
        if not 0.9 <= whole <= 1.15:
            yield f"depth to width: at {point['at']} the whole stone is worth {whole:.2f}"


def check_absent(matrix):
    for field in ("/play_of_colour/directionality", "/play_of_colour/coverage", "/cut/polish",
                  "/hydrophane"):
        low, high = span(factor(matrix, field).get("if_absent", [2, 2]))
        if not low < high <= 1:
            yield f"{field}: if_absent is {low} to {high}"


MATRIX_CHECKS = [
    ("demonstration matrix: head", check_head),
    ("demonstration matrix: low never above high", check_spans),
    ("demonstration matrix: grids in order, every class once", check_grids),
    ("demonstration matrix: boulder, matrix, doublet, triplet beside solid", check_grids_compared),
    ("demonstration matrix: every word of the trade", check_words),
    ("demonstration matrix: colours, patterns and other words in order", check_orders),
    ("demonstration matrix: faults by severity and place", check_faults),
    ("demonstration matrix: curves", check_curves),
    ("demonstration matrix: what is not stated", check_absent),
]


def check_text(project):
    for number, line in enumerate(project.matrix_text.splitlines(), 1):
        if len(line) > 100 or not line.isascii() or line != line.rstrip():
            yield f"data/demonstration-matrix.json, line {number}: {line[:60]}"


# ---- examples beside the matrix

def words_of(value):
    return value if isinstance(value, list) else [value]


def check_example_words(project):
    matrix, classes = project.matrix, grids_by_class(project.matrix)
    for name, stone in project.stones():
        for transparency in words_of(stone["transparency"]):
            if (stone["type"], transparency) not in classes:
                yield f"{name}: no grid for {stone['type']}, {transparency}"
        used = {
            "/play_of_colour/colours": [c["colour"] for c in stone["play_of_colour"]["colours"]],
            "/play_of_colour/pattern": words_of(stone["play_of_colour"]["pattern"]),
            "/play_of_colour/directionality": words_of(stone["play_of_colour"]["directionality"]),
            "/cut/polish": words_of(stone["cut"]["polish"]),
            "/treatments": stone["treatments"],
        }
        for field, words in used.items():
            for word in words:
                if word not in factor(matrix, field)["values"]:
                    yield f"{name}: {field} {word} is not priced"
        if stone["cut"]["outline"] not in OUTLINES:
            yield f"{name}: outline {stone['cut']['outline']}"
        for fault in stone["faults"]:
            places = factor(matrix, "/faults")["values"].get(fault["kind"], {})
            for severity in words_of(fault["severity"]):
                if severity not in places.get(fault["place"], {}):
                    yield f"{name}: {fault} is not priced"
        shares = sum(sum(span(c["share"])) / 2 for c in stone["play_of_colour"]["colours"])
        if abs(shares - 1) > 1e-9:
            yield f"{name}: shares of colour sum to {shares}"
        scale = stone["brightness"]
        low, high = span(scale["grade"])
        if not (1 <= low <= high <= scale["steps"] and scale["brightest"] in (1, scale["steps"])):
            yield f"{name}: brightness {scale}"
        tones = [TONES.index(tone) for tone in words_of(stone["body_tone"])]
        if tones != sorted(tones):
            yield f"{name}: body tone {stone['body_tone']}"
        if "invented" not in stone.get("x-about", "").lower():
            yield f"{name}: does not say that it is invented"


# Share of length x width that each outline fills, from lean to full; an ellipse fills pi/4.
FILLED = {"oval": (0.78, 0.79), "round": (0.78, 0.79), "cushion": (0.84, 0.93),
          "pear": (0.68, 0.78), "marquise": (0.60, 0.70), "triangle": (0.5, 0.71),
          "freeform": (0.6, 0.95)}
# Share of that times the depth which a cabochon fills: 90 % of 49 listed ovals had a handbook
# coefficient of 0.0024 to 0.0034, and an elliptical prism has 0.003927.
DEPTH_FILLED = (0.0024 / 0.003927, 0.0034 / 0.003927)
# g/cm3. Host rock, cap and backing count in; the last three figures are from memory.
DENSITIES = {"solid": (1.88, 2.25), "matrix": (1.9, 2.4), "boulder": (2.1, 3.2),
             "doublet": (2.0, 2.6), "triplet": (2.2, 2.7)}


def check_example_weights(project):
    weighed = 0
    for name, stone in project.stones():
        size = stone["dimensions_mm"]
        length, width, depth = (size[key]["value"] if isinstance(size[key], dict) else size[key]
                                for key in ("length", "width", "depth"))
        if length < width:
            yield f"{name}: wider than long"
        if not 0.05 <= depth / width <= 3:
            yield f"{name}: depth to width is {depth / width:.2f}"
        weight = stone.get("weight_ct", {})
        carats = weight.get("value") if isinstance(weight, dict) else weight
        if carats is None:
            continue
        weighed += 1
        box = 0.005 * length * width * depth  # 1 mm3 at 1 g/cm3 weighs 0.005 ct
        filled, density = FILLED[stone["cut"]["outline"]], DENSITIES[stone["type"]]
        low, high = (box * filled[i] * DEPTH_FILLED[i] * density[i] for i in (0, 1))
        if not low <= carats <= high:
            yield f"{name}: {carats} ct, by its dimensions {low:.2f} to {high:.2f}"
    if weighed < 15:
        yield f"only {weighed} weighed examples"


def check_example_variety(project):
    stones = dict(project.stones())
    if {stone["type"] for stone in stones.values()} != set(TYPES) - UNPRICED:
        yield "not every priced type has an example"
    if not any(stone["brightness"]["steps"] == 7 and stone["brightness"]["brightest"] == 1
               for stone in stones.values()):
        yield "no example is graded on seven steps with 1 the brightest"
    ring = stones["ring-stone-set.json"]
    if not ring["mounted"] or "weight_ct" in ring:
        yield "ring-stone-set.json is weighed or not mounted"
    if not 8 <= len(project.records["tray.json"]["stones"]) <= 12:
        yield "tray.json does not hold 8 to 12 stones"
    first = stones["first-stone.json"]
    own = project.matrices["examples/own-matrix.json"]
    grid = own["grids"][0]
    if not (first["type"] in grid["type"] and first["transparency"] in grid["transparency"]
            and set(first["body_tone"]) <= set(grid["body_tone"])):
        yield "own-matrix.json has no cell for first-stone.json"
    for field, words in (("/play_of_colour/colours",
                          [c["colour"] for c in first["play_of_colour"]["colours"]]),
                         ("/play_of_colour/pattern", words_of(first["play_of_colour"]["pattern"]))):
        for word in words:
            if word not in factor(own, field)["values"]:
                yield f"own-matrix.json does not price {word}"
    for fault in first["faults"]:
        if fault["place"] not in factor(own, "/faults")["values"].get(fault["kind"], {}):
            yield f"own-matrix.json does not price {fault}"


# ---- do the checks notice?

def swapped(values, a, b):
    values[a], values[b] = values[b], values[a]


# What is done to a good matrix, and the check that must complain.
SPOILED = [
    (check_head, "invented struck out", lambda m: m.update(invented=False)),
    (check_spans, "a cell reversed", lambda m: m["grids"][2]["per_carat"][4][2].reverse()),
    (check_spans, "a fault reversed",
     lambda m: factor(m, "/faults")["values"]["sand"]["back"]["minor"].reverse()),
    (check_grids, "two tones swapped", lambda m: swapped(m["grids"][0]["per_carat"], 3, 4)),
    (check_grids, "two grades swapped", lambda m: swapped(m["grids"][5]["per_carat"][8], 0, 1)),
    (check_grids, "a tone as dear as the next",
     lambda m: m["grids"][1]["per_carat"][7].__setitem__(0, m["grids"][1]["per_carat"][8][0])),
    (check_grids, "a grid struck out", lambda m: m["grids"].pop()),
    (check_grids, "a class priced twice", lambda m: m["grids"][3]["type"].append("boulder")),
    (check_grids_compared, "doublet as dear as boulder",
     lambda m: m["grids"][4].update(per_carat=m["grids"][2]["per_carat"])),
    (check_words, "a pattern struck out",
     lambda m: factor(m, "/play_of_colour/pattern")["values"].pop("straw")),
    (check_words, "a type without a size curve",
     lambda m: factor(m, "/weight_ct", type=["solid"]).update(type=["boulder"])),
    (check_orders, "green above yellow",
     lambda m: swapped(factor(m, "/play_of_colour/colours")["values"], "green", "yellow")),
    (check_orders, "pinfire above moss",
     lambda m: swapped(factor(m, "/play_of_colour/pattern")["values"], "pinfire", "moss")),
    (check_orders, "poor polish above fair",
     lambda m: swapped(factor(m, "/cut/polish")["values"], "poor", "fair")),
    (check_orders, "a treatment that adds",
     lambda m: factor(m, "/treatments")["values"].update(smoke=[0.2, 1.2])),
    (check_faults, "severe above moderate",
     lambda m: swapped(factor(m, "/faults")["values"]["pits"]["face"], "severe", "moderate")),
    (check_faults, "face above back",
     lambda m: swapped(factor(m, "/faults")["values"]["sand"], "face", "back")),
    (check_faults, "mild crazing",
     lambda m: factor(m, "/faults")["values"]["crazing"]["back"].update(minor=[0.5, 0.8])),
    (check_curves, "points out of order",
     lambda m: swapped(factor(m, "/play_of_colour/coverage")["points"], 1, 2)),
    (check_curves, "depth paid by the carat",
     lambda m: factor(m, "/dimensions_mm/depth")["points"][-1].update(factor=[0.5, 0.7])),
    (check_absent, "silence costs nothing", lambda m: factor(m, "/hydrophane").update(if_absent=1)),
]


def check_notices(project):
    for check, what, spoil in SPOILED:
        matrix = copy.deepcopy(project.matrix)
        spoil(matrix)
        if not list(check(matrix)):
            yield f"{check.__name__} passes a matrix with {what}"

    def spoiled(change):
        result = copy.copy(project)
        result.schemas = copy.deepcopy(project.schemas)
        result.records = copy.deepcopy(project.records)
        change(result)
        return result

    def fields(p):
        return p.schemas["record"]["$defs"]["fields"]

    for check, what, change in [
            (check_schemas, "a description struck out",
             lambda p: fields(p)["properties"]["notes"].pop("description")),
            (check_schemas, "a type that is none",
             lambda p: fields(p)["properties"]["notes"].update(type="text")),
            (check_samples, "a property no sample uses",
             lambda p: fields(p)["properties"].update(owner={"description": "d", "type": "null"})),
            (check_required, "a required key let go",
             lambda p: p.schemas["matrix"]["required"].remove("provenance")),
            (check_required, "the name of a sound stone let go",
             lambda p: p.schemas["valuation"]["$defs"]["sound"]["required"].remove("name")),
            (check_kinds, "a sound record that may have a weight",
             lambda p: p.schemas["valuation"]["$defs"]["sound"].pop("additionalProperties")),
            (check_types, "unknown fields let pass",
             lambda p: fields(p).pop("additionalProperties")),
            (check_types, "a type let go",
             lambda p: fields(p)["properties"]["mounted"].pop("type")),
            (check_examples, "an example without its type",
             lambda p: p.records["first-stone.json"].pop("type")),
            (check_example_words, "an example with a new pattern",
             lambda p: p.records["first-stone.json"]["play_of_colour"].update(pattern="plaid")),
            (check_example_weights, "a slip of the decimal point",
             lambda p: p.records["first-stone.json"]["weight_ct"].update(value=18.6))]:
        if not list(check(spoiled(change))):
            yield f"{check.__name__} passes with {what}"
    for text, kept in (('{"a": 1} // b', '{"a": 1}     '), ('"// not" // c', '"// not"     '),
                       (r'"\"// not"', r'"\"// not"'), ("1 // a\n2", "1     \n2")):
        if without_comments(text) != kept:
            yield f"comments: {text!r} became {without_comments(text)!r}"
    try:
        parse('{"a": 1, "a": 2}')
        yield "a key given twice passes"
    except ValueError:
        pass


def main(arguments):
    if len(arguments) != 2:
        print("usage: validate.py ROOT", file=sys.stderr)
        return 2
    project = Project(pathlib.Path(arguments[1]))
    groups = [
        ("schemas: 2020-12, a description on every property", lambda: check_schemas(project)),
        ("schemas: samples that use every property pass", lambda: check_samples(project)),
        ("schemas: kinds of answers are told apart", lambda: check_kinds(project)),
        ("schemas: each required key is missed", lambda: check_required(project)),
        ("schemas: wrong types and values are refused", lambda: check_types(project)),
        ("examples: records against the schema", lambda: check_examples(project)),
        ("examples: matrices against the schema", lambda: check_matrices(project)),
        ("examples: every word is priced", lambda: check_example_words(project)),
        ("examples: weights agree with dimensions", lambda: check_example_weights(project)),
        ("examples: what they are there to show", lambda: check_example_variety(project)),
        ("demonstration matrix: lines", lambda: check_text(project)),
    ]
    groups += [(title, lambda check=check: check(project.matrix)) for title, check in MATRIX_CHECKS]
    groups.append(("the checks notice what is spoiled", lambda: check_notices(project)))
    failed = False
    for title, run in groups:
        try:
            complaints = list(run())
        except (KeyError, IndexError, TypeError, ValueError) as error:
            complaints = [f"the check could not be made: {type(error).__name__}: {error}"]
        print(("FAILED  " if complaints else "ok      ") + title)
        for complaint in complaints:
            print("        " + complaint)
        failed = failed or bool(complaints)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv))
