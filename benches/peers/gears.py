#!/usr/bin/env python3
"""Gear search beside numpy: every train of twenty gears by brute force, in the same run as ours.

Run from the root of the repository: python3 benches/peers/gears.py   (needs numpy and cargo)
Prints the median time of both for two, four and six gears, and the ratio. Ours also mounts the trains on the banjo;
the brute force only ranks errors. Both are one thread.
"""
import itertools
import re
import statistics
import subprocess
import time

import numpy as np

GEARS = [20, 24, 28, 30, 32, 35, 38, 40, 45, 48, 50, 55, 57, 60, 65, 66, 70, 72, 80, 100]
WANTED = 25.4 / 5 / 4.0  # lead over lead screw
MOST = 12


def sets(size):
    """Bit mask and product of teeth of every choice of `size` gears."""
    chosen = list(itertools.combinations(range(len(GEARS)), size))
    masks = np.array([sum(1 << i for i in c) for c in chosen], dtype=np.uint32)
    products = np.array([np.prod([GEARS[i] for i in c]) for c in chosen], dtype=np.float64)
    return masks, products


def brute_force(size):
    masks, products = sets(size)
    error = np.abs(np.divide.outer(products, products) / WANTED - 1)
    error[np.bitwise_and.outer(masks, masks) != 0] = np.inf
    flat = error.ravel()
    nearest = np.argpartition(flat, MOST)[:MOST]
    return np.sort(flat[nearest])


def best_of(size, repeats):
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


def main():
    rust = ours()
    print(f"{'gears':>6} {'ours':>12} {'every train':>12} {'numpy':>12} {'numpy / ours':>13}")
    for gears, repeats in ((2, 200), (4, 50), (6, 10)):
        mine = rust["search", str(gears)]
        every = rust["every_train_peer", str(gears)]
        peer = best_of(gears // 2, repeats)
        ms = [f"{1e3 * t:.3f} ms" for t in (mine, every, peer)]
        print(f"{gears:>6} {ms[0]:>12} {ms[1]:>12} {ms[2]:>12} {peer / mine:>12.1f}x")
    boxed = rust["search_with_gearbox", "search_with_gearbox"]
    print(f"four gears at each of thirty gearbox settings, ours: {1e3 * boxed:.3f} ms")
    ppm = ", ".join(f"{1e6 * e:.1f}" for e in brute_force(2)[:5])
    print(f"nearest four-gear errors by numpy, ppm: {ppm}")


if __name__ == "__main__":
    main()
