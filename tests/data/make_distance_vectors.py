#!/usr/bin/env python3
"""Writes distance_vectors.csv: |Γ| against distance of an invented sweep, by numpy's fast Fourier transform.

    python3 tests/data/make_distance_vectors.py [--check]
"""

import pathlib
import sys

import numpy as np

FILE = pathlib.Path(__file__).with_name("distance_vectors.csv")
POINTS, PAD = 32, 64
START, STEP = 40_000_000, 5_000_000
# Round-trip delays in seconds, and sizes; all invented.
ECHOES = [(0.0, 0.05), (61.7e-9, -0.2), (118.2e-9, 0.6)]


def windows():
    x = (np.arange(POINTS) + 0.5) / POINTS
    one, two = np.cos(2 * np.pi * x), np.cos(4 * np.pi * x)
    return {
        "uniform": np.ones(POINTS),
        "hann": 0.5 - 0.5 * one,
        "blackman": 0.42 - 0.5 * one + 0.08 * two,
    }


def text():
    frequency = START + STEP * np.arange(POINTS)
    gamma = sum(size * np.exp(-2j * np.pi * frequency * delay) for delay, size in ECHOES)
    lines = ["kind,index,first,second"]
    lines += [f"gamma,{k},{value.real!r},{value.imag!r}" for k, value in enumerate(map(complex, gamma))]
    for name, weight in windows().items():
        padded = np.zeros(PAD, complex)
        padded[:POINTS] = weight * gamma
        sums = np.abs(np.fft.ifft(padded)) * PAD / weight.sum()
        lines += [f"{name},{k},{float(value)!r}," for k, value in enumerate(sums[: PAD - 2])]
    return "\n".join(lines) + "\n"


if sys.argv[1:] == ["--check"]:
    def numbers(content):
        return [[float(x) if i > 1 and x else x for i, x in enumerate(line.split(","))]
                for line in content.splitlines()[1:]]
    for was, now in zip(numbers(FILE.read_text()), numbers(text()), strict=True):
        assert was[:2] == now[:2], (was, now)
        for a, b in zip(was[2:], now[2:], strict=True):
            assert a == b or abs(a - b) < 1e-12, (was, now)
    print("distance_vectors.csv: the same")
else:
    FILE.write_text(text())
