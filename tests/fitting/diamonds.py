#!/usr/bin/python3
"""Prices of 53,940 graded diamonds end to end: a matrix written for them is fitted, and foretells
those left out no worse than R's lm with the same terms on the same folds.

Usage: diamonds.py PROGRAM

The data set is "diamonds" of R's package ggplot2 (Debian: r-cran-ggplot2), read from where it is
installed. Its grades become words of a matrix written here: cut as the pattern, colour as the body
hue, clarity as the directionality; the weight runs along a curve. Left out where there is no R.
"""

import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

KNOTS = (0.2, 0.3, 0.4, 0.5, 0.7, 0.9, 1.0, 1.2, 1.5, 2.0, 3.0, 5.1)
FOLDS = 10

# Per carat, so that lm and the matrix have the same terms: ln(price / carat) linear in each grade
# and, between the knots, in ln carat. Row i is in fold i mod 10.
R_CODE = """
data(diamonds, package = "ggplot2")
d <- as.data.frame(diamonds)
for (n in c("cut", "color", "clarity")) d[[n]] <- factor(as.character(d[[n]]))
knots <- log(c(%s))
x <- log(d$carat)
for (k in 2:(length(knots) - 1)) d[[paste0("h", k)]] <- pmax(x - knots[k], 0)
d$x <- x
d$y <- log(d$price / d$carat)
terms <- reformulate(c("cut", "color", "clarity", "x", grep("^h", names(d), value = TRUE)), "y")
fold <- (seq_len(nrow(d)) - 1) %%%% %d
error <- numeric(nrow(d))
for (f in 0:%d) {
    m <- lm(terms, d[fold != f, ])
    p <- exp(predict(m, d[fold == f, ])) * d$carat[fold == f]
    error[fold == f] <- abs(d$price[fold == f] - p) / d$price[fold == f]
}
cat(format(median(error), digits = 10), "\\n")
write.csv(d[, c("carat", "cut", "color", "clarity", "price")], stdout(), row.names = FALSE)
""" % (", ".join(map(str, KNOTS)), FOLDS, FOLDS - 1)


def matrix(cuts, colours, clarities):
    def words(name, field, values):
        return {"name": name, "kind": "category", "field": field,
                "values": {value: [0.7, 1.4] if i > 0 else 1 for i, value in enumerate(values)}}

    return {
        "format": "trayworth/price-matrix/1", "name": "graded diamonds", "invented": True,
        "currency": "USD", "as_of": "2008-01-01", "market_level": "retail",
        "provenance": "Invented, for a test: the same for every grade.", "coverage": 0.8,
        "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0},
        "market_levels": {"retail": 1},
        "grids": [{"name": "diamonds", "type": ["solid"], "transparency": ["transparent"],
                   "body_tone": ["N9"], "brightness": [5], "per_carat": [[[2000, 6000]]]}],
        "factors": [
            words("cut", "/play_of_colour/pattern", cuts),
            words("colour", "/body_hue", colours),
            words("clarity", "/play_of_colour/directionality", clarities),
            {"name": "weight", "kind": "curve", "field": "/weight_ct", "spacing": "log",
             "points": [{"at": at, "factor": 1 if at == 1.0 else [0.4, 2.5]} for at in KNOTS]},
        ],
        "rounding": [{"from": 0, "to_nearest": 1}],
    }


def record(number, carat, cut, colour, clarity, price):
    return {
        "id": f"D-{number}", "type": "solid", "treatments": [], "faults": [], "body_tone": "N9",
        "body_hue": colour, "transparency": "transparent",
        "brightness": {"grade": 5, "steps": 5, "brightest": 5},
        "play_of_colour": {"colours": [{"colour": "white", "share": 1}], "pattern": cut,
                           "directionality": clarity},
        "weight_ct": {"value": carat, "uncertainty": 0.003},
        "sale": {"price": price, "currency": "USD", "market_level": "retail",
                 "date": "2008-01-01"},
    }


def main():
    if shutil.which("Rscript") is None:
        return 77
    program = sys.argv[1]
    run = subprocess.run(["Rscript", "-e", R_CODE], capture_output=True, text=True)
    if run.returncode != 0:
        print(run.stderr)
        return 77 if "no package called" in run.stderr else 1
    first, _, *rows = run.stdout.splitlines()
    reference = float(first)
    stones = []
    for number, row in enumerate(rows, 1):
        carat, cut, colour, clarity, price = (cell.strip('"') for cell in row.split(","))
        stones.append(record(number, float(carat), cut, colour, clarity, float(price)))
    with tempfile.TemporaryDirectory() as folder:
        place = pathlib.Path(folder)
        grades = [sorted({get(stone) for stone in stones}) for get in (
            lambda stone: stone["play_of_colour"]["pattern"], lambda stone: stone["body_hue"],
            lambda stone: stone["play_of_colour"]["directionality"])]
        (place / "matrix.json").write_text(json.dumps(matrix(*grades)))
        (place / "sales.ndjson").write_text("".join(json.dumps(stone) + "\n" for stone in stones))
        run = subprocess.run([program, "fit", place / "sales.ndjson", "--matrix",
                              place / "matrix.json", "--assess", "--format", "json"],
                             capture_output=True, text=True)
        if run.returncode != 0:
            print(run.stderr)
            return 1
        report = json.loads(run.stdout)
    found = report["after"]["median_ape"]
    coverage = report["after"]["coverage"]
    print(f"{len(stones)} diamonds, median error of those left out: {found:.4f}, R's lm "
          f"{reference:.4f}, before {report['before']['median_ape']:.4f}; inside 0.8: {coverage:.4f}")
    return 0 if len(stones) == 53940 and found <= reference and abs(coverage - 0.8) < 0.01 else 1


if __name__ == "__main__":
    sys.exit(main())
