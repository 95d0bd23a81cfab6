#!/usr/bin/python3
"""Checks that every #include goes along an arrow of the design, and what the top level holds.

Usage: arrows.py ROOT

ROOT is the top of the project. Prints each fault on a line of its own and exits with 1 when there
is one. A tree made up of faults is tried first: a check that finds nothing there is no check.
"""

import fnmatch
import pathlib
import re
import sys
import tempfile

# A folder of src/ and those it may include from, itself aside. "main" is src/main.cpp.
#     main -> cli -> { io, output, fitting, recutting, valuation }
#     { fitting, recutting } -> valuation -> { weight, pricing } -> core
#     output -> { fitting, recutting, valuation }        io -> { fitting, recutting, pricing, core }
# An arrow may be followed further, but for io: it reads records, matrices and plans into the types
# that belong to them, and values nothing.
ARROWS = {
    "main": {"cli"},
    "cli": {"io", "output", "fitting", "recutting", "valuation", "weight", "pricing", "core"},
    "io": {"fitting", "recutting", "pricing", "core"},
    "output": {"fitting", "recutting", "valuation", "weight", "pricing", "core"},
    "fitting": {"valuation", "weight", "pricing", "core"},
    "recutting": {"valuation", "weight", "pricing", "core"},
    "valuation": {"weight", "pricing", "core"},
    "weight": {"core"},
    "pricing": {"core"},
    "core": set(),
}
# What is not the standard library's, by the beginning of the path, and the folders that may.
LIBRARIES = {
    "nlohmann/": {"io", "output"},
    "CLI/": {"cli"},
    "Eigen/": {"fitting"},
    "fmt/": {"pricing", "valuation", "fitting", "recutting", "io", "output", "cli"},
}
# The system's own headers (<unistd.h>, <sys/ioctl.h>): where files and terminals are met.
SYSTEM = {"main", "io"}
# Headers that the build makes from data/.
GENERATED = re.compile(r"\w+\.inc")
GENERATED_IN = {"io"}

TOP_LEVEL = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "src", "tests", "data", "examples",
             "man"}

INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*(?:"([^"]*)"|<([^>]*)>|(.*))', re.MULTILINE)


def folder_of(path, src):
    parts = path.relative_to(src).parts
    if parts == ("main.cpp",):
        return "main"
    return parts[0] if len(parts) == 2 else None


def fault_of_own(folder, target, src):
    if GENERATED.fullmatch(target):
        return None if folder in GENERATED_IN else "makes use of what is embedded for io"
    if not (src / target).is_file():
        return "is no file under src/"
    to = folder_of(src / target, src)
    if to != folder and to not in ARROWS[folder]:
        return f"goes from {folder} to {to}, which is no arrow of the design"
    return None


def fault_of_library(folder, target):
    for prefix, allowed in LIBRARIES.items():
        if target.startswith(prefix):
            return None if folder in allowed else f"is not for {folder}"
    if re.fullmatch(r"[a-z_]+", target):  # the standard library's own names have neither . nor /
        return None
    if target.endswith(".h"):
        return None if folder in SYSTEM else f"is the system's and not for {folder}"
    return "belongs to no library that the project knows"


def faults_of_includes(root):
    src = root / "src"
    faults = []
    seen = 0
    for path in sorted(p for p in src.rglob("*") if p.is_file()):
        name = path.relative_to(root)
        folder = folder_of(path, src)
        if path.suffix not in {".cpp", ".hpp"} or folder not in ARROWS:
            faults.append(f"{name}: has no place in the design")
            continue
        for own, library, other in INCLUDE.findall(path.read_text(encoding="utf-8")):
            seen += 1
            if other:
                fault = "names no file"
            else:
                fault = fault_of_own(folder, own, src) if own else fault_of_library(folder, library)
            if fault:
                faults.append(f"{name}: #include {own or library or other} {fault}")
    if seen == 0:
        faults.append("src: no #include was found")
    return faults


def faults_of_top_level(root):
    ignored = []
    if (root / ".gitignore").is_file():
        ignored = [line.strip().strip("/") for line in (root / ".gitignore").read_text().split("\n")
                   if line.startswith("/") and line.strip().endswith("/")]
    names = {path.name for path in root.iterdir() if not path.name.startswith(".")
             and not (path.is_dir() and any(fnmatch.fnmatch(path.name, i) for i in ignored))}
    return ([f"{name}: does not belong on the top level" for name in sorted(names - TOP_LEVEL)] +
            [f"{name}: is missing from the top level" for name in sorted(TOP_LEVEL - names)])


