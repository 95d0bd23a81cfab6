#!/usr/bin/python3
"""Every kind of diagnostic has a test that pins it and an entry in its manual page.

Usage: catalogue.py ROOT

Fails when a code of core/diagnostic.cpp has no entry in trayworth-diagnostics(7) or none of the
command-line cases shows it with its full text; when an entry has no code, another severity than the
code, no example, or an example that no case shows; when fewer than 40 distinct faults of an input
have their text and place pinned.
"""

import json
import pathlib
import re
import sys

KIND = re.compile(r'\{"([a-z-]+)", Severity::(error|warning)\}')
ENTRY = re.compile(r"^\.Ss ([a-z-]+)\n\.Em (Error|Warning) \.\n(.*?)(?=^\.S[sh] )", re.M | re.S)
SHOWN = re.compile(r"^(?:.*?: )?(error|warning): (.*) \[([a-z-]+)\]$")
PLACED = re.compile(r"^\S.*?:\d+:\d+: (?:error|warning): ")
LEAST_DISTINCT = 40


def stderr_of(case):
    found = re.search(r"^--- stderr\n(.*?)(?=^--- |\Z)", case, re.M | re.S)
    return found.group(1) if found else ""


def kind_of_fault(code, text):
    """The text without what it quotes and counts, which differ from record to record."""
    return code, re.sub(r'"[^"]*"|-?\d[\d.,]*', "_", text)


def plain(roff):
    """The text of a literal display."""
    return roff.replace("\\(dq", '"').replace("\\e", "\\").replace("\\&", "").replace("\\-", "-")


def main(root):
    root = pathlib.Path(root)
    failures = []
    codes = dict(KIND.findall((root / "src/core/diagnostic.cpp").read_text()))
    page = (root / "man/trayworth-diagnostics.7").read_text()
    cases = {path.stem: path.read_text(errors="replace")
             for path in sorted((root / "tests/cli/cases").glob("*.case"))}
    shown = {}
    faults = set()
    for name, case in cases.items():
        for line in stderr_of(case).splitlines():
            found = SHOWN.match(line)
            if line.startswith('{"code"'):
                told = json.loads(line)
                severity, message, code = (told[k] for k in ("severity", "message", "code"))
                placed = told["line"] is not None
            elif found:
                severity, message, code = found.groups()
                placed = PLACED.match(line)
            else:
                continue
            shown.setdefault(code, set()).add((severity, message))
            if placed:
                faults.add(kind_of_fault(code, message))

    for code in codes:
        if not any(severity == codes[code] for severity, _ in shown.get(code, ())):
            failures.append(f"{code}: no case of tests/cli/cases shows it as {codes[code]}")
    for code in shown.keys() - codes.keys():
        failures.append(f"{code}: a case shows it, and there is no such code")

    entries = {code: (severity.lower(), text) for code, severity, text in ENTRY.findall(page)}
    for code in codes.keys() - entries.keys():
        failures.append(f"{code}: no entry in the manual page")
    for code, (severity, text) in entries.items():
        if code not in codes:
            failures.append(f"{code}: an entry of the manual page, and there is no such code")
            continue
        if severity != codes[code]:
            failures.append(f"{code}: {severity} in the manual page, and {codes[code]} in fact")
        examples = [SHOWN.match(line) for line in plain(text).splitlines()]
        examples = [found for found in examples if found]
        if not examples:
            failures.append(f"{code}: its entry shows no example")
        for found in examples:
            if found.group(3) != code or found.groups()[:2] not in shown.get(code, ()):
                failures.append(f"{code}: no case shows the example: {found.group(2)}")
    if list(entries) != list(codes):
        failures.append("the entries of the manual page stand in another order than the codes")

    if len(faults) < LEAST_DISTINCT:
        failures.append(f"only {len(faults)} distinct faults of an input are pinned")
    if len(codes) < 20 or len(cases) < 60:
        failures.append("hardly any codes or cases were found")
    print("\n".join(failures))
    print(f"{len(codes)} codes, {len(entries)} entries, {len(faults)} distinct faults with their "
          f"place, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
