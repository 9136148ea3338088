#!/usr/bin/env python3
"""Reference tables for the tests of the detectors.

    python3 tests/data/make_detector_vectors.py           rewrite the CSV files
    python3 tests/data/make_detector_vectors.py --check   compare them with this script

Needs numpy and mpmath. The run is seeded and uses no clock. Every row is invented.

detector_transform.csv
    A bin of a discrete Fourier transform of whole samples, by numpy.fft.fft
    (numpy, a general-purpose library), printed with ten digits: kind, length, bin,
    samples (joined by blanks), re, im. The largest sums a block can make are
    among them ("largest": each sample at the end of the word, its sign that of the
    factor it meets).

detector_table.csv
    An invented diode: counts, and volts in steps of 2^-12 V.

detector_scalar.csv
    What a coupler with two such diodes shows, by mpmath at 50 digits:
    counts, coupling, directivity and reference (exact in every format used), then
    |Gamma|, SWR, both ends of |Gamma| +- D and of SWR ("inf": no limit), and the
    powers in watts. Formulas: rho = Vr/Vf, D = 10^(-directivity/20),
    P = V^2/Z0 * 10^(coupling/10), SWR = (1+rho)/(1-rho); textbook, from memory.

detector_three_voltages.csv
    The voltages at the source, at the load and across the resistor in steps of
    2^-12 V, the resistor in ohms, and R and |X| by mpmath at 50 digits:
    R = R0 (s^2 - l^2 - a^2)/(2 a^2), |X| = R0 * 2 * area/a^2, the area by Heron's
    formula with whole numbers; textbook, from memory.
"""

import random
import sys
from pathlib import Path

import mpmath
import numpy
from mpmath import mp, mpf

mp.dps = 50
HERE = Path(__file__).resolve().parent


def text(value):
    if isinstance(value, (str, int)):
        return str(value)
    if isinstance(value, float):
        # What double precision leaves of a zero differs from machine to machine.
        return f"{value:.9e}" if abs(value) > 1e-6 else "0"
    return mpmath.nstr(value, 25)


# ------------------------------------------------------------------ transform

def blocks():
    rng = random.Random(48)
    rows = []

    def put(kind, samples, bins):
        spectrum = numpy.fft.fft(numpy.array(samples, dtype=float))
        for k in bins:
            value = spectrum[k]
            rows.append([kind, len(samples), k, " ".join(map(str, samples)),
                         float(value.real), float(value.imag)])

    def wave(n, k, size, turn, i):
        return size * float(mpmath.cospi(2 * (mpf(k * i) / n + mpf(turn))))

    for n, bins in ((3, [1]), (4, [1]), (5, [1, 2]), (8, [1, 2, 3]), (12, [3, 5]), (16, [4, 7]),
                    (45, [1, 11, 22]), (48, [1, 5, 12, 23]), (100, [7, 25, 49]), (255, [64, 127]),
                    (256, [1, 64, 127]), (509, [250]), (512, [1, 100, 128, 255])):
        put("random", [rng.randint(-32768, 32767) for _ in range(n)], bins)
        put("offset", [32767] * n, bins[:1])
        put("offset", [-32768] * n, bins[:1])
        k = bins[-1]
        turn = rng.random()
        put("tone", [round(wave(n, k, 30000, turn, i)) for i in range(n)], [k])
        put("weak", [round(wave(n, k, 3, turn, i)) for i in range(n)], [k])
        put("mixed", [round(wave(n, k, 9000, turn, i) + wave(n, (k + 1) % n, 9000, 0.1, i)
                            + 4000 + rng.gauss(0, 40)) for i in range(n)], [k])
        for turn in (0, 0.25):
            put("largest", [32767 if wave(n, k, 1, turn, i) >= 0 else -32768 for i in range(n)], [k])
            put("largest", [-32768 if wave(n, k, 1, turn, i) >= 0 else 32767 for i in range(n)], [k])
    return ["kind", "length", "bin", "samples", "re", "im"], rows


# --------------------------------------------------------------------- scalar

# Square at low levels, linear at high ones; invented.
TABLE = [(12, 0), (13, 205), (16, 410), (28, 819), (75, 1638), (240, 3277), (700, 6554),
         (1800, 13107), (4100, 26214), (8900, 52429), (18500, 104858), (30000, 167772)]


def volts(counts):
    for (low, least), (high, most) in zip(TABLE, TABLE[1:]):
        if low <= counts <= high:
            return (least + mpf(most - least) * (counts - low) / (high - low)) / 4096
    raise ValueError(counts)


