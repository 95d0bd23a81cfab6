#!/usr/bin/python3
"""A value in another currency is the matrix's, times the rate that was stated, and says so.

Usage: currency.py ROOT BINARY

Minor units are checked against ISO 4217 (from memory): JPY has none, USD two decimals, KWD three.
"""

import json
import math
import pathlib
import re
import subprocess
import sys

DECIMALS = {"JPY": 0, "USD": 2, "KWD": 3}
RATES = {"JPY": "97.25", "USD": "0.65", "KWD": "0.2001234"}
DATE = "2026-11-01"


def run(binary, *arguments):
    return subprocess.run([binary, "value", "--quiet", *arguments], timeout=300,
                          capture_output=True, text=True, encoding="utf-8")


def main(root, binary):
    failures = []
    tray = str(pathlib.Path(root) / "examples/tray.json")
    plain = json.loads(run(binary, "--format", "json", tray).stdout)
    for code, decimals in DECIMALS.items():
        rate = float(RATES[code])
        options = ["--in", code, "--rate", RATES[code], "--rate-date", DATE]
        printed = run(binary, "--format", "json", *options, tray).stdout
        written = re.findall(r'"outer_high": \d+(?:\.(\d+))?,', printed)
        if not written or any(len(minor) != decimals for minor in written):
            failures.append(f"{code}: {written} for {decimals} decimals")
        answers = json.loads(printed)
        half = 0.5 * 10 ** -decimals * 1.0001
        for own, answer in zip(plain, answers):
            if "error" in own:
                continue
            value = answer["value"]
            if value["currency"] != code or value["converted"] != {
                    "from": "AUD", "rate": rate, "date": DATE}:
                failures.append(f"{answer['id']}: {value}")
            last = answer["reasons"][-1]
            if answer["reasons"][:-1] != own["reasons"] or last["step"] != "currency" or \
                    (last["low"], last["likely"], last["high"]) != (rate,) * 3 or \
                    DATE not in last["read"] or last["running"] != value["likely"]:
                failures.append(f"{answer['id']}: the last reason is {last}")
            exact = math.prod([answer["weight_ct"]["value"]] +
                              [reason["likely"] for reason in answer["reasons"]])
            if abs(value["likely"] - exact) > half:
                failures.append(f"{answer['id']}: {value['likely']}, by the reasons {exact}")
            for what in ("low", "high", "outer_low", "outer_high"):
                if abs(value[what] - own["value"][what] * rate) > half + 0.005 * rate:
                    failures.append(f"{answer['id']}: {what} is {value[what]}")
            for what in ("likely", "low", "high"):
                rounded = value["rounded"][what]
                if abs(rounded / value[what] - 1) > 0.06:
                    failures.append(f"{answer['id']}: {what} {value[what]} is rounded to {rounded}")
        total = json.loads(run(binary, "--format", "json", "--total", *options, tray).stdout)
        own = json.loads(run(binary, "--format", "json", "--total", tray).stdout)
        if total["total"]["currency"] != code or \
                abs(total["total"]["likely"] / own["total"]["likely"] / rate - 1) > 1e-4 or \
                total["total"]["converted"]["rate"] != rate or \
                total["total"]["log_standard_uncertainty"] != \
                own["total"]["log_standard_uncertainty"]:
            failures.append(f"total: {total['total']}")
        csv = run(binary, "--format", "csv", *options, tray).stdout.splitlines()
        if not csv[1].endswith(f",AUD,{RATES[code]},{DATE}") or f",{code}," not in csv[1]:
            failures.append(f"CSV: {csv[1]}")
        text = run(binary, *options, tray).stdout
        if f"Converted from AUD at the rate of {DATE}" not in " ".join(text.split()):
            failures.append("the tray's text does not say that it was converted")

    given = {"--in": "USD", "--rate": "0.65", "--rate-date": DATE}
    for wrong, why in (({"--rate": None}, "go together"), ({"--in": None}, "go together"),
                       ({"--rate-date": None}, "go together"), ({"--in": "AUD"}, "already"),
                       ({"--in": "usd"}, "ISO 4217"), ({"--in": "XYZ"}, "ISO 4217"),
                       ({"--rate": "0"}, "from 1e-9 to 1e9"), ({"--rate": "-1"}, "from 1e-9 to 1e9"),
                       ({"--rate": "0,65"}, "from 1e-9 to 1e9"), ({"--rate": "nan"}, "from 1e-9 to 1e9"),
                       ({"--rate": "inf"}, "from 1e-9 to 1e9"), ({"--rate": "0x1"}, "from 1e-9 to 1e9"),
                       ({"--rate": "0.12345678"}, "seven significant"),
                       ({"--rate-date": "2026-02-30"}, "not a date"),
                       ({"--rate-date": "1.11.2026"}, "not a date")):
        options = [word for name, value in {**given, **wrong}.items() if value
                   for word in (f"{name}={value}",)]
        done = run(binary, *options, tray)
        if done.returncode != 2 or why not in done.stderr or done.stdout:
            failures.append(f"{wrong}: {done.returncode} {done.stderr}")
    print("\n".join(failures[:40]))
    print(f"{len(plain)} stones in {len(DECIMALS)} currencies: {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
