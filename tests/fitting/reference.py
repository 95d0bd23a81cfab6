#!/usr/bin/python3
"""Compares the estimates of src/fitting with R's on the same numbers, to 1e-6.

Usage: reference.py PROGRAM

PROGRAM is fitting_reference (reference.cpp). References: lm of R's stats, rlm of MASS (Huber's
M-estimator), lme of nlme (restricted maximum likelihood), survreg of survival (Tobit), isoreg of
stats.
"""

import math
import random
import subprocess
import sys

TOLERANCE = 1e-6


def observations(count, seed, levels, odd=0.0, unsold=0.0, trend=0.0, base=0.0):
    """Lines of invented numbers: y, unsold, days, levels."""
    rng = random.Random(seed)
    effects = [[rng.gauss(0, 0.4) for _ in range(size)] for size in levels]
    lines = []
    for _ in range(count):
        chosen = [min(int(rng.random() ** 1.5 * size), size - 1) for size in levels]
        days = rng.randrange(0, 1000)
        y = base + sum(effect[level] for effect, level in zip(effects, chosen))
        y += -trend * days / 365.2425 + rng.gauss(0, 0.3)
        if rng.random() < odd:
            y += rng.choice((-3, 3))
        is_unsold = rng.random() < unsold
        if is_unsold:
            y += abs(rng.gauss(0, 0.3))
        lines.append((y, int(is_unsold), days, *chosen))
    lines[0] = (lines[0][0], lines[0][1], 0, *lines[0][3:])
    return lines


def ours(program, lines, *method):
    text = "".join(" ".join(f"{x!r}" for x in line) + "\n" for line in lines)
    run = subprocess.run([program, *method], input=text, text=True, capture_output=True)
    if run.returncode != 0:
        raise SystemExit(f"{program} {method}: {run.returncode} {run.stderr}")
    return {name: (float(value), float(error))
            for name, value, error in (line.rsplit(" ", 2) for line in run.stdout.splitlines())}


def of_r(lines, code):
    """What the code prints of the data frame d: a name and a number a line."""
    names = ["y", "unsold", "days"] + [f"f{i}" for i in range(len(lines[0]) - 3)]
    text = ",".join(names) + "\n" + "".join(",".join(map(repr, line)) + "\n" for line in lines)
    factors = "".join(f"d$f{i} <- factor(d$f{i}, levels = 0:max(d$f{i})); "
                      for i in range(len(lines[0]) - 3))
    script = ("options(digits = 15, warn = 1); d <- read.csv(file('stdin')); " + factors +
              "say <- function(x) for (n in names(x)) cat(n, format(x[[n]], digits = 15), '\\n'); " +
              code)
    run = subprocess.run(["Rscript", "-e", script], input=text, text=True, capture_output=True)
    if run.returncode != 0:
        raise SystemExit(run.stderr)
    return {line.split()[0]: float(line.split()[1]) for line in run.stdout.splitlines()}


class Comparison:
    def __init__(self):
        self.faults = []

    def check(self, what, found, expected, tolerance=TOLERANCE):
        worst = 0.0
        for name, value in expected.items():
            if name not in found:
                self.faults.append(f"{what}: {name} is missing")
                continue
            difference = abs(found[name][0] - value)
            worst = max(worst, difference if difference == difference else math.inf)
        print(f"{what}: {len(expected)} numbers, largest difference {worst:.1e}")
        if not worst <= tolerance:
            self.faults.append(f"{what}: {worst:.3g} apart: {found} {expected}")


def least_squares(program, comparison):
    lines = observations(400, 1, (5, 4), base=2)
    expected = of_r(lines, "m <- coef(lm(y ~ f0 + f1, d)); say(m)")
    found = ours(program, lines, "least-squares")
    comparison.check("least squares, lm", named(found), expected)
    errors = of_r(lines, "say(summary(lm(y ~ f0 + f1, d))$coefficients[, 2])")
    comparison.check("its standard errors, lm",
                     {name: (error, 0) for name, (_, error) in named(found).items()}, errors)


