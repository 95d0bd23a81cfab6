#!/usr/bin/python3
"""Installs the project, packs it for Debian, and installs and removes the package.

Usage: debian.py ROOT BUILD BINARY

 - "cmake --install" puts everything below its prefix, and what is there runs.
 - CPack makes the same bytes twice. lintian finds no error and no warning in them.
 - The package depends on what the binary is linked against: dpkg refuses it where that is missing.
 - In a root of its own dpkg installs it: owners, modes and checksums are right, manual pages and
   changelog are compressed without a name or a time, the program runs and prints what the one that
   was built prints. Removed, it leaves nothing.

As root, or under fakeroot. Needs the Debian packages dpkg-dev, fakeroot, lintian and mandoc.
"""

import gzip
import os
import pathlib
import re
import shutil
import stat
import subprocess
import sys
import tempfile

EPOCH = "1764072000"  # any day will do
AS_ROOT = [] if os.geteuid() == 0 else ["fakeroot", "--"]
# A root without programs of its own, and a caller who need not be root.
ANY_ROOT = ["--force-not-root", "--force-script-chrootless", "--force-bad-path"]


def run(*words, environment=None, check=True, cwd=None):
    done = subprocess.run(words, capture_output=True, text=True, cwd=cwd,
                          env={**os.environ, "LC_ALL": "C.UTF-8", **(environment or {})})
    if check and done.returncode != 0:
        raise RuntimeError(f"{' '.join(words)}: {done.returncode}\n{done.stdout}{done.stderr}")
    return done


def files_below(folder):
    return sorted(path for path in folder.rglob("*") if not path.is_dir())


def field(package, name):
    return run("dpkg-deb", "--field", str(package), name).stdout.strip()


# ---- installed by CMake

def check_installed(root, build, binary, folder):
    prefix = folder / "prefix"
    run("cmake", "--install", build, "--prefix", str(prefix))
    program = prefix / "bin/trayworth"
    words = ["value", str(prefix / "share/doc/trayworth/examples/first-stone.json")]
    if run(str(program), *words).stdout != run(binary, *words).stdout:
        yield "the installed program prints something else"
    for page in (root / "man").iterdir():
        if not (prefix / f"share/man/man{page.suffix[1:]}/{page.name}").is_file():
            yield f"{page.name} is not installed"
    for other in set(folder.iterdir()) - {prefix}:
        yield f"{other} lies beside the prefix"


# ---- packed

def packed(build, folder):
    folder.mkdir()
    run("cpack", "--config", f"{build}/CPackConfig.cmake", "-G", "DEB", "-B", str(folder),
        environment={"SOURCE_DATE_EPOCH": EPOCH})
    package, = folder.glob("*.deb")
    return package


def check_package(root, package, again, binary):
    if package.read_bytes() != again.read_bytes():
        yield "two packages of the same build differ"
    version = run(binary, "--version").stdout.split()[1]
    log = (root / ".package/changelog").read_text()
    if field(package, "Version") != version or not log.startswith(f"trayworth ({version}) "):
        yield f"versions differ: {version}, {field(package, 'Version')}, {log.splitlines()[0]}"
    depends = field(package, "Depends").split(", ")
    if [re.sub(r" \(>= [\d.]+\)$", "", each) for each in depends] != ["libc6"]:
        yield f"it depends on {depends}"
    found = run("lintian", "--fail-on", "error,warning", "--allow-root", "--tag-display-limit", "0",
                "--display-info", str(package), check=False)
    if found.returncode != 0:
        yield f"lintian: {found.stdout}{found.stderr}"
    print(f"        {package.name}: {package.stat().st_size:,} bytes; {', '.join(depends)}")
    print("".join(f"        lintian: {line}\n" for line in found.stdout.splitlines()), end="")


# ---- installed by dpkg

def new_root(folder, installed):
    """A root in which dpkg knows the packages that are named, at this system's versions."""
    database = folder / "var/lib/dpkg"
    for name in ("info", "updates", "triggers"):
        (database / name).mkdir(parents=True)
    text = ""
    for name in installed:
        version = run("dpkg-query", "--show", "--showformat=${Version}", name).stdout
        architecture = run("dpkg", "--print-architecture").stdout.strip()
        text += (f"Package: {name}\nStatus: install ok installed\nMaintainer: none\n"
                 f"Architecture: {architecture}\nMulti-Arch: same\nVersion: {version}\n"
                 "Description: stands for that of this system\n\n")
    (database / "status").write_text(text)
    return folder


