#!/usr/bin/python3
"""Files are written whole or not at all: whatever goes wrong, what was there is there still.

Usage: whole_files.py ROOT BINARY
"""

import contextlib
import ctypes
import json
import os
import pathlib
import random
import resource
import shutil
import signal
import socket
import stat
import struct
import subprocess
import sys
import tempfile
import time

OLD = b"what was there\n" * 1000
NOBODY = 65534


class Tests:
    def __init__(self, root, binary, folder):
        self.root, self.binary, self.folder = root, binary, folder
        self.stone = str(root / "examples/first-stone.json")
        self.tray = str(root / "examples/tray.json")
        self.checks, self.failures = 0, []
        record = json.loads((root / "examples/first-stone.json").read_text())
        self.line = json.dumps(record).encode() + b"\n"
        self.long = folder / "long.ndjson"
        self.long.write_bytes(self.line * 2000)

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def run(self, *arguments, **options):
        options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE,
                   "stdin": subprocess.DEVNULL, "cwd": self.folder, **options}
        if "input" in options:
            del options["stdin"]
        return subprocess.run([self.binary, *map(str, arguments)], timeout=120, **options)

    def left(self):
        """Temporary files that were left behind; they are removed."""
        found = list(self.folder.rglob(".trayworth-*"))
        for path in found:
            path.unlink()
        return found

    def old(self, name="old"):
        path = self.folder / name
        path.write_bytes(OLD)
        return path

    def untouched(self, path, what):
        self.expect(path.read_bytes() == OLD, f"{what}: the old file is not what it was")
        self.expect(not self.left(), f"{what}: a temporary file was left behind")

    def refused(self, what, *arguments, says="", old=None, **options):
        done = self.run(*arguments, **options)
        self.expect(done.returncode == 2 and not done.stdout and says in done.stderr.decode(),
                    f"{what}: {done.returncode}, {done.stderr!r}")
        if old is not None:
            self.untouched(old, what)
        self.expect(not self.left(), f"{what}: a temporary file was left behind")

    # ---- what is written

    def everything(self):
        """Each command that writes, in each of its forms; on standard input there is a stone."""
        examples = self.root / "examples"
        own, bench = examples / "own-matrix.json", examples / "bench"
        tables = self.folder / "tables"
        self.run("matrix", "export", tables, "--replace")
        sell, few = ["offer", "--invented-prices"], ["recut", "--simulate", "100"]
        planned = [*few, "--plan", bench / "plan.json", bench / "first-face.json"]
        compared = ["compare", "demonstration", examples / "house-matrix.json"]
        yield from (["value", self.stone], ["value", self.tray], ["value", "--total", self.tray],
                    ["value", "--format", "ndjson", examples / "stock.ndjson"], ["weigh", self.tray],
                    ["weigh", "--outline", "oval", "--size", "5x4x3", "--density", "2.1"],
                    ["check", self.tray], ["check", own], ["describe", self.stone],
                    ["describe", "--template", examples / "listing.txt", self.stone],
                    [*few, self.stone], ["matrix", "list"], ["matrix", "import", tables],
                    ["schema", "record"], ["completion", "bash"],
                    ["record", "new", "--ask-nothing", "--set=/type=solid", "--set=/body_tone=N3",
                     "--set=/transparency=opaque", "--set=/play_of_colour=null", "--set=/weight_ct=1"],
                    ["record", "edit", "-", "--set=/notes=other"],
                    ["value", "--sensitivity", "--format", "svg", self.stone])
        for command, forms in ((["value", self.tray], ("json", "csv", "html")),
                               (["describe", self.tray], ("text", "json", "ndjson")),
                               ([*sell, self.tray], ("text", "json", "csv")),
                               (planned, ("text", "json", "svg")),
                               ([*compared, self.tray], ("text", "json", "csv", "html")),
                               (["matrix", "show"], ("text", "json", "csv", "html"))):
            for form in forms:
                yield [*command, "--format", form]

    def same_bytes(self):
        for arguments in self.everything():
            plain = self.run(*arguments, input=self.line)
            self.expect(plain.stdout and plain.returncode == 0, f"{arguments}: {plain.stderr}")
            path = self.folder / "new"
            for _ in range(2):  # made, then replaced
                done = self.run(*arguments, "--output", path, input=self.line)
                self.expect((path.read_bytes(), done.stdout, done.stderr, done.returncode)
                            == (plain.stdout, b"", plain.stderr, plain.returncode),
                            f"{arguments}: --output writes otherwise")
            self.run(*arguments, "--output", "relative", cwd=self.folder, input=self.line)
            self.expect((self.folder / "relative").read_bytes() == plain.stdout,
                        f"{arguments}: a relative name")
            done = self.run(*arguments, "--output", "-", input=self.line)
            self.expect(done.stdout == plain.stdout, f"{arguments}: --output -")
            self.expect(not self.left(), f"{arguments}: a temporary file was left behind")
        some = self.folder / "some.ndjson"
        some.write_bytes(self.line + b"{}\n")
        done = self.run("value", "--format", "ndjson", "--output", "new", "--errors", "faults", some)
        self.expect(done.returncode == 1 and (self.folder / "new").read_bytes().count(b"\n") == 2
                    and b"field-missing" in (self.folder / "faults").read_bytes(),
                    "with a refused record, both files are written")

    def permissions(self):
        for mask, mode in ((0o022, 0o644), (0o077, 0o600), (0o027, 0o640), (0o002, 0o664)):
            path = self.folder / f"new{mask:o}"
            self.run("schema", "record", "--output", path, umask=mask)
            self.expect(stat.S_IMODE(path.stat().st_mode) == mode,
                        f"umask {mask:o}: a new file has mode {path.stat().st_mode:o}")
        for mode in (0o600, 0o640, 0o644, 0o664, 0o666, 0o755, 0o620):
            path = self.old()
            path.chmod(mode)
            self.run("schema", "record", "--output", path, umask=0o077)
            self.expect(stat.S_IMODE(path.stat().st_mode) == mode and path.read_bytes() != OLD,
                        f"mode {mode:o} became {path.stat().st_mode:o}")
        self.access_list()
        if os.getuid() != 0:
            print("not root: owners and groups that cannot be kept are not tried")
            return
        owned = self.old()
        os.chown(owned, 12345, 23456)
        self.run("schema", "record", "--output", owned)
        self.expect((owned.stat().st_uid, owned.stat().st_gid) == (12345, 23456),
                    "root does not keep owner and group")
        folder = self.folder / "nobody's"
        folder.mkdir()
        os.chown(folder, NOBODY, NOBODY)
        for before, after in ((0o666, 0o666), (0o662, 0o622), (0o676, 0o666)):
            path = folder / "root's"
            path.write_bytes(OLD)
            os.chown(path, 0, 0)
            path.chmod(before)
            self.as_nobody("schema", "record", "--output", path)
            self.expect((stat.S_IMODE(path.stat().st_mode), path.stat().st_uid) == (after, NOBODY),
                        f"root's file of mode {before:o} became {path.stat().st_mode:o}")

    def as_nobody(self, *arguments, **options):
        if os.getuid() == 0:
            self.folder.chmod(0o755)
            program = self.folder / "program"  # where the project is may be closed to others
            if not program.exists():
                shutil.copy(self.binary, program)
            options.update(user=NOBODY, group=NOBODY, extra_groups=[], executable=program)
        return self.run(*arguments, **options)

    def access_list(self):
        """A list that lets another user read, and the group nothing."""
        name = "system.posix_acl_access"
        entries = ((1, 6, -1), (2, 4, 12345), (4, 0, -1), (16, 4, -1), (32, 0, -1))
        value = struct.pack("<I", 2) + b"".join(
            struct.pack("<HHI", tag, rights, who & 0xffffffff) for tag, rights, who in entries)
        path = self.old()
        path.chmod(0o600)
        try:
            os.setxattr(path, name, value)
        except OSError as error:
            print(f"access lists are not tried: {error.strerror}")
            return
        self.run("schema", "record", "--output", path)
        try:
            kept = os.getxattr(path, name) == value
        except OSError:
            kept = False
        self.expect(kept and path.read_bytes() != OLD, "the access list is not kept")

    def links(self):
        target = self.old("target")
        for name, to in (("absolute", target), ("relative", "target"), ("chain", "relative")):
            target.write_bytes(OLD)
            link = self.folder / name
            link.symlink_to(to)
            done = self.run("schema", "record", "--output", link)
            self.expect(done.returncode == 0 and link.is_symlink() and target.read_bytes() != OLD
                        and not target.is_symlink(), f"a link, {name}: {done.stderr}")
        (self.folder / "dangling").symlink_to("born")
        self.run("schema", "record", "--output", "dangling")
        self.expect((self.folder / "dangling").is_symlink() and (self.folder / "born").is_file(),
                    "a link to what is not there yet")
        (self.folder / "a").symlink_to("b")
        (self.folder / "b").symlink_to("a")
        self.refused("links in a circle", "schema", "record", "--output", "a", says="cannot write a")
        other = self.folder / "other name"
        target.write_bytes(OLD)
        os.link(target, other)
        self.run("schema", "record", "--output", target)
        self.untouched(other, "another hard link")

    def not_replaced(self):
        (self.folder / "sub").mkdir()
        self.refused("a folder", "schema", "record", "--output", "sub", says="it is a folder")
        self.refused("a folder to come", "schema", "record", "--output", "new/", says="no name")
        self.refused("no name", "schema", "record", "--output", "", says="no name")
        self.refused("no such folder", "schema", "record", "--output", "none/new",
                     says="none takes no new file: No such")
        with socket.socket(socket.AF_UNIX) as listening:
            listening.bind(str(self.folder / "socket"))
            self.refused("a socket", "schema", "record", "--output", "socket", says="it is no file")
        old = self.old()
        for arguments in (["value", old, "--output", old],
                          ["value", "--matrix", old, "--output", old, self.stone],
                          ["value", "--output", "./sub/../old", old], ["check", "--errors", old, old],
                          ["matrix", "show", "--matrix", old, "--output", old],
                          ["value", "--matrix", old, "--errors", old, self.stone]):
            self.refused(f"{arguments}: what is read", *arguments, old=old)
        with old.open("rb") as source:
            self.refused("what is read on standard input", "check", "--output", old, old=old,
                         stdin=source, says="is what is read")
        self.refused("one file twice", "value", "--output", "one", "--errors", "./one", self.stone,
                     says="written twice")
        self.folder.chmod(0o755)
        old.chmod(0o444)
        done = self.as_nobody("schema", "record", "--output", old)
        self.expect(done.returncode == 2 and b"Permission denied" in done.stderr,
                    f"a file that may not be written: {done.stderr}")
        self.untouched(old, "a file that may not be written")
        old.chmod(0o666)
        self.folder.chmod(0o555)
        done = self.as_nobody("schema", "record", "--output", old)
        self.folder.chmod(0o755)
        self.expect(done.returncode == 2 and b"takes no new file: Permission denied" in done.stderr,
                    f"a folder that may not be written: {done.stderr}")
        self.untouched(old, "a folder that may not be written")

    def written_straight(self):
        plain = self.run("schema", "record").stdout
        for name in ("/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"):
            self.expect(self.run("schema", "record", "--output", name).stdout == plain, name)
            path = self.folder / "log"
            path.write_bytes(OLD)
            with path.open("ab") as log:
                self.run("schema", "record", "--output", name, stdout=log)
            self.expect(path.read_bytes() == OLD + plain, f"{name}, at the end of a file")
        self.expect(self.run("schema", "record", "--output", "/dev/null").returncode == 0
                    and not os.path.isfile("/dev/null"), "/dev/null")
        os.mkfifo(self.folder / "fifo")
        reader = subprocess.Popen(["cat", self.folder / "fifo"], stdout=subprocess.PIPE)
        self.run("schema", "record", "--output", "fifo")
        self.expect(reader.communicate(timeout=60)[0] == plain, "a pipe with a name")

    # ---- what goes wrong

    def status_two(self):
        old, faults = self.old(), self.old("faults")
        broken = self.folder / "broken.json"
        broken.write_text('{"tray": {"id": 1, "stones": [')
        unreadable = self.folder / "unreadable.json"
        unreadable.write_text('{"tray": {"type": 1}, "stones": [{}]}')
        for arguments in (["value", "--matrix", broken, self.stone], ["value", unreadable],
                          ["value", "no such file"], ["value", "--level", "none", self.stone],
                          ["value", "--sort", "none", self.stone], ["value", self.folder],
                          ["weigh", "--outline", "none", "--size", "1x1x1"]):
            self.refused(f"{arguments}", *arguments, "--output", old, old=old)
            if "--outline" not in arguments:
                self.refused(f"{arguments}", *arguments, "--errors", faults, old=faults)

    def full(self):
        old = self.old()
        why = "No space left on device"
        if os.path.exists("/dev/full"):
            for arguments in self.everything():
                self.refused(f"{arguments}: a full disk", *arguments, "--output", "/dev/full",
                             says=why, input=self.line)
                with open("/dev/full", "wb") as full:
                    done = self.run(*arguments, stdout=full, input=self.line)
                self.expect(done.returncode == 2 and why in done.stderr.decode(),
                            f"{arguments}: standard output on a full disk: {done.stderr}")
            some = self.folder / "some.ndjson"
            some.write_bytes(b"{}\n" * 10)
            self.refused("--errors on a full disk", "value", "--errors", "/dev/full", "--output",
                         old, some, says=why, old=old)
            with open("/dev/full", "wb") as full:
                done = self.run("value", "--output", old, some, stderr=full)
                self.expect(done.returncode == 2, "standard error on a full disk")
                self.untouched(old, "standard error on a full disk")
                done = self.run("value", "--errors", old, self.long, stdout=full)
                self.expect(done.returncode == 2 and why in done.stderr.decode(),
                            "standard output on a full disk")
                self.untouched(old, "standard output on a full disk")
        else:
            print("no /dev/full on this system")
        small = 100_000
        self.refused("beyond the user's limit", "value", "--format", "json", "--output", old,
                     self.long, says="File too large", old=old, preexec_fn=lambda:
                     resource.setrlimit(resource.RLIMIT_FSIZE, (small, small)))
        edited = self.large_tray()
        done = self.run("record", "edit", edited, "--set=/0/notes=x", preexec_fn=lambda:
                        resource.setrlimit(resource.RLIMIT_FSIZE, (small, small)))
        self.expect(done.returncode == 2 and b"File too large" in done.stderr and not self.left()
                    and edited.read_bytes() == self.large_tray().read_bytes(),
                    f"record edit beyond the user's limit: {done.stderr}")
        with self.small_disk() as disk:
            if disk is None:
                return
            there = disk / "old"
            there.write_bytes(OLD)
            done = self.run("value", "--format", "json", "--output", there, self.long)
            self.expect(done.returncode == 2 and why in done.stderr.decode()
                        and there.read_bytes() == OLD and [there] == list(disk.iterdir()),
                        f"a small disk: {done.stderr}")
            done = self.run("schema", "record", "--output", there)
            self.expect(done.returncode == 0 and there.read_bytes() != OLD
                        and [there] == list(disk.iterdir()), f"a small disk: {done.stderr}")
            there.write_bytes(b"x" * 300_000)
            done = self.run("matrix", "export", disk / "tables")
            self.expect(done.returncode == 2 and why in done.stderr.decode() and not self.left(),
                        f"tables on a small disk: {done.stderr}")

    @contextlib.contextmanager
    def small_disk(self):
        point = self.folder / "disk"
        point.mkdir()
        library = ctypes.CDLL(None, use_errno=True)
        if library.mount(b"tmpfs", str(point).encode(), b"tmpfs", 0, b"size=300k") != 0:
            print(f"no small disk is tried: {os.strerror(ctypes.get_errno())}")
            yield None
            return
        try:
            yield point
        finally:
            library.umount(str(point).encode())

    def half_done(self, *arguments, **options):
        """A process that has written something and waits for more."""
        process = subprocess.Popen([self.binary, *map(str, arguments)], stdin=subprocess.PIPE,
                                   stdout=subprocess.DEVNULL, cwd=self.folder,
                                   **{"stderr": subprocess.PIPE, **options})
        process.stdin.write(self.line * 4000)  # more than threads keep to themselves
        process.stdin.flush()
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline and process.poll() is None:
            found = list(self.folder.glob(".trayworth-*"))
            if found and sum(path.stat().st_size for path in found) > 0:
                return process
            time.sleep(0.005)
        self.expect(False, f"{arguments}: nothing was written half-way")
        return process

    def signals(self):
        old = self.old()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            for jobs in ("1", "3"):
                process = self.half_done("value", "--format", "json", "--jobs", jobs, "--output",
                                         old, "-")
                process.send_signal(number)
                _, errors = process.communicate(timeout=60)
                self.expect(process.returncode == -number and not errors,
                            f"{number.name}: {process.returncode}, {errors}")
                self.untouched(old, number.name)
        process = self.half_done("value", "--format", "json", "--output", old, "-", preexec_fn=lambda:
                                 signal.signal(signal.SIGHUP, signal.SIG_IGN))
        process.send_signal(signal.SIGHUP)
        process.communicate(timeout=60)
        self.expect(process.returncode == 0 and old.read_bytes() != OLD, "SIGHUP is not ignored")

    def turned_away_at_the_end(self):
        """The name has become a folder's while it was written."""
        (self.folder / "fresh").unlink(missing_ok=True)
        process = self.half_done("value", "--format", "json", "--output", "fresh", "-")
        (self.folder / "fresh").mkdir()
        _, errors = process.communicate(timeout=60)
        self.expect(process.returncode == 2 and b"cannot write fresh" in errors,
                    f"a name that was taken: {process.returncode}, {errors}")
        self.expect(not self.left(), "a name that was taken: a temporary file was left behind")

    def closed_pipes(self):
        old = self.old()
        for restored in (True, False):  # whether a closed pipe is a signal
            read, write = os.pipe()
            os.close(read)
            done = self.run("value", "--format", "json", self.long, stdout=write,
                            restore_signals=restored)
            expected = -signal.SIGPIPE if restored else 2
            self.expect((done.returncode, done.stderr) == (expected, b""),
                        f"a closed pipe: {done.returncode}, {done.stderr}")
            done = self.run("value", "--errors", old, self.long, stdout=write,
                            restore_signals=restored)
            self.expect(done.returncode == expected, f"a closed pipe: {done.returncode}")
            self.untouched(old, "a closed pipe")
            done = self.run("value", "--output", old, self.tray, stderr=write,
                            restore_signals=restored)
            self.expect(done.returncode == expected, f"a closed pipe: {done.returncode}")
            self.untouched(old, "standard error is a closed pipe")
            for arguments in self.everything():
                done = self.run(*arguments, stdout=write, restore_signals=restored, input=self.line)
                self.expect((done.returncode, done.stderr) == (expected, b""),
                            f"{arguments}, into a closed pipe: {done.returncode}, {done.stderr}")
            os.close(write)
        head = subprocess.run(f"'{self.binary}' value --format json '{self.long}' | head -n 1",
                              shell=True, capture_output=True, timeout=120)
        self.expect((head.stdout.count(b"\n"), head.stderr) == (1, b""), f"into head: {head.stderr}")

    def closed_streams(self):
        """A stream that was closed is no place for another file's text."""
        old = self.old()
        for descriptor in (0, 1, 2):
            done = subprocess.run([self.binary, "value", "--errors", str(old), "--quiet", self.tray],
                                  stdin=None, stdout=None if descriptor == 1 else subprocess.DEVNULL,
                                  stderr=None if descriptor == 2 else subprocess.DEVNULL, timeout=60,
                                  preexec_fn=lambda: os.close(descriptor), cwd=self.folder)
            if descriptor == 1:
                self.expect(done.returncode == 2, "standard output is closed, and nobody says so")
                self.untouched(old, "standard output is closed")
            else:
                self.expect(done.returncode == 0 and old.read_bytes() == b"",
                            f"descriptor {descriptor} is closed: {done.returncode}")
                old.write_bytes(OLD)
        done = subprocess.run([self.binary, "value"], preexec_fn=lambda: os.close(0), timeout=60,
                              stdin=None, capture_output=True)
        self.expect(done.returncode == 2 and b"cannot read standard input" in done.stderr,
                    f"standard input is closed: {done.stderr}")

    def large_tray(self):
        path = self.folder / "large.json"
        path.write_bytes(b"[" + b",".join([self.line] * 1000) + b"]")
        return path

    def edited_and_killed(self):
        """Likewise of a file that is changed in its place, and of a folder of tables."""
        path, tables = self.large_tray(), self.folder / "tables"
        change = [self.binary, "record", "edit", str(path), "--set=/999/notes=other"]
        export = [self.binary, "matrix", "export", str(tables), "--replace"]
        old = path.read_bytes()
        draw = random.Random(10)
        for arguments in (change, export):
            path.write_bytes(old)
            started = time.monotonic()
            subprocess.run(arguments, check=True, stderr=subprocess.DEVNULL)
            length = time.monotonic() - started
            new = path.read_bytes()
            self.expect((new != old) == (arguments is change), f"{arguments[1:3]}: changes the tray")
            whole = {table.name: table.read_bytes() for table in tables.glob("*.*")}
            for _ in range(15):
                path.write_bytes(old)
                shutil.rmtree(tables, ignore_errors=True)
                process = subprocess.Popen(arguments, stderr=subprocess.DEVNULL)
                time.sleep(length * draw.uniform(0, 1.2))
                process.kill()
                process.wait(timeout=60)
                self.left()
                self.expect(path.read_bytes() in (old, new), f"{arguments[1:3]}, killed: a torn file")
                self.expect(all(table.read_bytes() == whole[table.name]
                                for table in tables.glob("*.*")), "a torn table")

    def killed(self):
        """At moments all over a run: one of the two files is there, and whole."""
        old = self.old()
        arguments = [self.binary, "value", "--format", "json", "--output", str(old), str(self.long)]
        started = time.monotonic()
        subprocess.run(arguments, check=True, stderr=subprocess.DEVNULL)
        length = time.monotonic() - started
        new = old.read_bytes()
        draw = random.Random(9)
        seen = {OLD: 0, new: 0}
        moments = [length * draw.uniform(0, 1.5) for _ in range(25)]
        for moment in moments:
            old.write_bytes(OLD)
            process = subprocess.Popen(arguments, stderr=subprocess.DEVNULL)
            time.sleep(moment)
            process.kill()
            process.wait(timeout=60)
            found = old.read_bytes()
            self.expect(found in seen, f"killed after {moment:.3f} s: {len(found)} bytes, neither "
                        f"the old {len(OLD)} nor the new {len(new)}")
            seen[found] = seen.get(found, 0) + 1
            self.left()
        process = self.half_done(*arguments[1:-1], "-")  # once surely in the middle
        process.kill()
        process.communicate(timeout=60)
        self.expect(len(self.left()) == 1, "killed half-way: the temporary file is gone")


def main(root, binary):
    failures, checks = [], 0
    for name in ("same_bytes", "permissions", "links", "not_replaced", "written_straight",
                 "status_two", "full", "signals", "turned_away_at_the_end", "closed_pipes",
                 "closed_streams", "killed", "edited_and_killed"):
        with tempfile.TemporaryDirectory() as folder:
            tests = Tests(pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve()),
                          pathlib.Path(folder).resolve())
            getattr(tests, name)()
            failures += tests.failures
            checks += tests.checks
    print("\n".join(failures))
    print(f"{checks} checks, {len(failures)} failed")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
