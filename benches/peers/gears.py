#!/usr/bin/env python3
"""Gear search beside numpy: every train of twenty-four gears by brute force, in the same run as ours.

Run from the root of the repository: python3 benches/peers/gears.py   (needs numpy and cargo)
Prints the median time of both for two, four and six gears, and the ratio; then has the program search the same gears
and stops unless both find the same nearest trains. Ours also mounts the trains on the banjo; the brute force only
ranks errors. Both are one thread.
"""
import itertools
import json
import re
import statistics
import subprocess
import tempfile
import time

import numpy as np

GEARS = [20, 24, 28, 30, 32, 35, 38, 40, 44, 45, 46, 48, 50, 55, 57, 60, 65, 66, 70, 72, 75, 80, 90, 100]
SCREW, LEAD = 4.0, 25.4 / 5
MOST = 12


def sets(size):
    """Bit mask and product of teeth of every choice of `size` gears."""
    chosen = list(itertools.combinations(range(len(GEARS)), size))
    masks = np.array([sum(1 << i for i in c) for c in chosen], dtype=np.uint32)
    products = np.array([np.prod([GEARS[i] for i in c]) for c in chosen], dtype=np.float64)
    return masks, products


def brute_force(size):
    """The nearest trains of `size` pairs: errors, and the drivers and driven gears of each as sorted tuples."""
    masks, products = sets(size)
    error = np.abs(np.divide.outer(products, products) / (LEAD / SCREW) - 1)
    error[np.bitwise_and.outer(masks, masks) != 0] = np.inf
    flat = error.ravel()
    nearest = np.argpartition(flat, MOST)[:MOST]
    nearest = nearest[np.argsort(flat[nearest])]
    teeth = lambda mask: tuple(sorted(z for i, z in enumerate(GEARS) if mask >> i & 1))
    drivers, driven = np.unravel_index(nearest, error.shape)
    return flat[nearest], [(teeth(int(masks[a])), teeth(int(masks[b]))) for a, b in zip(drivers, driven)]


def median(size, repeats):
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        brute_force(size)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def ours():
    """Medians in seconds from the bench's table, by bench and argument."""
    command = ["cargo", "bench", "-q", "-p", "flankwise-bench", "--bench", "gears"]
    table = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    unit = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3, "s": 1.0}
    found, name = {}, None
    for line in table.splitlines():
        if head := re.match(r"[├╰]─ (\w+)", line):
            name = head[1]
        if row := re.match(r"[│ ]*[├╰]─ (\w+)\s+[\d.]+ \S+\s+│ [\d.]+ \S+\s+│ ([\d.]+) (\S+)", line):
            found[name, row[1]] = float(row[2]) * unit[row[3]]
    return found


def searched(pairs):
    """The trains of exactly so many pairs that the program finds nearest, whether they mesh or not."""
    with tempfile.NamedTemporaryFile("w", suffix=".toml") as lathe:
        lathe.write(f'lead_screw = "{SCREW} mm"\ngears = {GEARS}\nmost_gears = {2 * pairs}\n')
        lathe.flush()
        command = ["cargo", "run", "-q", "--release", "-p", "flankwise", "--", "gears", lathe.name]
        command += ["--lead", "5 tpi", "--most", str(40 * MOST), "--json"]
        answer = json.loads(subprocess.run(command, capture_output=True, text=True).stdout)
    exact = [t for t in answer["trains"] if len(t["drivers"]) == pairs]
    return [(abs(t["error_ppm"]) * 1e-6, tuple(sorted(t["drivers"])), tuple(sorted(t["driven"]))) for t in exact]


def same_best(pairs):
    """Holds the nearest trains of both against each other."""
    errors, trains = brute_force(pairs)
    mine = searched(pairs)
    # Trains of like error come in any order: those nearer than the last one asked for are compared as a set.
    within = errors < errors[-1] * (1 - 1e-9)
    peer = {train for train, inside in zip(trains, within) if inside}
    found = {(a, b) for error, a, b in mine if error < errors[-1] * (1 - 1e-9)}
    nearest = sorted(error for error, _, _ in mine)[:MOST]
    assert np.allclose(nearest, errors, atol=1e-12), f"{2 * pairs} gears: {nearest} and {errors}"
    assert peer == found, f"{2 * pairs} gears: only one of both finds {peer ^ found}"
    print(f"{2 * pairs} gears: both find the same {MOST} nearest errors, the first off by {1e6 * errors[0]:.1f} ppm")


def main():
    rust = ours()
    print(f"{'gears':>6} {'ours':>12} {'every train':>12} {'numpy':>12} {'numpy / ours':>13}")
    for gears, repeats in ((2, 200), (4, 50), (6, 10)):
        mine = rust["search", str(gears)]
        every = rust["every_train_peer", str(gears)]
        peer = median(gears // 2, repeats)
        ms = [f"{1e3 * t:.3f} ms" for t in (mine, every, peer)]
        print(f"{gears:>6} {ms[0]:>12} {ms[1]:>12} {ms[2]:>12} {peer / mine:>12.1f}x")
    boxed = rust["search_with_gearbox", "search_with_gearbox"]
    print(f"four gears at each of thirty gearbox settings, ours: {1e3 * boxed:.3f} ms")
    for pairs in (1, 2, 3):
        same_best(pairs)


if __name__ == "__main__":
    main()
