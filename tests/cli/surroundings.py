#!/usr/bin/python3
"""The same bytes wherever it runs: locales, terminals, full disks, and its own output read back.

Usage: surroundings.py ROOT BINARY
"""

import fcntl
import json
import os
import pathlib
import pty
import re
import struct
import subprocess
import sys
import tempfile
import termios

ESCAPE = "\x1b["


class Tests:
    def __init__(self, root, binary):
        self.root = pathlib.Path(root).resolve()
        self.binary = str(pathlib.Path(binary).resolve())
        self.stone = str(self.root / "examples/first-stone.json")
        self.tray = str(self.root / "examples/tray.json")
        self.failures = []
        self.checks = 0

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def run(self, *arguments, text="", environment=None, **streams):
        clean = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG"))
                 and k not in ("NO_COLOR", "COLUMNS")}
        streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **streams}
        return subprocess.run([self.binary, *arguments], input=text.encode(), timeout=120,
                              env={**clean, **(environment or {})}, **streams)

    def on_terminal(self, *arguments, columns=80, environment=None, stdin_too=False):
        """Standard output, errors included, on a terminal that is so wide."""
        master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
        attributes = termios.tcgetattr(slave)
        attributes[1] &= ~termios.OPOST  # line feeds as they are written
        termios.tcsetattr(slave, termios.TCSANOW, attributes)
        clean = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS")}
        process = subprocess.Popen([self.binary, *arguments], stdout=slave, stderr=slave,
                                   stdin=slave if stdin_too else subprocess.DEVNULL,
                                   env={**clean, **(environment or {})})
        os.close(slave)
        written = b""
        while True:
            try:
                part = os.read(master, 65536)
            except OSError:  # the other end is closed
                break
            if not part:
                break
            written += part
        os.close(master)
        return written.decode(), process.wait(timeout=120)

    # ---- the tests

    def locales(self):
        known = subprocess.run(["locale", "-a"], capture_output=True, text=True).stdout.split()
        commas = [name for name in known if re.match(r"(de|fr|nl|pl|ru)_", name)]
        if not commas:
            print("no locale with a decimal comma is installed; the others are tried")
        for arguments in (["value", self.stone], ["value", "--format", "json", self.tray],
                          ["weigh", self.stone], ["value", "no-such-file"],
                          ["weigh", "--outline", "oval", "--size", "12.1x9.9x4.4", "--density",
                           "2.06-2.14"]):
            plain = self.run(*arguments)
            for name in ["C", "C.UTF-8", "POSIX"] + commas[:2]:
                there = self.run(*arguments, environment={"LC_ALL": name, "LANG": name})
                self.expect((there.stdout, there.stderr, there.returncode)
                            == (plain.stdout, plain.stderr, plain.returncode),
                            f"{arguments} differs in locale {name}")

    def terminals(self):
        plain = self.run("value", self.stone).stdout.decode()
        self.expect(ESCAPE not in plain, "colours go into a pipe")
        self.expect(max(map(len, plain.splitlines())) <= 80, "a line is longer than a page")
        coloured, _ = self.on_terminal("value", self.stone)
        self.expect(ESCAPE in coloured, "no colours on a terminal")
        self.expect(re.sub("\x1b\\[[0-9;]*m", "", coloured) == plain,
                    "without its colours a terminal's text is not the pipe's")
        bare, _ = self.on_terminal("value", self.stone, environment={"NO_COLOR": "1"})
        self.expect(bare == plain, "NO_COLOR is not heeded")
        empty, _ = self.on_terminal("value", self.stone, environment={"NO_COLOR": ""})
        self.expect(empty == coloured, "an empty NO_COLOR is heeded")
        narrow, _ = self.on_terminal("value", self.stone, columns=40,
                                     environment={"NO_COLOR": "1"})
        self.expect(narrow == plain, "a narrow terminal has other than a page's lines")
        wide, _ = self.on_terminal("value", self.tray, columns=140, environment={"NO_COLOR": "1"})
        widest = max(map(len, wide.splitlines()))
        self.expect(80 < widest <= 140, f"140 columns are used to {widest}")
        def figures(text):
            lines = [line for line in text.splitlines() if line.startswith("  T-")]
            return [re.findall(r"\d[\d,.]*", line) for line in lines]

        page = self.run("value", self.tray).stdout.decode()
        self.expect(len(figures(page)) > 5 and figures(wide) == figures(page),
                    "the figures depend on the terminal's width")
        refused, status = self.on_terminal("value", "--level", "none", self.stone)
        self.expect(status == 2 and "market level" in refused, "no refusal on a terminal")
        for form in ("json", "ndjson"):
            there, _ = self.on_terminal("value", "--format", form, self.stone)
            self.expect(there.encode() == self.run("value", "--format", form, self.stone).stdout,
                        f"{form} depends on the terminal")
        nothing, status = self.on_terminal("value", stdin_too=True)
        self.expect(status == 2 and "there is nothing to read" in nothing,
                    f"it waits at a terminal: {nothing!r}")

    def source_lines(self):
        """A diagnostic shows its line on a terminal, cut to the page, and nowhere else."""
        record = '{"id": "\u30aa\u30d1\u30fc\u30eb\\u0007",\t"typ\u202ee": "solid", "notes": "%s"}' % ("x" * 200)
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "stone.json"
            file.write_text(record)
            plain = self.run("value", str(file)).stderr.decode()
            shown, status = self.on_terminal("value", str(file), environment={"NO_COLOR": "1"})
            coloured, _ = self.on_terminal("value", str(file))
            data, _ = self.on_terminal("value", "--errors-as", "json", str(file))
        self.expect(status == 1 and "|" not in plain, "a pipe is shown the source line")
        lines = shown.replace("\r\n", "\n").split("\n")
        head, place = plain.split("\n")[:2]
        expected = [head, place,
                    "  1 | {\"id\": \"\u30aa\u30d1\u30fc\u30eb\\u0007\", \"typ\ufffde\": \"solid\", \"notes\": "
                    "\"" + "x" * 20 + "\u2026",
                    "    | " + " " * 25 + "^"]
        self.expect(lines[:4] == expected, f"on a terminal: {lines[:4]}\nand not {expected}")
        self.expect("\x1b[31m^" in coloured, "the caret has no colour on a terminal")
        self.expect(json.loads(data.splitlines()[0])["column"] == 22
                    and head.startswith(f"{file}:1:22: "), f"the column: {head}")

    def full_disk(self):
        if not os.path.exists("/dev/full"):
            print("no /dev/full on this system")
            return
        why = ("trayworth: error: cannot write standard output: No space left on device "
               "[file-access]\n  Look at the name, the permissions and the room on the disk.\n")
        for arguments in (["value", self.stone], ["value", "--format", "json", self.tray],
                          ["check", self.tray], ["matrix", "show"], ["schema", "record"],
                          ["--help"], ["--version"], ["value", "--help"]):
            with open("/dev/full", "wb") as full:
                done = self.run(*arguments, stdout=full)
            self.expect((done.returncode, done.stderr.decode()) == (2, why),
                        f"{arguments} on a full disk: {done.returncode}, {done.stderr.decode()!r}")
        with open("/dev/full", "wb") as full:
            done = self.run("value", "no-such-file", stderr=full)
        self.expect(done.returncode == 2 and not done.stdout, "standard error on a full disk")

    def arguments(self):
        done = self.run("value", "\x1b[31mred\u202e.json")
        self.expect(done.returncode == 2 and b"\x1b" not in done.stderr
                    and b"\xe2\x80\xae" not in done.stderr,
                    "a control character of an argument reaches the terminal")
        done = self.run("\x1b[2J")
        self.expect(done.returncode == 2 and b"\x1b" not in done.stderr,
                    "a control character of a command reaches the terminal")
        done = subprocess.run([self.binary, "value"], input="{}".encode("utf-16"),
                              capture_output=True, timeout=120)
        self.expect(done.returncode == 2 and b"UTF-16" in done.stderr, "UTF-16 is not named")

    def read_back(self):
        """What it prints serves as what it reads."""
        shown = self.run("matrix", "show", "--format", "json").stdout.decode()
        for arguments in (["--format", "json", self.tray], [self.stone]):
            built_in = self.run("value", *arguments)
            piped = self.run("value", "--matrix", "-", *arguments, text=shown)
            self.expect(built_in.stdout == piped.stdout and piped.returncode == 0,
                        "matrix show, given back, values otherwise")
        records = json.loads(pathlib.Path(self.tray).read_text())["stones"]
        tray = {"tray": json.loads(pathlib.Path(self.tray).read_text())["tray"]}
        with tempfile.TemporaryDirectory() as folder:
            last = pathlib.Path(folder) / "last.json"
            last.write_text(json.dumps({"stones": records, **tray}))
            a = self.run("value", "--format", "ndjson", self.tray).stdout.decode()
            b = self.run("value", "--format", "ndjson", str(last)).stdout.decode()
        positions = re.compile(r'"file":"[^"]*","line":\d+,"column":\d+')
        self.expect(positions.sub("", a) == positions.sub("", b),
                    "defaults after the stones value otherwise")

    def shapes(self):
        """One stone has one value, whatever it stands in."""
        record = json.loads(pathlib.Path(self.stone).read_text())
        line = json.dumps(record)
        alone = json.loads(self.run("value", "--format", "json", text=line).stdout)
        for name, text in (("pretty", json.dumps(record, indent=3)), ("array", f"[{line}]"),
                           ("tray", json.dumps({"tray": {}, "stones": [record]})),
                           ("lines", f"{line}\r\n\r\n{line}\r\n"),
                           ("all in the tray", json.dumps({"tray": record, "stones": [
                               {"id": record["id"], "x-about": record["x-about"]}]}))):
            for form in ("json", "ndjson"):
                done = self.run("value", "--format", form, text=text)
                answers = json.loads(done.stdout) if form == "json" and name != "lines" else \
                    [json.loads(each) for each in done.stdout.splitlines()]
                for answer in answers if isinstance(answers, list) else [answers]:
                    self.expect(answer == alone, f"{name} as {form} differs")
                self.expect(done.returncode == 0, f"{name} as {form}: {done.returncode}")


def main(root, binary):
    tests = Tests(root, binary)
    for test in (tests.locales, tests.terminals, tests.source_lines, tests.full_disk, tests.arguments,
                 tests.read_back, tests.shapes):
        test()
    print("\n".join(tests.failures))
    print(f"{tests.checks} checks, {len(tests.failures)} failed")
    return 1 if tests.failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
