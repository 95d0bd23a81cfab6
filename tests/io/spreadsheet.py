#!/usr/bin/python3
"""Has LibreOffice open and save every table of an exported matrix, and reads them back.

Usage: spreadsheet.py ROOT TRAYWORTH

A spreadsheet drops the zeros at the end of 1.50, so numbers are compared as numbers, and everything
else as it is written. Exits with 77 where there is no soffice, with 1 on a fault.
"""

import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

# Comma, double quote, UTF-8, from row 1; on the way out cells as they are shown.
FILTER = "Text - txt - csv (StarCalc)"

# Texts that a spreadsheet may take for something else.
NAMES = ["=1+1", "-x", "+x", "@x", "'quoted", "1/2", "007", "1.50", "2026-11-01", "TRUE", "a,b",
         'a"b', "two\nlines", " blank", "//no", "\u00e9\u20ac", "1e5", "name", "a;b", "a;=1", "a;'=1"]


def run(*arguments):
    done = subprocess.run(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=300)
    if done.returncode != 0:
        sys.exit(f"{arguments}: exit {done.returncode}\n{done.stderr.decode()}")
    return done.stdout.decode()


def resave(files, folder, scratch):
    folder.mkdir()
    run("soffice", f"-env:UserInstallation=file://{scratch}/profile", "--headless",
        f"--infilter={FILTER}:44,34,76,1", "--convert-to", f"csv:{FILTER}:44,34,76,1,,0,false,true",
        "--outdir", str(folder), *map(str, files))
    missing = [f.name for f in files if not (folder / f.name).is_file()]
    if missing:
        sys.exit(f"soffice did not save {missing}")


TOKEN = re.compile(r'("(?:\\.|[^"\\])*")|(//[^\n]*)|(-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)|\s+')


def tokens(text):
    """The text without blanks that lay it out, and its numbers as numbers."""
    return TOKEN.sub(lambda m: m[1] or m[2] or (repr(float(m[3])) if m[3] else ""), text)


def comments(text):
    return [m[2] for m in TOKEN.finditer(text) if m[2]]


def without_comments(text):
    return json.loads(re.sub(r'("(?:\\.|[^"\\])*")|//[^\n]*', lambda m: m[1] or "", text))


def hostile(text):
    """The matrix with names and comments that a spreadsheet may take for something else."""
    entries = "".join(f"        {json.dumps(name)}: 1.50, // {name.splitlines()[0]}\n"
                      for name in NAMES)
    changed = text.replace('        "harlequin":', entries + '        "harlequin":')
    if changed == text:
        sys.exit("the matrix has no harlequin to put names beside")
    return changed


def trip(program, text, scratch, name):
    place = scratch / name
    place.mkdir()
    (place / "in.json").write_text(text)
    run(program, "matrix", "export", str(place / "out"), "--matrix", str(place / "in.json"))
    resave(sorted((place / "out").glob("*.csv")), place / "saved", scratch)
    shutil.copy(place / "out" / "matrix.json", place / "saved")
    return run(program, "matrix", "import", str(place / "saved"))


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    if shutil.which("soffice") is None:
        print("left out: there is no soffice here (Debian: libreoffice-calc)")
        sys.exit(77)
    root, program = sys.argv[1:]
    shipped = pathlib.Path(root, "data", "demonstration-matrix.json").read_text()
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        scratch = pathlib.Path(folder)
        once = trip(program, shipped, scratch, "shipped")
        if without_comments(once) != without_comments(shipped):
            faults.append("the matrix that ships: a number or text changed")
        if tokens(once) != tokens(shipped):
            faults.append("the matrix that ships: more than spelling changed")
        if trip(program, once, scratch, "again") != once:
            faults.append("the matrix that ships: not the same bytes the second time")
        marked = hostile(shipped)
        back = trip(program, marked, scratch, "hostile")
        if without_comments(back) != without_comments(marked):
            faults.append("hostile names: " + repr(
                [n for n in NAMES if n not in without_comments(back)["factors"][1]["values"]]))
        if comments(back) != comments(marked):
            faults.append(f"hostile comments: {set(comments(back)) ^ set(comments(marked))}")
    for fault in faults:
        print(fault)
    print(f"3 trips, {len(faults)} faults")
    sys.exit(1 if faults else 0)


main()