def faults_of(root):
    return faults_of_includes(root) + faults_of_top_level(root)


# ---- the check, checked

def write(root, files):
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


# What a sound tree of one header a folder includes.
SOUND = {
    "main.cpp": '#include "cli/a.hpp"\n#include <unistd.h>\n',
    "cli/a.hpp": '#include "io/a.hpp"\n#include "output/a.hpp"\n#include "fitting/a.hpp"\n'
                 '#include "valuation/a.hpp"\n#include <CLI/CLI.hpp>\n',
    "io/a.hpp": '#include "fitting/a.hpp"\n#include "pricing/a.hpp"\n#include "matrix.inc"\n'
                '#include <nlohmann/json.hpp>\n',
    "output/a.hpp": '#include "valuation/a.hpp"\n#include <fmt/format.h>\n',
    "fitting/a.hpp": '#include "valuation/a.hpp"\n',
    "recutting/a.hpp": '#include "valuation/a.hpp"\n',
    "valuation/a.hpp": '#include "weight/a.hpp"\n#include "pricing/a.hpp"\n',
    "weight/a.hpp": '#include "core/a.hpp"\n#include <numbers>\n',
    "pricing/a.hpp": '#include "core/a.hpp"\n#include <string_view>\n',
    "core/a.hpp": '#include <vector>\n',
}
# One fault each: the file, what is added to it, and a part of the complaint.
FAULTS = (
    [(f"{here}/a.hpp", f'#include "{there}/a.hpp"\n', "no arrow")
     for here in ARROWS if here != "main"
     for there in ARROWS if there not in ARROWS[here] | {here, "main"}] +
    [("main.cpp", f'#include "{there}/a.hpp"\n', "no arrow")
     for there in ARROWS if there not in {"main", "cli"}] +
    [(f"{here}/a.hpp", f"#include <{library}any.hpp>\n", "is not for")
     for library, allowed in LIBRARIES.items()
     for here in ARROWS if here not in allowed | {"main"}] +
    [("core/a.hpp", "#include <unistd.h>\n", "the system's"),
     ("weight/a.hpp", "  #  include <math.h>\n", "the system's"),
     ("core/a.hpp", "#include <boost/any.hpp>\n", "no library"),
     ("core/a.hpp", '#include "a.hpp"\n', "no file under src/"),
     ("cli/a.hpp", '#include "matrix.inc"\n', "embedded"),
     ("core/a.hpp", "#include MACRO\n", "names no file"),
     ("core/deeper/a.hpp", "#include <vector>\n", "no place"),
     ("other/a.hpp", "#include <vector>\n", "no place"),
     ("a.hpp", "#include <vector>\n", "no place"),
     ("core/a.txt", "\n", "no place")])


def check_itself():
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        write(root, {f"src/{name}": text for name, text in SOUND.items()})
        write(root, {f"{name}/x" if "." not in name else name: "" for name in TOP_LEVEL - {"src"}})
        write(root, {".gitignore": "/build*/\n", "build-1/x": "", ".hidden": ""})
        faults += [f"of a sound tree: {fault}" for fault in faults_of(root)]
        for name, text, complaint in FAULTS:
            path = root / "src" / name
            before = path.read_text(encoding="utf-8") if path.exists() else None
            write(root, {f"src/{name}": (before or "") + text})
            found = faults_of(root)
            if len(found) != 1 or complaint not in found[0]:
                faults.append(f"src/{name} with {text.strip()}: found {found}")
            if before is None:
                path.unlink()
            else:
                path.write_text(before, encoding="utf-8")
        (root / "core" / "deeper").mkdir(parents=True)
        write(root, {"notes.txt": "", "build": ""})
        (root / "README.md").unlink()
        found = faults_of(root)
        if len(found) != 4:
            faults.append(f"of a top level with core/, notes.txt and a file build, without "
                          f"README.md: found {found}")
    return [f"the check itself: {fault}" for fault in faults]


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    faults = check_itself() + faults_of(pathlib.Path(sys.argv[1]))
    for fault in faults:
        print(fault)
    print(f"{len(FAULTS)} faults were made up and found" if not faults else
          f"{len(faults)} faults")
    sys.exit(1 if faults else 0)


main()