def dpkg(root, *words, check=True):
    return run(*AS_ROOT, "dpkg", f"--root={root}", *ANY_ROOT, *words, check=check)


def check_refused_alone(package, folder):
    done = dpkg(new_root(folder, []), "--install", str(package), check=False)
    if done.returncode == 0 or "depends on libc6" not in done.stderr:
        yield f"dpkg installs it without what it needs: {done.stderr}"


def check_listing(package):
    """Owners and modes, as the package itself has them."""
    text = run("dpkg-deb", "--contents", str(package)).stdout
    for line in text.splitlines():
        mode, owner, name = line.split()[0], line.split()[1], line.split()[-1]
        wanted = "drwxr-xr-x" if name.endswith("/") else \
            "-rwxr-xr-x" if name == "./usr/bin/trayworth" else "-rw-r--r--"
        if owner != "root/root" or mode != wanted:
            yield line


def check_compressed(path):
    data = path.read_bytes()
    flags, seconds = data[3], data[4:8]  # RFC 1952, 2.3
    if data[:2] != b"\x1f\x8b" or flags != 0 or seconds != bytes(4):
        yield f"{path.name} is not compressed, or has a name or a time"


def check_files(source, root, binary):
    doc = root / "usr/share/doc/trayworth"
    man = root / "usr/share/man"
    pages = {path.name for path in files_below(man)}
    if pages != {f"{page.name}.gz" for page in (source / "man").iterdir()}:
        yield f"manual pages: {sorted(pages)}"
    for path in [*files_below(man), doc / "changelog.gz"]:
        yield from check_compressed(path)
    for path in files_below(man):
        text = gzip.decompress(path.read_bytes())
        if text != (source / "man" / path.stem).read_bytes():
            yield f"{path.name} is another page"
    if gzip.decompress((doc / "changelog.gz").read_bytes()) != \
            (source / ".package/changelog").read_bytes():
        yield "another changelog"
    if (doc / "copyright").read_bytes() != (source / ".package/copyright").read_bytes():
        yield "another copyright file"
    for words in (["value", str(doc / "examples/first-stone.json")],
                  ["value", "--format", "csv", str(doc / "examples/tray.json")],
                  ["fit", "--assess", "--quiet", str(doc / "examples/sales.csv")],
                  ["check", str(root / "usr/share/trayworth/demonstration-matrix.json")]):
        here, there = (run(program, *words) for program in
                       (binary, str(root / "usr/bin/trayworth")))
        if (here.stdout, here.stderr) != (there.stdout, there.stderr):
            yield f"{' '.join(words)}: the packed program prints something else"


def check_life(source, package, binary, folder):
    root = new_root(folder, ["libc6"])
    before = {path for path in root.rglob("*") if "var/lib/dpkg" not in str(path)}
    dpkg(root, "--install", str(package))
    verified = dpkg(root, "--verify", "trayworth")
    if verified.stdout.strip():
        yield f"dpkg --verify: {verified.stdout}"
    yield from check_files(source, root, binary)
    spoiled = root / "usr/share/trayworth/demonstration-matrix.json"
    spoiled.chmod(stat.S_IRUSR | stat.S_IWUSR)
    spoiled.write_text("{}")
    if "demonstration-matrix" not in dpkg(root, "--verify", "trayworth", check=False).stdout:
        yield "dpkg has no checksums of the files"
    dpkg(root, "--purge", "trayworth")
    left = {path for path in root.rglob("*") if "var/lib/dpkg" not in str(path)} - before
    if left - {root / "var", root / "var/lib"}:
        yield f"left behind: {sorted(map(str, left))}"
    if list((root / "var/lib/dpkg/info").glob("trayworth.*")):
        yield "dpkg still knows it"


def main(root, build, binary):
    source = pathlib.Path(root).resolve()
    folder = pathlib.Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    failed = 0
    try:
        (folder / "installed").mkdir()
        package, again = packed(build, folder / "one"), packed(build, folder / "two")
        for name, check in [
                ("installed by CMake",
                 check_installed(source, build, binary, folder / "installed")),
                ("packed", check_package(source, package, again, binary)),
                ("owners and modes", check_listing(package)),
                ("refused without what it needs", check_refused_alone(package, folder / "bare")),
                ("installed and removed", check_life(source, package, binary, folder / "root"))]:
            complaints = list(check)
            failed += len(complaints)
            print(f"{'FAILED ' if complaints else 'ok     '} {name}")
            for complaint in complaints:
                print(f"        {complaint}")
    finally:
        shutil.rmtree(folder)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
