"""Peer for the identify bench: the same likelihood of outside diameter and pitch, written plainly with a
vectorised array library. Other evidence, words and next measurements are left out, so the comparison favours this
side. Prints candidates and the median time in milliseconds."""

import statistics
import sys
import time

import numpy as np
from scipy.special import log_ndtr, ndtr

DIAMETERS = (21.86, 21.71)
U_DIAMETER = 0.035
PITCH, U_PITCH = 60.1 / 12, 0.0065
WEAR_SHARE = 0.03
SLIP = 0.015
PIECES = 6


def candidates(many):
    """As many triples of form, diameter and pitch as the program has; starts and hand do not enter here."""
    d = np.concatenate([np.arange(1, 101), np.arange(1, 50) + 0.5, np.arange(2, 129) * 25.4 / 32])
    p = np.concatenate([np.arange(1, 49) * 0.5, 25.4 / np.arange(1, 41)])
    d, p = (a.ravel() for a in np.meshgrid(d, p, indexing="ij"))
    fits = (p < 0.55 * d) & (p > 0.012 * d)
    d, p = d[fits], p[fits]
    times = -(-many // d.size)
    return np.tile(d, times)[:many], np.tile(p, times)[:many]


def worn_cdf(x, sigma, wear):
    """Normal noise plus exponential wear: distribution function."""
    r, z = sigma / wear, x / sigma
    return ndtr(z) - np.exp(np.minimum(0.5 * r * r - x / wear + log_ndtr(z - r), 0.0))


def rank(d, p):
    tolerance = 0.63 * (180 * p ** (2 / 3) - 3.15 / np.sqrt(p)) / 1000
    wear = WEAR_SHARE * p
    step = tolerance / PIECES
    product = np.ones((PIECES, d.size))
    for reading in DIAMETERS:
        edges = np.stack([worn_cdf(d - reading - k * step, U_DIAMETER, wear) for k in range(PIECES + 1)])
        broad = SLIP / (2 * np.log(3) * reading)
        product *= (1 - SLIP) * (edges[:-1] - edges[1:]) / step + broad
    off = (PITCH - p) / U_PITCH
    broad = SLIP / (2 * np.log(3) * PITCH)
    pitch = (1 - SLIP) * np.exp(-0.5 * off * off) / (U_PITCH * np.sqrt(2 * np.pi)) + broad
    score = np.log(product.mean(axis=0)) + np.log(pitch)
    posterior = np.exp(score - score.max())
    posterior /= posterior.sum()
    return np.argsort(posterior)[::-1][:12], posterior


def main():
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 52_722
    d, p = candidates(many)
    times = []
    for _ in range(15):
        start = time.perf_counter()
        best, _ = rank(d, p)
        times.append(1000 * (time.perf_counter() - start))
    print(f"{d.size} candidates, best {d[best[0]]:g} x {p[best[0]]:g}", file=sys.stderr)
    print(f"{statistics.median(times):.3f}")


if __name__ == "__main__":
    main()
