#!/usr/bin/python3
"""Reads rows of CSV back with another reader, Python's csv module, and compares.

Usage: csv_round_trip.py WRITER

WRITER (csv_rows.cpp) turns texts into rows. Prints each fault and exits with 1 when there is one.
"""

import csv
import io
import random
import re
import subprocess
import sys

ALPHABET = ["a", "B", "7", " ", ",", '"', "'", ";", "=", "+", "-", "@", "\t", "\r", "\n", "|", "\\",
            "é", "€", "\N{FULLWIDTH EQUALS SIGN}", "\xa0", "\x1b", "\x7f", "\u200b", "\u202e",
            "\U0001f48e"]
ACT = {"\t", "\r", "\n", "\x1b", "\x7f", "\u200b", "\u202e"}
OPENINGS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def expected(text):
    """An apostrophe before each part that begins with a formula, parts being set off by semicolons."""
    clean = "".join("\ufffd" if c in ACT else c for c in text)
    return ";".join("'" + part if re.match(r'[\xa0 "]*[' + re.escape("".join(OPENINGS)) + "]", part)
                    else part for part in clean.split(";"))


def runs_anything(written, separator):
    """Whether a field is a formula to a spreadsheet that parts them so."""
    fields = [field for row in csv.reader(io.StringIO(written, newline=""), delimiter=separator)
              for field in row]
    if separator == ";":  # one that knows no quotation marks
        fields += [field for line in written.split("\r\n") for field in line.split(separator)]
    return any(field.strip(' "\xa0').startswith(OPENINGS) for field in fields)


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    draw = random.Random(4180)
    texts = [a + b for a in ALPHABET for b in ALPHABET]
    texts += ["".join(draw.choices(ALPHABET, k=draw.randint(0, 12))) for _ in range(2000)]
    written = subprocess.run([sys.argv[1]], check=True, stdout=subprocess.PIPE,
                             input=b"".join(t.encode() + b"\0" for t in texts)).stdout.decode()
    faults = []
    lines = written.split("\r\n")
    if len(lines) != 2 * len(texts) + 2 or lines[-1] or "\n" in "".join(lines):
        faults.append("a row is not one line that ends with CR LF")
    rows = list(csv.DictReader(io.StringIO(written, newline=""), strict=True))
    if len(rows) != 2 * len(texts):
        faults.append(f"{len(rows)} rows of {len(texts)} texts")
    for text, valued, refused in zip(texts, rows[::2], rows[1::2]):
        for what, field in (("id", valued["id"]), ("name", valued["name"]),
                            ("id", refused["id"]), ("message", refused["message"])):
            if field != expected(text):
                faults.append(f"{what} {text!r}: came back as {field!r}")
        if (valued["likely"], valued["error"]) != ("1234.57", ""):
            faults.append(f"{text!r}: the columns are out of place: {valued}")
        if (refused["likely"], refused["error"], refused["column"]) != ("", "not-priced", ""):
            faults.append(f"{text!r}: the columns are out of place: {refused}")
    for separator in ",;":
        if runs_anything(written, separator):
            faults.append(f"fields set off by {separator!r}: a formula")
    for fault in faults[:20]:
        print(fault)
    print(f"{len(texts)} texts, {len(faults)} faults")
    sys.exit(1 if faults or not rows else 0)


main()