def named(found):
    """Our names of coefficients as R has them."""
    names = {"(Intercept)": found["N1 at brightness 1"]}
    for name, value in found.items():
        if name.startswith("f"):
            factor, level = name.split("l")
            names[factor + level] = value
    return names


def huber(program, comparison):
    lines = observations(400, 2, (5, 4), odd=0.1, base=2)
    # MASS divides the median by 0.6745, and this project by all digits of the normal quartile.
    k = 1.345
    expected = of_r(lines, f"m <- MASS::rlm(y ~ f0 + f1, d, k = {k}, acc = 1e-13, maxit = 1000); "
                           "say(coef(m))")
    found = ours(program, lines, "huber", repr(k * 0.67448975019608171 / 0.6745))
    comparison.check("Huber's weights, MASS::rlm", named(found), expected)


def censored(program, comparison):
    lines = observations(400, 3, (5, 4), unsold=0.3, base=2)
    found = ours(program, lines, "least-squares")
    scale = found["deviation"][0]
    expected = of_r(lines, "library(survival); m <- survreg(Surv(y, unsold == 0, type = 'left') ~ "
                           f"f0 + f1, d, dist = 'gaussian', scale = {scale!r}, "
                           "control = survreg.control(rel.tolerance = 1e-14, maxiter = 200)); "
                           "say(coef(m))")
    comparison.check("unsold stones, survival::survreg", named(found), expected)


CONTROL = ("control = lmeControl(msTol = 1e-14, tolerance = 1e-12, msMaxIter = 1000, "
           "maxIter = 1000, niterEM = 100, opt = 'nlminb')")


def random_effects(program, comparison):
    lines = observations(600, 4, (12,))
    code = ("library(nlme); d$x <- -d$days / 365.2425; "
            f"m <- lme(y ~ 0 + x, d, ~ 1 | f0, method = 'REML', {CONTROL}); "
            "r <- ranef(m)[[1]]; names(r) <- paste0('f0l', rownames(ranef(m))); say(r); "
            "say(c(trend = fixef(m)[['x']], deviation = m$sigma, "
            "group2 = as.numeric(VarCorr(m)[1, 2])))")
    comparison.check("one random effect and a trend, nlme::lme", ours(program, lines, "both"),
                     of_r(lines, code))


def crossed_effects(program, comparison):
    lines = observations(600, 5, (12, 8), trend=0.1)
    code = ("library(nlme); d$x <- -d$days / 365.2425; d$one <- factor(1); "
            "m <- lme(y ~ 0 + x, d, list(one = pdBlocked(list(pdIdent(~ f0 - 1), "
            f"pdIdent(~ f1 - 1)))), method = 'REML', {CONTROL}); "
            "r <- as.numeric(ranef(m)); n <- names(ranef(m)); "
            "names(r) <- sub('^(f[01])', '\\\\1l', n); say(r); "
            "say(c(trend = fixef(m)[['x']], deviation = m$sigma))")
    comparison.check("two crossed random effects and a trend, nlme::lme",
                     ours(program, lines, "both"), of_r(lines, code))


def in_order(program, comparison):
    lines = observations(60, 6, (2,), trend=3)
    lines.sort(key=lambda line: -line[2])
    comparison.check("isotonic regression, isoreg", ours(program, lines, "isotonic"),
                     of_r(lines, "r <- isoreg(d$y)$yf; names(r) <- paste0('y', seq_along(r)); "
                                 "say(r)"))


def main():
    program = sys.argv[1]
    comparison = Comparison()
    for part in (least_squares, huber, censored, random_effects, crossed_effects,
                 in_order):
        part(program, comparison)
    for fault in comparison.faults:
        print(fault, file=sys.stderr)
    return 1 if comparison.faults else 0


if __name__ == "__main__":
    sys.exit(main())
