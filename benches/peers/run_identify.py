"""Runs the identify bench and its peer one after the other and prints both medians and their ratio.

Needs numpy and scipy for the peer: `python -m pip install -r benches/peers/requirements.txt`."""

import pathlib
import re
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
UNITS = {"ns": 1e-6, "µs": 1e-3, "ms": 1.0, "s": 1e3}


def ours():
    run = subprocess.run(
        ["cargo", "bench", "-q", "-p", "flankwise-bench", "--bench", "identify"],
        cwd=HERE.parent.parent, check=True, capture_output=True, text=True,
    )
    considered = re.search(r"^considered (\d+)$", run.stderr, re.MULTILINE).group(1)
    medians = {}
    for line in run.stdout.splitlines():
        # name, then fastest, slowest, median, mean, each a number and a unit.
        name = re.match(r"[│├╰─ ]*([\w-]+)", line)
        times = re.findall(r"([\d.]+) (ns|µs|ms|s)\b", line)
        if name and len(times) >= 4:
            value, unit = times[2]
            medians[name.group(1)] = float(value) * UNITS[unit]
    return medians, considered


def main():
    medians, considered = ours()
    peer = float(subprocess.run(
        [sys.executable, str(HERE / "identify.py"), considered], check=True, capture_output=True, text=True,
    ).stdout)
    print(f"{considered} candidates")
    for name, ms in medians.items():
        print(f"{name:32} {ms:8.2f} ms")
    print(f"{'peer: diameter and pitch only':32} {peer:8.2f} ms")
    same = medians["diameter_and_pitch"]
    print(f"peer / ours on the same two kinds of reading: {peer / same:.1f}")


if __name__ == "__main__":
    main()
