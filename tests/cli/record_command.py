#!/usr/bin/python3
"""A grader at a terminal: `record new` asks, and writes a record that is accepted and valued, or nothing;
`record edit` changes a file or leaves it.

Usage: record_command.py ROOT BINARY
"""

import fcntl
import json
import os
import pathlib
import pty
import select
import signal
import subprocess
import sys
import tempfile
import termios
import time

PROMPT = b"> "
PATIENCE = 60  # seconds
# Every question with an answer, in their order; a list ends with an empty line.
ANSWERS = [
    ("Name or number", ["T-01"]), ("Type", ["solid"]), ("Treatments", ["none"]), ("Hydrophane", ["no"]),
    ("Light", ["daylight lamp 5500 K, 30 cm"]), ("Body tone", ["N3 to N4"]), ("Hue of the body", [""]),
    ("Transparency", ["translucent"]), ("Play-of-colour", ["yes"]), ("Brightness", ["2 to 2.5"]),
    ("Steps of that scale", ["5"]), ("Its brightest grade", ["5"]),
    ("Colours", ["blue 0.6", "green 0.4", ""]), ("Pattern", ["rolling flash"]), ("Coverage", ["0.9"]),
    ("Directionality", ["slight"]), ("Faults", ["potch line, face, minor", ""]), ("Outline", ["oval"]),
    ("Dome", ["medium"]), ("Back of the stone", ["flat"]), ("Polish", ["good"]), ("Length", ["10.24"]),
    ("Width", ["8.12"]), ("Depth", ["3.68"]), ("Uncertainty of each", ["0.02"]), ("In a setting", ["no"]),
    ("Weight by the scale", ["1.86"]), ("Uncertainty of the weight", ["0.005"]), ("Notes", [""]),
    ("What was given", [""]),
]
RECORD = {
    "id": "T-01", "type": "solid", "treatments": [], "body_tone": ["N3", "N4"],
    "transparency": "translucent", "hydrophane": False,
    "brightness": {"grade": [2, 2.5], "steps": 5, "brightest": 5},
    "play_of_colour": {"colours": [{"colour": "blue", "share": 0.6}, {"colour": "green", "share": 0.4}],
                       "pattern": "rolling flash", "coverage": 0.9, "directionality": "slight"},
    "faults": [{"kind": "potch line", "place": "face", "severity": "minor"}],
    "cut": {"outline": "oval", "dome": "medium", "back": "flat", "polish": "good"},
    "dimensions_mm": {"length": 10.24, "width": 8.12, "depth": 3.68, "uncertainty": 0.02},
    "weight_ct": {"value": 1.86, "uncertainty": 0.005}, "mounted": False,
    "x-light": "daylight lamp 5500 K, 30 cm",
}


class Terminal:
    """The program with its input and its errors on a terminal, its output in a pipe."""

    def __init__(self, binary, *arguments):
        self.master, slave = pty.openpty()
        attributes = termios.tcgetattr(slave)
        attributes[3] &= ~termios.ECHO
        termios.tcsetattr(slave, termios.TCSANOW, attributes)
        # A session of its own, with this terminal, so that Ctrl-C reaches it.
        self.process = subprocess.Popen(
            [binary, "record", "new", *arguments], stdin=slave, stderr=slave, stdout=subprocess.PIPE,
            start_new_session=True, env={**os.environ, "NO_COLOR": "1"},
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0))
        os.close(slave)

    def read_to_prompt(self):
        text, until = b"", time.monotonic() + PATIENCE
        while not text.endswith(PROMPT):
            ready, _, _ = select.select([self.master], [], [], max(0, until - time.monotonic()))
            if not ready:
                raise TimeoutError(text.decode(errors="replace"))
            try:
                part = os.read(self.master, 65536)
            except OSError:  # the other end is closed
                part = b""
            if not part:
                break
            text += part
        return text.decode()

    def type(self, text):
        os.write(self.master, text.encode())

    def end(self):
        """Standard output and exit status."""
        said = b""
        while True:
            try:
                part = os.read(self.master, 65536)
            except OSError:
                break
            if not part:
                break
            said += part
        os.close(self.master)
        out, _ = self.process.communicate(timeout=PATIENCE)
        return out.decode(), said.decode(), self.process.returncode