def scalar():
    rng = random.Random(50)
    rows = []

    def put(forward, reverse, coupling, directivity, z0):
        f, r = volts(forward), volts(reverse)
        rho, leak = r / f, mpmath.power(10, -mpf(directivity) / 20)
        low, high = max(mpf(0), rho - leak), rho + leak
        gain = mpmath.power(10, mpf(coupling) / 10) / z0

        def swr(x):
            return (1 + x) / (1 - x) if x < 1 else "inf"

        rows.append([forward, reverse, text(mpf(coupling)), text(mpf(directivity)), z0, rho, swr(rho),
                     low, high, swr(low), swr(high), gain * f * f, gain * r * r, gain * (f * f - r * r)])

    for reverse in (12, 13, 14, 100, 2999, 15000, 29999, 30000):
        put(30000, reverse, 30, 30, 50)
    put(30000, 30000, 20, 25, 50)
    put(8900, 12000, 20, 25, 50)
    put(700, 700, 0, 10, 75)
    put(18500, 12, 40, 0.5, 50)
    for _ in range(200):
        forward = rng.randint(200, 30000)
        reverse = rng.randint(12, forward if rng.random() < 0.9 else 30000)
        put(forward, reverse, rng.choice((0, 10, 20, 30.5, 40)), rng.choice((10, 20, 25.5, 30, 40)),
            rng.choice((50, 50, 50, 75)))
    head = ["forward", "reverse", "coupling_db", "directivity_db", "reference_ohm", "magnitude", "swr",
            "magnitude_low", "magnitude_high", "swr_low", "swr_high", "forward_w", "reflected_w", "delivered_w"]
    return head, rows


# ------------------------------------------------------------- three voltages

def three_voltages():
    rng = random.Random(3)
    rows = []

    def put(kind, s, l, a, r0):
        square = (s + l + a) * (-s + l + a) * (s - l + a) * (s + l - a)
        resistance = mpf(r0) * (s * s - l * l - a * a) / (2 * a * a)
        reactance = mpf(r0) * mpmath.sqrt(square) / (2 * a * a) if square >= 0 else "none"
        rows.append([kind, s, l, a, r0, resistance, reactance])

    # A right angle is a resistor with a pure reactance: 3, 4, 5 and its like.
    put("right", 5 * 4096, 4 * 4096, 3 * 4096, 50)
    put("right", 13 * 4096, 12 * 4096, 5 * 4096, 50)
    put("right", 5 * 4096, 3 * 4096, 4 * 4096, 75)
    # Flat: R = R0 l/a, no reactance.
    put("flat", 8192, 4096, 4096, 50)
    put("flat", 4097 * 3, 4097, 4097 * 2, 100)
    put("flat", 300001, 300000, 1, 50)
    # No reactance but a negative R.
    put("active", 4096, 8192, 4096 * 3, 50)
    for _ in range(200):
        r0 = rng.choice((10, 50, 50, 100, 330))
        r = mpmath.power(10, mpf(rng.uniform(-1, 3.2)))
        x = mpmath.power(10, mpf(rng.uniform(-1, 3.2)))
        current = mpf(rng.uniform(0.002, 0.05))
        bits = [int(mpmath.nint(v * current * 4096))
                for v in (mpmath.hypot(r + r0, x), mpmath.hypot(r, x), mpf(r0))]
        s, l, a = bits
        if a > 200 and s < l + a and l < s + a and a < s + l:
            put("load", s, l, a, r0)
    put("none", 9000, 4096, 4096, 50)
    put("none", 4096, 9000, 4096, 50)
    return ["kind", "source", "load", "across", "resistor_ohm", "resistance_ohm", "reactance_ohm"], rows


def main():
    tables = {
        "detector_transform.csv": blocks(),
        "detector_table.csv": (["counts", "volts_bits"], [list(row) for row in TABLE]),
        "detector_scalar.csv": scalar(),
        "detector_three_voltages.csv": three_voltages(),
    }
    differs = []
    for name, (head, rows) in tables.items():
        out = "".join(",".join(map(text, row)) + "\n" for row in [head] + rows)
        path = HERE / name
        if "--check" in sys.argv[1:]:
            if path.read_text() != out:
                differs.append(name)
        else:
            path.write_text(out)
    if differs:
        sys.exit("differs from what would be written: " + ", ".join(differs))


if __name__ == "__main__":
    main()
