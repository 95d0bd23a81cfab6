#!/usr/bin/env python3
"""Times whole processes over the same file, in turn, and draws how cost grows with the records.

measure.py TRAYWORTH PARSE_ONLY READ_ONLY MATRIX FOLDER [RECORDS [RUNS]]

Every figure is the median of RUNS runs (STARTS for one stone) after one that is not counted; the
commands take turns, so that a drift of the machine meets all of them. Times are wall seconds,
memory is the peak of the process as the kernel accounts for it (wait4). No test depends on these
figures.
"""

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
STONE = HERE.parent.parent / "examples/first-stone.json"
SEED = 1
STARTS = 200


def run_once(command, source):
    """Wall seconds, CPU seconds and peak MiB of one run."""
    with open(source, "rb") as stdin, open(os.devnull, "wb") as devnull:
        start = time.perf_counter()
        process = subprocess.Popen(command, stdin=stdin, stdout=devnull)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"exit status {process.returncode}: {' '.join(command)}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def measure(commands, source, runs):
    for command in commands.values():
        run_once(command, source)
    taken = {name: [] for name in commands}
    for _ in range(runs):
        for name, command in commands.items():
            taken[name].append(run_once(command, source))
    return {name: tuple(statistics.median(column) for column in zip(*figures))
            for name, figures in taken.items()}


def records_file(folder, count):
    path = folder / f"records-{count}.ndjson"
    if not path.exists():
        with open(path, "w", encoding="utf-8") as file:
            subprocess.run([sys.executable, str(HERE / "generate.py"), str(count), str(SEED)],
                           stdout=file, check=True)
    return path


def table(figures, count, size):
    print(f"{'':<34}{'records/s':>12}{'MB/s':>8}{'wall s':>9}{'cpu s':>8}{'peak MiB':>10}")
    for name, (wall, cpu, peak) in figures.items():
        print(f"{name:<34}{count / wall:>12,.0f}{size / wall / 1e6:>8.0f}{wall:>9.3f}{cpu:>8.3f}"
              f"{peak:>10.1f}")


def ratios(figures):
    def speed(name):
        return 1 / figures[name][0]

    pairs = [("brief, 1 thread", "parse only (nlohmann SAX)"),
             ("brief, all threads", "brief, 1 thread"),
             ("brief, all threads", "jq -c ."),
             ("brief, all threads", "Python, json module"),
             ("all reasons, 1 thread", "brief, 1 thread")]
    print()
    for one, other in pairs:
        print(f"{one:<24} / {other:<28}{speed(one) / speed(other):>7.2f}")


def growth(trayworth, folder, largest, runs):
    print(f"\n{'records':>10}{'wall s':>9}{'us/record':>11}{'peak MiB':>10}")
    count = 1000
    while count <= largest:
        path = records_file(folder, count)
        command = {"brief": [trayworth, "value", "--format", "ndjson", "--quiet", "--brief", "-"]}
        wall, _, peak = measure(command, path, runs)["brief"]
        per_record = 1e6 * wall / count
        print(f"{count:>10,}{wall:>9.3f}{per_record:>11.2f}{peak:>10.1f}  "
              + "#" * min(50, round(10 * per_record)))
        count *= 10


def one_stone(trayworth, read_only):
    """A whole process for one stone, beside one that opens the same file, reads it and ends."""
    figures = measure({"value one stone": [trayworth, "value", str(STONE), "--format", "json"],
                       "read the file only": [read_only, str(STONE)]}, os.devnull, STARTS)
    print(f"\none stone, medians of {STARTS} runs\n{'':<34}{'wall ms':>9}{'cpu ms':>8}")
    for name, (wall, cpu, _) in figures.items():
        print(f"{name:<34}{1e3 * wall:>9.2f}{1e3 * cpu:>8.2f}")
    value, read = (wall for wall, _, _ in figures.values())
    print(f"{'time, value / read only':<34}{value / read:>9.2f}")


def main():
    trayworth, parse_only, read_only, matrix = sys.argv[1:5]
    folder = Path(sys.argv[5])
    count = int(sys.argv[6]) if len(sys.argv) > 6 else 200_000
    runs = int(sys.argv[7]) if len(sys.argv) > 7 else 5
    path = records_file(folder, count)
    size = path.stat().st_size
    value = [trayworth, "value", "--format", "ndjson", "--quiet"]
    commands = {
        "parse only (nlohmann SAX)": [parse_only],
        "brief, 1 thread": value + ["--brief", "--jobs", "1", "-"],
        "brief, all threads": value + ["--brief", "-"],
        "all reasons, 1 thread": value + ["--jobs", "1", "-"],
        "all reasons, all threads": value + ["-"],
        "jq -c .": ["jq", "-c", "."],
        "Python, json module": ["/usr/bin/python3", str(HERE / "price_with_json.py"), matrix],
    }
    print(f"{count:,} records of {size / count:.0f} bytes, {os.cpu_count()} processors, medians of "
          f"{runs} runs\n")
    figures = measure(commands, path, runs)
    table(figures, count, size)
    ratios(figures)
    one_stone(trayworth, read_only)
    growth(trayworth, folder, max(count, 1_000_000), 3)


if __name__ == "__main__":
    main()
