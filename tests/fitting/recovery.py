#!/usr/bin/python3
"""Fits the demonstration matrix to sales simulated out of another, and asks for that other back.

Usage: recovery.py PROGRAM
"""

import json
import math
import pathlib
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import simulated

DEVIATION = 0.2 # of the numbers of the true matrix from the demonstration's, in logarithms


class Recovery:
    def __init__(self, program, folder):
        self.program = program
        self.folder = pathlib.Path(folder)
        self.faults = []
        demonstration = simulated.without_comments(simulated.DEMONSTRATION.read_text())
        self.true = simulated.moved(demonstration, DEVIATION, 5)
        self.fresh = list(simulated.records(500, 99))

    def expect(self, held, what):
        print(("" if held else "FAULT: ") + what)
        if not held:
            self.faults.append(what)

    def fit(self, sales, *options):
        ledger = self.folder / "sales.ndjson"
        ledger.write_text("".join(json.dumps(sale) + "\n" for sale in sales))
        run = subprocess.run(
            [self.program, "fit", ledger, "--quiet", "--output", self.folder / "fitted.json",
             "--report", self.folder / "report.json", "--format", "json", *options],
            capture_output=True, text=True)
        if run.returncode != 0:
            raise SystemExit(f"{run.returncode}: {run.stderr}")
        return json.loads((self.folder / "report.json").read_text())

    def distance(self, matrix):
        """Root mean square of ln of the ratio of values, of stones that were not sold."""
        ours = simulated.values(self.program, matrix, self.fresh, "trade")
        true = simulated.values(self.program, self.folder / "true.json", self.fresh, "trade")
        return math.sqrt(sum(math.log(a["likely"] / b["likely"]) ** 2
                             for a, b in zip(ours, true)) / len(ours))

    def converges(self):
        last = None
        for count in (100, 400, 1600, 6400):
            sales = simulated.sales(self.program, self.true, count, 7, self.folder)
            report = self.fit(sales)
            before = self.distance(simulated.DEMONSTRATION)
            after = self.distance(self.folder / "fitted.json")
            coverage = report["after"]["coverage"]
            self.expect(after < (last or before),
                        f"{count} sales: values off by {before:.3f} in ln, fitted {after:.3f}")
            self.expect(abs(coverage - 0.8) < 0.35 / math.sqrt(count) ** 0.5,
                        f"{count} sales: {coverage:.3f} of those left out lie inside 0.8")
            last = after
        self.expect(last < 0.06, f"the last is {last:.3f}")
        truth = {pointer: simulated.middle(holder[key])
                 for pointer, holder, key in simulated.numbers(self.true)}
        errors = [(math.log(change["after"]["likely"]) - truth[change["pointer"]]) /
                  change["log_standard_error"]
                  for change in report["fit"]["changed"] if change["n"] > 0]
        square = sum(error * error for error in errors) / len(errors)
        self.expect(0.5 < square < 1.5, f"{len(errors)} numbers are off by {math.sqrt(square):.2f} "
                                        "of their standard errors (root mean square)")

    def odd_and_unsold(self):
        sales = simulated.sales(self.program, self.true, 2000, 8, self.folder,
                                levels=("trade", "retail"), unsold=0.2, odd=0.03)
        report = self.fit(sales)
        distance = self.distance(self.folder / "fitted.json")
        self.expect(report["unsold"] > 100 and distance < 0.12,
                    f"{report['unsold']} unsold and 3 % odd ones: off by {distance:.3f}")
        for sale in sales: # to take what was asked for a price paid would be a mistake
            if "unsold_at" in sale["sale"]:
                sale["sale"]["price"] = sale["sale"].pop("unsold_at")
        mistaken = self.fit(sales)
        self.expect(mistaken["bias_log"] > report["bias_log"] + 0.02,
                    "asking prices for paid ones would raise the table")

    def trend(self):
        sales = simulated.sales(self.program, self.true, 2000, 9, self.folder, trend=0.1)
        found = self.fit(sales, "--trend")["fit"]["trend"]
        error = found["log_per_year"] - 0.1
        self.expect(abs(error) < 3 * found["standard_error"] < 0.06,
                    f"a trend of 0.1 a year is found as {found['log_per_year']:.3f} "
                    f"+- {found['standard_error']:.3f}")

    def same_bytes(self):
        outputs = set()
        sales = simulated.sales(self.program, self.true, 300, 10, self.folder)
        for jobs in ("1", "2", "7"):
            self.fit(sales, "--jobs", jobs)
            outputs.add((self.folder / "fitted.json").read_bytes() +
                        (self.folder / "report.json").read_bytes())
        self.expect(len(outputs) == 1, "one, two and seven threads write the same bytes")

    def checked(self):
        run = subprocess.run([self.program, "check", self.folder / "fitted.json"],
                             capture_output=True, text=True)
        orders = [line for line in run.stderr.splitlines() if "-order]" in line]
        self.expect(run.returncode == 0 and not orders,
                    f"the fitted matrix is sound and in order: {run.stdout.strip()} {orders}")


def main():
    with tempfile.TemporaryDirectory() as folder:
        recovery = Recovery(sys.argv[1], folder)
        for part in (recovery.converges, recovery.checked, recovery.odd_and_unsold, recovery.trend,
                     recovery.same_bytes):
            part()
    for fault in recovery.faults:
        print(fault, file=sys.stderr)
    return 1 if recovery.faults else 0


if __name__ == "__main__":
    sys.exit(main())
