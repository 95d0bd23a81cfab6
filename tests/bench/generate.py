#!/usr/bin/env python3
"""Writes N invented records, a line each, that use every field: generate.py N [SEED]."""

import json
import random
import sys

PATTERNS = ["harlequin", "ribbon", "rolling flash", "broad flash", "flash", "flagstone", "straw",
            "floral", "mosaic", "peacock", "mackerel", "pinfire", "moss"]
COLOURS = ["red", "orange", "yellow", "green", "blue", "violet"]
DIRECTIONALITY = ["none", "slight", "moderate", "strong"]
FAULTS = [("potch line", "face"), ("sand", "back"), ("pits", "face"), ("inclusion", "body"),
          ("webbing", "back")]
SEVERITIES = ["minor", "moderate"]
FILL = 0.0028  # ct per mm3 and g/cm3, the median of listed oval cabochons


def record(number, rng):
    length = round(rng.uniform(6, 18), 2)
    width = round(length * rng.uniform(0.7, 0.95), 2)
    depth = round(width * rng.uniform(0.3, 0.44), 2)
    density = 2.1
    carats = round(FILL * length * width * depth * density * rng.uniform(0.97, 1.03), 2)
    tone = rng.randint(1, 8)
    grade = rng.choice([1.5, 2, 2.5, 3, 3.5, 4])
    share = round(rng.uniform(0.3, 0.8), 2)
    first, second = rng.sample(COLOURS, 2)
    kind, place = rng.choice(FAULTS)
    return {
        "id": f"S-{number:07d}",
        "type": "solid",
        "treatments": [],
        "body_tone": [f"N{tone}", f"N{tone + 1}"] if rng.random() < 0.5 else f"N{tone}",
        "body_hue": None,
        "transparency": rng.choice(["translucent", "opaque"]),
        "hydrophane": False,
        "brightness": {"grade": [grade, grade + 0.5] if rng.random() < 0.5 else grade,
                       "steps": 5, "brightest": 5},
        "play_of_colour": {
            "colours": [{"colour": first, "share": share},
                        {"colour": second, "share": round(1 - share, 2)}],
            "pattern": rng.choice(PATTERNS), "coverage": round(rng.uniform(0.7, 1), 2),
            "directionality": rng.choice(DIRECTIONALITY)},
        "faults": [{"kind": kind, "place": place, "severity": rng.choice(SEVERITIES)}],
        "cut": {"outline": "oval", "dome": "medium", "back": "flat", "polish": "good"},
        "dimensions_mm": {"length": length, "width": width, "depth": depth, "uncertainty": 0.02},
        "weight_ct": {"value": carats, "uncertainty": 0.005},
        "density": density,
        "mounted": False,
        "cost": {"amount": rng.randint(10, 400), "currency": "AUD"},
        "notes": "invented",
    }


def main():
    count = int(sys.argv[1])
    rng = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    for number in range(1, count + 1):
        sys.stdout.write(json.dumps(record(number, rng), separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()