class Tests:
    def __init__(self, binary, folder):
        self.binary, self.folder = binary, folder
        self.checks, self.failures = 0, []

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def answer(self, terminal, answers):
        for label, lines in answers:
            for at, line in enumerate(lines):
                asked = terminal.read_to_prompt()
                self.expect(label in asked or at > 0, f"\"{label}\" is not asked, but: {asked}")
                widest = max(map(len, asked.splitlines()))
                self.expect(widest <= 80, f"\"{label}\" is {widest} columns wide")
                terminal.type(line + "\n")

    def whole_sheet(self):
        for arguments, file in (([], None), (["--output", "new.json"], self.folder / "new.json")):
            terminal = Terminal(self.binary, *arguments)
            self.answer(terminal, ANSWERS)
            out, _, status = terminal.end()
            if file:
                self.expect(out == "", "a record goes to standard output and not to its file alone")
                out = file.read_text()
            self.expect(status == 0 and json.loads(out) == RECORD, f"{arguments}: {status}, {out}")
            for command in ("check", "value", "describe"):
                done = subprocess.run([self.binary, command, "--strict"], input=out, text=True,
                                      capture_output=True, timeout=PATIENCE)
                self.expect(done.returncode == 0, f"{command}: {done.stderr}")

    def nothing_written(self):
        old = self.folder / "old.json"
        for what, key in (("Ctrl-D", "\x04"), ("Ctrl-C", "\x03"), ("hang-up", None)):
            old.write_text("old\n")
            terminal = Terminal(self.binary, "--output", str(old))
            self.answer(terminal, ANSWERS[:8])
            terminal.read_to_prompt()
            if key:
                terminal.type(key)
            else:
                terminal.process.send_signal(signal.SIGHUP)
            out, said, status = terminal.end()
            self.expect(status == (2 if what == "Ctrl-D" else -signal.SIGINT if key else -signal.SIGHUP),
                        f"{what}: exit status {status}")
            self.expect(out == "" and old.read_text() == "old\n", f"{what}: something is written")
            self.expect(what != "Ctrl-D" or "nothing was written" in said, f"{what}: {said}")
            self.expect(not list(self.folder.glob(".trayworth-*")), f"{what}: a file is left")

    def some_given(self):
        given = [f"--set=/{key}={json.dumps(value)}" for key, value in RECORD.items() if key != "id"]
        terminal = Terminal(self.binary, *given)
        asked = [("Name or number", ["T-01"]), ("Hue of the body", [""]), ("Notes", [""]),
                 ("What was given", [""])]
        self.answer(terminal, asked)
        out, _, status = terminal.end()
        self.expect(status == 0 and json.loads(out) == RECORD, f"given by options: {status}, {out}")
        terminal = Terminal(self.binary, "--ask-nothing", *given)
        out, said, status = terminal.end()
        self.expect(status == 0 and json.loads(out) == {k: v for k, v in RECORD.items() if k != "id"}
                    and said == "", f"--ask-nothing: {status}, {said}")
        terminal = Terminal(self.binary, "--set=/body_tone=N12")
        out, said, status = terminal.end()
        self.expect(status == 2 and "N12" in said and not out, f"a wrong --set: {status}, {said}")


    def edited_in_place(self):
        file = self.folder / "stone.json"
        before = '{"id": "A", "weight_ct": 12.10, "x-shop": {"b": 1.50}}\n'

        def edit(*arguments):
            file.write_text(before)
            done = subprocess.run([self.binary, "record", "edit", *arguments], capture_output=True,
                                  text=True, timeout=PATIENCE)
            return done.returncode, done.stdout, file.read_text()

        self.expect(edit("stone.json", "--set", "/type=solid") ==
                    (0, "", before.replace('"A",', '"A", "type": "solid",')), "a file is not edited")
        self.expect(edit("stone.json", "--set", "/type=soled") == (2, "", before),
                    "a file is edited to what is refused")
        self.expect(edit("stone.json", "--set", "/id=B", "--output", "-") ==
                    (0, before.replace('"A"', '"B"'), before), "--output - edits the file")
        self.expect(edit("stone.json", "--set", "/id=B", "--output", "other.json") == (0, "", before)
                    and (self.folder / "other.json").read_text() == before.replace('"A"', '"B"'),
                    "--output does not write to the other file alone")
        self.expect(edit("stone.json", "--set", "/id=B", "--output", "stone.json") == (2, "", before),
                    "--output may name what is read")
        self.expect(not list(self.folder.glob(".trayworth-*")), "a file is left")


def main(_, binary):
    binary = str(pathlib.Path(binary).resolve())
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        tests = Tests(binary, pathlib.Path(folder))
        tests.whole_sheet()
        tests.nothing_written()
        tests.some_given()
        tests.edited_in_place()
    print("\n".join(tests.failures))
    print(f"{tests.checks} checks, {len(tests.failures)} failures")
    return 1 if tests.failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
