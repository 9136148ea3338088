#!/usr/bin/env python3
"""Reference tables for the tests, worked out with mpmath at 50 digits.

    python3 tests/data/make_vectors.py           rewrite the CSV files
    python3 tests/data/make_vectors.py --check   compare the CSV files with this
                                                 script and with numpy doubles

Writing needs mpmath; --check needs numpy as well.  The run is seeded and uses
no clock and no system mathematics for what it prints, so that the files come
out the same byte for byte.  README.md beside this script explains the columns.

Where the formulas come from
    Gamma = (Z - Z0)/(Z + Z0), SWR = (1+|Gamma|)/(1-|Gamma|),
    return loss = -20 lg|Gamma|, mismatch loss = -10 lg(1-|Gamma|^2):
    textbook transmission-line theory, cited from memory.
    Power-wave reflection (Zl - conj Zs)/(Zl + Zs): K. Kurokawa, "Power Waves
    and the Scattering Matrix", IEEE Trans. MTT, 1965, cited from memory.
    The arithmetic reference is the general-purpose library mpmath.

Words used in place of a number
    inf    the value is infinite
    none   the value is undefined
    open   (circuits) the band runs out of the sweep on that side
    edge   (circuits) the lowest |Gamma| sits on the first or last sample

Circuit algebra (circuits.csv), w = 2 pi f, all quantities complex
    series resonator     Z = R + j(wL - 1/(wC))
    parallel resonator   Z = 1/(1/R + jwC + 1/(jwL))
    stray capacitance    Z <- 1/(1/Z + jwCs)            only if stray_f is not 0
    lossless line        g = (Z - Zc)/(Z + Zc) * exp(-2j w delay)
                         Z <- Zc (1 + g)/(1 - g)        only if line_delay_s is not 0
    at the meter         Gamma = (Z - Zref)/(Z + Zref)
    sample i of n        f = start_hz + i (stop_hz - start_hz)/(n - 1), a whole
                         number of hertz in every circuit of the table
Every circuit is invented.  None describes a real antenna or a real part.
"""

import math
import random
import sys
from pathlib import Path

import mpmath
from mpmath import mp, mpc, mpf

mp.dps = 50
HERE = Path(__file__).resolve().parent
DIGITS = 25
G_ONE = 1 << 30          # Gamma = 1 in reflection bits
Z_ONE = 1 << 12          # one ohm in impedance bits
I32_MIN, I32_MAX = -(1 << 31), (1 << 31) - 1
INF, NONE = "inf", "none"


def text(value):
    """A cell of the table: words and whole numbers pass, numbers get 25 digits."""
    if isinstance(value, (str, int)):
        return str(value)
    # A digit far behind the last one printed decides a tie away from zero: releases of mpmath round ties differently.
    return mpmath.nstr(value * (1 + mpf(10) ** -30), DIGITS)


def lg(value):
    return mpmath.log10(value)


def near(value):
    """Nearest integer to an mpmath number."""
    return int(mpmath.nint(value))


def polar_bits(radius, degrees):
    """Gamma bits nearest to radius at the given angle (radius in units of 1)."""
    a = mpf(degrees) * mp.pi / 180
    r = mpf(radius) * G_ONE
    return near(r * mpmath.cos(a)), near(r * mpmath.sin(a))


# --------------------------------------------------------------- reflection

# The columns after the input, each with what README.md says of it.
REFLECTION_COLUMNS = {
    "magnitude": "|Gamma|",
    "swr": "(1+|Gamma|)/(1-|Gamma|); `inf` on the rim, `none` beyond it",
    "return_loss_db": "-20 lg|Gamma|: positive inside the rim, negative beyond; `inf` at 0",
    "mismatch_loss_db": "-10 lg(1-|Gamma|^2); `inf` on the rim, `none` beyond it",
    "phase_deg": "in (-180, 180]; `none` for Gamma = 0",
    "resistance_ohm": "R of Z = Z0 (1+Gamma)/(1-Gamma); `none` for Gamma = 1",
    "reactance_ohm": "X of the same; `none` for Gamma = 1",
    "impedance_magnitude_ohm": "|Z|; `inf` for Gamma = 1",
    "q": "|X|/|R|; `inf` for R = 0, `none` for Gamma = 1 and Gamma = -1",
    "reflected_share": "|Gamma|^2",
    "absorbed_share": "1-|Gamma|^2: negative beyond the rim",
}

REFLECTION_HEAD = ["kind", "re_bits", "im_bits", "reference_bits", *REFLECTION_COLUMNS]


def reflection_answers(a, b, ref):
    """All outputs for Gamma = (a + jb)/2^30.  Whole numbers decide the special
    cases, so that rim points are told from near-rim points exactly."""
    one = G_ONE * G_ONE
    square = a * a + b * b                      # |Gamma|^2 * 2^60, exact
    left = one - square                         # (1 - |Gamma|^2) * 2^60, exact
    share = mpf(square) / one
    mag = mpmath.sqrt(share)
    z0 = mpf(ref) / Z_ONE
    if left > 0:
        swr = (1 + mag) ** 2 / (mpf(left) / one)
        mismatch = mpf(0) if square == 0 else -10 * lg(mpf(left) / one)
    elif left == 0:
        swr = mismatch = INF
    else:
        swr = mismatch = NONE
    loss = INF if square == 0 else (mpf(0) if left == 0 else -10 * lg(share))
    if square == 0:
        phase = NONE
    elif b == 0:
        phase = mpf(0 if a > 0 else 180)
    else:
        phase = mpmath.atan2(b, a) * 180 / mp.pi
    away = (G_ONE - a) ** 2 + b * b             # |1 - Gamma|^2 * 2^60, exact
    if away == 0:                               # Gamma = +1, the open circuit
        r = x = q = NONE
        size = INF
    else:
        r = z0 * left / away
        x = z0 * (2 * b * G_ONE) / away
        size = z0 * mpmath.sqrt(mpf((G_ONE + a) ** 2 + b * b) / away)
        if left != 0:
            q = mpf(abs(2 * b * G_ONE)) / abs(left)
        else:
            q = INF if b != 0 else NONE
    return [mag, swr, loss, mismatch, phase, r, x, size, q, share, mpf(left) / one]


def lattice_scan(start, count, side):
    """The integer point closest to the rim on one side of it, with re in
    start .. start+count and im > 0.  side +1 is inside, -1 outside."""
    best = None
    for a in range(start, start + count):
        rest = G_ONE * G_ONE - a * a
        if rest <= 1:
            continue
        b = math.isqrt(rest - 1)                # largest b strictly inside
        if side < 0:
            b += 1
            if a * a + b * b == G_ONE * G_ONE:
                b += 1
        gap = abs(rest - b * b)
        if best is None or gap < best[0]:
            best = (gap, a, b)
    return best[1], best[2]


def reflection_rows():
    rng = random.Random(20260)
    refs = [50 * Z_ONE] * 5 + [75 * Z_ONE, Z_ONE * 25 // 2, 300 * Z_ONE, 600 * Z_ONE]
    rows, seen = [], set()

    def put(kind, a, b, ref=None):
        a, b = int(a), int(b)
        if ref is None:
            ref = refs[int(rng.random() * len(refs))]
        assert I32_MIN <= a <= I32_MAX and I32_MIN <= b <= I32_MAX
        left = G_ONE * G_ONE - a * a - b * b
        if kind in ("disc", "ring", "edge_in", "rim_in", "tiny", "plain"):
            assert left > 0, (kind, a, b)
        if kind in ("edge_out", "rim_out", "beyond", "extreme"):
            assert left < 0, (kind, a, b)
        if (a, b, ref) in seen:
            return
        seen.add((a, b, ref))
        rows.append([kind, a, b, ref] + reflection_answers(a, b, ref))

    # Plain fractions a reader can check by hand: 1/2 -> SWR 3, 3/4 -> SWR 7.
    for num in (1, 2, 4, 8, 12, 14):
        put("plain", num * G_ONE // 16, 0, 50 * Z_ONE)
    put("plain", -G_ONE // 2, 0, 50 * Z_ONE)
    put("plain", 0, G_ONE // 2, 50 * Z_ONE)
    # Exact special points, the only four integer points on the rim and zero.
    for ref in (50 * Z_ONE, 75 * Z_ONE):
        for a, b in ((0, 0), (G_ONE, 0), (-G_ONE, 0), (0, G_ONE), (0, -G_ONE)):
            put("exact", a, b, ref)
    for a, b in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (2, 0),
                 (0, -2), (2, -1), (-2, -2), (3, 0), (-3, 0), (0, 3), (3, -3)):
        put("tiny", a, b)
    # Steps towards the rim.  On the axes 1-|Gamma| is 2^-k exactly; on the
    # oblique directions the nearest integer point on the wanted side is taken.
    for k in range(1, 31):
        put("edge_in", G_ONE - (1 << (30 - k)), 0, 50 * Z_ONE)
    few = (1, 4, 10, 18, 24, 28, 30)
    for k in few:
        s = G_ONE - (1 << (30 - k))
        for a, b in ((-s, 0), (0, s), (0, -s)):
            put("edge_in", a, b)
    for k in (2, 8, 15, 22, 27, 30):
        s = G_ONE + (1 << (30 - k))
        for a, b in ((s, 0), (-s, 0), (0, s)):
            put("edge_out", a, b)
    for degrees in ("45", "36.87", "-120", "178.5", "-3"):
        for k in (2, 8, 14, 20, 25, 28, 30):
            a, b = polar_bits(1 - mpf(2) ** -k, degrees)
            while a * a + b * b >= G_ONE * G_ONE:
                a -= (a > 0) - (a < 0)
            put("edge_in", a, b)
        for k in (6, 16, 24, 30):
            a, b = polar_bits(1 + mpf(2) ** -k, degrees)
            while a * a + b * b <= G_ONE * G_ONE:
                a += (a > 0) - (a < 0)
            put("edge_out", a, b)
    # Integer points far closer to the rim than one step of either component.
    for n, degrees in enumerate(("20", "70", "100", "160")):
        base = polar_bits(1, degrees)[0]
        flip = -1 if n % 2 else 1
        for side, kind in ((1, "rim_in"), (-1, "rim_out")):
            a, b = lattice_scan(base, 20000, side)
            put(kind, a, flip * b)
    for side, kind in ((1, "rim_in"), (-1, "rim_out")):
        a, b = lattice_scan(G_ONE - 400000, 400000, side)
        for p, q in ((a, b), (-a, -b), (b, -a)):
            put(kind, p, q, 50 * Z_ONE)
    # Beyond the rim.
    for _ in range(28):
        radius = 1 + rng.random()
        a, b = polar_bits(radius, rng.random() * 360 - 180)
        put("beyond", max(I32_MIN, min(I32_MAX, a)), max(I32_MIN, min(I32_MAX, b)))
    for a, b in ((I32_MIN, 0), (I32_MAX, 0), (0, I32_MIN), (0, I32_MAX),
                 (I32_MIN, I32_MIN), (I32_MAX, I32_MAX), (I32_MIN, I32_MAX),
                 (I32_MAX, I32_MIN), (I32_MIN, 1), (I32_MAX, -1), (G_ONE, 1),
                 (G_ONE, -1), (-G_ONE, 1), (1, G_ONE), (G_ONE, I32_MAX), (-G_ONE, I32_MIN)):
        put("extreme", a, b, 50 * Z_ONE)
    for radius in ("0.0001", "0.001", "0.01", "0.05", "0.1", "0.2", "0.3333333333",
                   "0.5", "0.6", "0.8", "0.9", "0.95", "0.99", "0.999"):
        for _ in range(5):
            put("ring", *polar_bits(radius, rng.random() * 360 - 180))
    while sum(r[0] == "disc" for r in rows) < 110:
        a = int((rng.random() * 2 - 1) * G_ONE)
        b = int((rng.random() * 2 - 1) * G_ONE)
        if a * a + b * b < G_ONE * G_ONE:
            put("disc", a, b)
    return REFLECTION_HEAD, rows


# ---------------------------------------------------------------- impedance

IMPEDANCE_HEAD = [
    "kind", "resistance_bits", "reactance_bits", "reference_bits", "gamma_re",
    "gamma_im", "magnitude", "swr", "parallel_resistance_ohm",
    "parallel_reactance_ohm", "conductance_s", "susceptance_s", "q",
    "impedance_magnitude_ohm",
]


def impedance_answers(r, x, ref):
    below = (r + ref) ** 2 + x * x               # |Z + Z0|^2, exact
    if below == 0:
        g_re = g_im = swr = NONE
        mag = INF
    else:
        g_re = mpf(r * r + x * x - ref * ref) / below
        g_im = mpf(2 * x * ref) / below
        mag = mpmath.sqrt(mpf((r - ref) ** 2 + x * x) / below)
        if r > 0:
            swr = (1 + mag) ** 2 * below / mpf(4 * r * ref)
        else:
            swr = INF if r == 0 else NONE
    square = r * r + x * x
    if square == 0:                              # the short circuit
        rp = xp = g = b = q = NONE
    else:
        rp = mpf(square) / (r * Z_ONE) if r else INF
        xp = mpf(square) / (x * Z_ONE) if x else INF
        g = mpf(r * Z_ONE) / square
        b = mpf(-x * Z_ONE) / square
        q = mpf(abs(x)) / abs(r) if r else INF
    return [g_re, g_im, mag, swr, rp, xp, g, b, q, mpmath.sqrt(mpf(square)) / Z_ONE]


def impedance_rows():
    rng = random.Random(40961)
    refs = [50 * Z_ONE] * 5 + [75 * Z_ONE, Z_ONE * 25 // 2, 300 * Z_ONE, 600 * Z_ONE]
    rows, seen = [], set()
    fifty, top = 50 * Z_ONE, I32_MAX - 1

    def put(kind, r, x, ref=None):
        if ref is None:
            ref = refs[int(rng.random() * len(refs))]
        assert abs(r) <= top and abs(x) <= top
        if (r, x, ref) in seen:
            return
        seen.add((r, x, ref))
        rows.append([kind, r, x, ref] + impedance_answers(r, x, ref))

    def decade():
        """Log-uniform between 1e-3 and 5e5 ohm, in bits."""
        low, high = mpmath.log(mpf("0.001")), mpmath.log(mpf(500000))
        return near(mpmath.exp(low + (high - low) * mpf(rng.random())) * Z_ONE)

    def sign():
        return 1 if rng.random() < 0.5 else -1

    # Values worked by hand in any textbook: 100 ohm -> SWR 2, 25 ohm -> SWR 2,
    # 50+j50 ohm -> Gamma 0.2+0.4j, 25 ohm in 50 -> Gamma -1/3.
    for r, x in ((100, 0), (25, 0), (150, 0), (75, 0), (50, 50), (50, -50), (100, 100),
                 (25, -25), (30, 40), (50, 100), (10, 20), (200, -100)):
        put("plain", r * Z_ONE, x * Z_ONE, fifty)
    for ref in sorted(set(refs)):
        put("match", ref, 0, ref)
    for dr, dx in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1),
                   (2, 0), (-2, 0), (0, 3), (3, -2)):
        put("step", fifty + dr, dx, fifty)
    for ref in (fifty, 75 * Z_ONE, 600 * Z_ONE):
        put("short", 0, 0, ref)
    for x in (1, -1, fifty, -fifty, 75 * Z_ONE, top, -top):
        put("lossless", 0, x, fifty)
    for _ in range(9):
        put("lossless", 0, sign() * decade())
    for r in (1, 2, 3, top, top // 2):
        put("resistive", r, 0, fifty)
    for _ in range(15):
        put("resistive", decade(), 0)
    for r, x in ((top, top), (top, -top), (1, top), (1, -top), (top, 1), (top, -1),
                 (-top, 0), (-top, top), (-top, -top), (-1, top), (-1, 1), (1, 1), (1, -1)):
        put("extreme", r, x, fifty)
    put("pole", -fifty, 0, fifty)
    put("pole", -75 * Z_ONE, 0, 75 * Z_ONE)
    for dr, dx in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        put("beyond", -fifty + dr, dx, fifty)
    put("beyond", -fifty, fifty, fifty)
    for _ in range(22):
        put("beyond", -decade(), sign() * decade())
    while sum(k[0] == "usual" for k in rows) < 40:
        put("usual", int((1 + rng.random() * 499) * Z_ONE),
            int((rng.random() * 1000 - 500) * Z_ONE))
    while sum(k[0] == "decades" for k in rows) < 105:
        put("decades", decade(), sign() * decade())
    return IMPEDANCE_HEAD, rows


# ----------------------------------------------- complex source, new reference

COMPLEX_HEAD = [
    "kind", "source_resistance_ohm", "source_reactance_ohm", "load_resistance_ohm",
    "load_reactance_ohm", "wave_re", "wave_im", "transducer_fraction", "re_bits",
    "im_bits", "reference1_bits", "reference2_bits", "moved_re", "moved_im",
]


def complex_answers(rs, xs, rl, xl):
    """Arguments in bits of 2^-12 ohm.  (Zl - conj Zs)/(Zl + Zs) and 4 Rs Rl/|Zs+Zl|^2."""
    total_r, total_x = rs + rl, xs + xl
    size = total_r ** 2 + total_x ** 2
    if size == 0:
        return [NONE, NONE, NONE]
    # numerator (rl - rs) + j(xl + xs), times conj of the denominator
    re = mpf((rl - rs) * total_r + total_x * total_x) / size
    im = mpf(total_x * total_r - (rl - rs) * total_x) / size
    return [re, im, mpf(4 * rs * rl) / size]


def moved_answers(a, b, ref1, ref2):
    """The same impedance seen against another real reference.  With
    s = ref2+ref1, d = ref2-ref1:  Gamma' = (Gamma s - d)/(s - Gamma d)."""
    s, d = ref2 + ref1, ref2 - ref1
    low_re, low_im = s * G_ONE - a * d, -b * d
    size = low_re ** 2 + low_im ** 2
    if size == 0:
        return [NONE, NONE]
    up_re, up_im = a * s - d * G_ONE, b * s
    return [mpf(up_re * low_re + up_im * low_im) / size,
            mpf(up_im * low_re - up_re * low_im) / size]


def complex_rows():
    rng = random.Random(1965)
    rows = []
    fifty = 50 * Z_ONE
    refs = [fifty, 75 * Z_ONE, Z_ONE * 25 // 2, 300 * Z_ONE, 600 * Z_ONE]

    def put(kind, load, moved):
        rs, xs, rl, xl = load
        exact = [repr(v / Z_ONE) for v in load]
        assert all(float(e) * Z_ONE == v for e, v in zip(exact, load)) and rs > 0
        assert moved[2] > 0 and moved[3] > 0
        rows.append([kind] + exact + complex_answers(rs, xs, rl, xl)
                    + list(moved) + moved_answers(*moved))

    o = Z_ONE
    put("conjugate", (fifty, 0, fifty, 0), (0, 0, fifty, fifty))
    put("conjugate", (20 * o, 35 * o, 20 * o, -35 * o), (0, 0, fifty, 75 * o))
    put("conjugate", (3 * o // 2, -410 * o, 3 * o // 2, 410 * o), (0, 0, fifty, 300 * o))
    put("equal", (20 * o, 35 * o, 20 * o, 35 * o), (G_ONE // 2, 0, fifty, fifty))
    put("equal", (60 * o, -25 * o, 60 * o, -25 * o), (-G_ONE // 4, G_ONE // 2, 75 * o, 75 * o))
    put("short", (fifty, 0, 0, 0), (-G_ONE, 0, fifty, 75 * o))
    put("short", (30 * o, 40 * o, 0, 0), (-G_ONE, 0, 300 * o, 75 * o))
    put("lossless", (fifty, 10 * o, 0, 25 * o), (0, G_ONE, fifty, 75 * o))
    put("lossless", (fifty, 10 * o, 0, -10 * o), (0, -G_ONE, fifty, 600 * o))
    put("lossless", (75 * o, -10 * o, 0, -300 * o), (G_ONE, 0, fifty, 600 * o))
    put("real", (fifty, 0, 100 * o, 0), (G_ONE // 2, 0, fifty, 75 * o))
    put("real", (fifty, 0, 25 * o, 0), (-G_ONE // 2, 0, 75 * o, fifty))
    put("step", (fifty, 0, fifty + 1, 0), (1, 0, fifty, 75 * o))
    put("step", (20 * o, 35 * o, 20 * o, -35 * o + 1), (0, 1, fifty, fifty + 1))
    put("step", (20 * o, 35 * o, 20 * o - 1, -35 * o), (1, -1, fifty + 1, fifty))
    put("beyond", (fifty, 10 * o, -20 * o, 5 * o), (3 * G_ONE // 2, 0, fifty, 75 * o))
    put("beyond", (fifty, -10 * o, -80 * o, 60 * o), (G_ONE, G_ONE, fifty, 300 * o))
    put("beyond", (75 * o, 0, -75 * o, 1), (-3 * G_ONE // 2, G_ONE // 8, fifty, 12 * o + o // 2))
    # Zl = -Zs; and Gamma 3/2 against 60 ohm is -300 ohm, the pole for 300 ohm.
    put("pole", (fifty, 10 * o, -fifty, -10 * o), (3 * G_ONE // 2, 0, 60 * o, 300 * o))
    while len(rows) < 80:
        def pick(low, high):
            span = mpmath.log(mpf(high) / low)
            return near(low * mpmath.exp(span * mpf(rng.random())) * Z_ONE)

        load = (pick(1, 1000), near((mpf(rng.random()) * 2 - 1) * 500 * Z_ONE),
                pick(1, 1000), near((mpf(rng.random()) * 2 - 1) * 500 * Z_ONE))
        while True:
            a = int((rng.random() * 2 - 1) * G_ONE)
            b = int((rng.random() * 2 - 1) * G_ONE)
            if a * a + b * b < G_ONE * G_ONE:
                break
        first = refs[int(rng.random() * 5)]
        second = refs[int(rng.random() * 5)]
        put("random", load, (a, b, first, second))
    return COMPLEX_HEAD, rows


# ----------------------------------------------------------------- circuits

CIRCUIT_HEAD = [
    "name", "resonator", "resistance_ohm", "inductance_h", "capacitance_f", "stray_f",
    "line_ohm", "line_delay_s", "reference_ohm", "start_hz", "stop_hz", "points",
    "lowest_place", "lowest_hz", "lowest_magnitude", "lowest_swr", "band_low_hz",
    "band_high_hz", "minima_hz", "minima_magnitude", "crossing_hz",
    "crossing_resistance_ohm", "crossing_slope", "target_hz", "target_re", "target_im",
]

M = 1_000_000
K = 1_000
# resonator, design MHz, design Q, R, stray pF, line ohm, line ns, start, stop, points, target
CIRCUIT_PLAN = [
    # series, bare
    ("series", 145.0, 10, 50, 0, 0, 0, 100 * M, 200 * M, 201, 146 * M),
    ("series", 131.3, 3, 36, 0, 0, 0, 100 * M, 200 * M, 101, 120 * M),
    ("series", 118.7, 25, 72, 0, 0, 0, 100 * M, 140 * M, 401, 119 * M),
    ("series", 160.2, 40, 42, 0, 0, 0, 150 * M, 170 * M, 201, 161 * M),
    ("series", 150.4, 12, 10, 0, 0, 0, 100 * M, 200 * M, 201, 150 * M),
    ("series", 171.9, 6, 120, 0, 0, 0, 100 * M, 200 * M, 51, 180 * M),
    # parallel, bare
    ("parallel", 145.6, 10, 50, 0, 0, 0, 100 * M, 200 * M, 201, 144 * M),
    ("parallel", 127.1, 5, 75, 0, 0, 0, 100 * M, 200 * M, 101, 130 * M),
    ("parallel", 183.3, 20, 28, 0, 0, 0, 160 * M, 200 * M, 401, 185 * M),
    ("parallel", 110.9, 3, 250, 0, 0, 0, 100 * M, 200 * M, 201, 112 * M),
    ("parallel", 155.5, 40, 62, 0, 0, 0, 145 * M, 165 * M, 1001, 156 * M),
    # stray capacitance across the resonator
    ("series", 148.0, 8, 45, 1.5, 0, 0, 100 * M, 200 * M, 201, 149 * M),
    ("series", 122.6, 5, 30, 4.7, 0, 0, 100 * M, 200 * M, 201, 125 * M),
    ("series", 138.2, 15, 68, 0.8, 0, 0, 100 * M, 200 * M, 401, 140 * M),
    ("series", 165.1, 4, 95, 2.2, 0, 0, 100 * M, 200 * M, 101, 150 * M),
    ("series", 112.4, 20, 18, 3.3, 0, 0, 100 * M, 130 * M, 301, 113 * M),
    ("parallel", 140.3, 7, 55, 3.3, 0, 0, 100 * M, 200 * M, 201, 140 * M),
    ("parallel", 175.8, 9, 110, 1.2, 0, 0, 100 * M, 200 * M, 201, 170 * M),
    # a line of 50 ohm: turns Gamma, leaves |Gamma|
    ("series", 145.0, 10, 40, 0, 50, 4.15, 100 * M, 200 * M, 201, 146 * M),
    ("series", 152.7, 6, 60, 1.5, 50, 12.3, 100 * M, 200 * M, 401, 155 * M),
    ("parallel", 133.9, 12, 44, 0, 50, 2.05, 100 * M, 200 * M, 201, 135 * M),
    ("parallel", 168.4, 4, 80, 2.2, 50, 26.7, 100 * M, 200 * M, 1001, 160 * M),
    # a line of another impedance: moves the minimum and can make several
    ("series", 145.3, 10, 50, 0, 75, 4.15, 100 * M, 200 * M, 201, 144 * M),
    ("series", 150.1, 3, 35, 1.0, 75, 18.6, 100 * M, 200 * M, 401, 140 * M),
    ("series", 128.8, 5, 100, 0, 75, 31.2, 100 * M, 200 * M, 1001, 129 * M),
    ("parallel", 141.7, 3, 90, 0, 75, 22.4, 100 * M, 200 * M, 401, 150 * M),
    ("parallel", 158.6, 8, 30, 0, 35, 3.1, 100 * M, 200 * M, 201, 160 * M),
    ("parallel", 119.2, 6, 150, 1.8, 93, 9.9, 100 * M, 200 * M, 201, 121 * M),
    ("series", 186.5, 18, 15, 2.7, 25, 1.35, 150 * M, 200 * M, 501, 187 * M),
    # the minimum outside the sweep, or the band running out of it
    ("series", 92.0, 5, 48, 0, 0, 0, 100 * M, 200 * M, 201, 101 * M),
    ("series", 209.0, 6, 52, 1.0, 50, 3.7, 100 * M, 200 * M, 201, 199 * M),
    ("series", 102.0, 4, 47, 0, 0, 0, 100 * M, 200 * M, 201, 103 * M),
    ("parallel", 197.5, 5, 58, 0, 0, 0, 100 * M, 200 * M, 201, 195 * M),
    ("series", 149.7, 3, 51, 0, 0, 0, 145 * M, 155 * M, 101, 146 * M),
    ("series", 150.1, 3, 35, 1.0, 75, 18.6, 160 * M, 200 * M, 201, 170 * M),
    # other bands
    ("series", 3.573, 12, 37, 0, 0, 0, 3 * M, 4 * M, 201, 3650 * K),
    ("parallel", 3.61, 20, 65, 0, 75, 95.0, 3 * M, 4 * M, 401, 3600 * K),
    ("series", 14.17, 9, 58, 6.8, 0, 0, 13 * M, 15 * M, 201, 14200 * K),
    ("parallel", 14.05, 30, 46, 0, 50, 61.0, 13500 * K, 14500 * K, 101, 14100 * K),
    ("series", 433.6, 11, 54, 0.3, 0, 0, 400 * M, 470 * M, 351, 434 * M),
    ("parallel", 434.2, 25, 39, 0, 50, 2.6, 410 * M, 460 * M, 501, 433 * M),
    ("series", 431.5, 7, 85, 0.2, 75, 7.7, 380 * M, 480 * M, 401, 433 * M),
]


def short_number(value):
    """A component value of five digits, as the double its print stands for."""
    return float("%.4e" % value)


class Circuit:
    """One invented one-port.  All parameters are doubles; f64 maths finds the
    brackets, mpmath finds the roots."""

    def __init__(self, number, plan):
        (self.shape, mhz, q, r, stray, zc, delay, self.start, self.stop,
         self.points, self.target) = plan
        self.name = "invented-%02d" % number
        w = 2 * math.pi * mhz * 1e6
        self.r = float(r)
        if self.shape == "series":
            self.l, self.c = short_number(q * r / w), short_number(1 / (w * q * r))
        else:
            self.l, self.c = short_number(r / (q * w)), short_number(q / (r * w))
        self.stray = short_number(stray * 1e-12)
        self.zc = float(zc)
        self.delay = short_number(delay * 1e-9)
        self.ref = 50.0
        assert (self.stop - self.start) % (self.points - 1) == 0

    def gamma(self, f, exact):
        """Gamma and its derivative by w, by the algebra of the header."""
        if exact:
            pi, num, j, exp = mp.pi, mpf, mpc(0, 1), mpmath.exp
        else:
            import cmath
            pi, num, j, exp = math.pi, float, 1j, cmath.exp
        w = 2 * pi * num(f)
        r, ind, cap = num(self.r), num(self.l), num(self.c)
        if self.shape == "series":
            z = r + j * (w * ind - 1 / (w * cap))
            dz = j * (ind + 1 / (w * w * cap))
        else:
            y = 1 / r + j * (w * cap - 1 / (w * ind))
            dy = j * (cap + 1 / (w * w * ind))
            z, dz = 1 / y, -dy / (y * y)
        if self.stray:
            y = 1 / z + j * w * num(self.stray)
            dy = -dz / (z * z) + j * num(self.stray)
            z, dz = 1 / y, -dy / (y * y)
        if self.delay:
            zc, t = num(self.zc), num(self.delay)
            turn = exp(-2 * j * w * t)
            g = (z - zc) / (z + zc)
            dg = 2 * zc * dz / (z + zc) ** 2
            g, dg = g * turn, dg * turn - 2 * j * t * g * turn
            z, dz = zc * (1 + g) / (1 - g), 2 * zc * dg / (1 - g) ** 2
        ref = num(self.ref)
        return (z - ref) / (z + ref), 2 * ref * dz / (z + ref) ** 2

    def slope(self, f, exact=True):
        """Half of d|Gamma|^2/dw: its upward zeros are the minima."""
        g, dg = self.gamma(f, exact)
        return g.real * dg.real + g.imag * dg.imag

    def imaginary(self, f, exact=True):
        return self.gamma(f, exact)[0].imag

    def over_two(self, f, exact=True):
        """Positive where SWR > 2, that is |Gamma| > 1/3."""
        g = self.gamma(f, exact)[0]
        return g.real ** 2 + g.imag ** 2 - (mpf(1) / 9 if exact else 1 / 9)


def halve(function, low, high):
    """Root between two points of opposite sign, by halving to 40 digits."""
    low, high = mpf(low), mpf(high)
    at_low, at_high = function(low), function(high)
    assert at_low * at_high < 0
    while (high - low) > high * mpf(10) ** -40:
        mid = (low + high) / 2
        at_mid = function(mid)
        if at_mid == 0:
            return mid
        if (at_mid > 0) == (at_low > 0):
            low = mid
        else:
            high = mid
    return (low + high) / 2


def roots(function, start, stop, cells):
    """All sign changes on a dense grid, each with its direction."""
    grid = [start + (stop - start) * i / cells for i in range(cells + 1)]
    sign = [function(f, False) > 0 for f in grid]
    found = []
    for i in range(cells):
        if sign[i] == sign[i + 1]:
            continue
        low, high = grid[i], grid[i + 1]
        # a grid point on the very root may carry either sign in f64: widen
        if (function(low) > 0) == (function(high) > 0):
            low, high = grid[max(0, i - 1)], grid[min(cells, i + 2)]
        root = halve(function, low, high)
        found.append((root, 1 if function(high) > 0 else -1))
    span = stop - start
    for f, _ in found:                    # no answer may hang on the sweep's edge
        assert min(f - start, stop - f) > span * 1e-5
    for (f, _), (g, _) in zip(found, found[1:]):
        assert g - f > span * 1e-4
    return found


def circuit_row(circuit, cells=6007):
    c = circuit
    extremes = roots(c.slope, c.start, c.stop, cells)
    crossings = roots(c.imaginary, c.start, c.stop, cells)
    rims = roots(c.over_two, c.start, c.stop, cells)

    def magnitude(f):
        m = abs(c.gamma(f, True)[0])
        return mpf(0) if m < mpf(10) ** -30 else m

    for f in [c.start, c.stop] + [e[0] for e in extremes]:
        assert abs(magnitude(f) - mpf(1) / 3) > 1e-3, c.name   # SWR 2 is never grazed
    minima = [(f, magnitude(f)) for f, way in extremes if way > 0]
    rivals = [("interior", f, m) for f, m in minima]
    rivals += [("start", mpf(c.start), magnitude(c.start)),
               ("stop", mpf(c.stop), magnitude(c.stop))]
    rivals.sort(key=lambda item: item[2])
    place, lowest, depth = rivals[0]
    assert rivals[1][2] - depth > 1e-3, (c.name, "two minima too alike")
    if depth > mpf(1) / 3:
        low = high = NONE
    else:
        below = [f for f, _ in rims if f < lowest]
        above = [f for f, _ in rims if f > lowest]
        low = below[-1] if below else "open"
        high = above[0] if above else "open"

    def joined(values):
        return ";".join(text(v) for v in values) if values else NONE

    resistances = []
    for f, _ in crossings:
        g = c.gamma(f, True)[0]
        assert abs(g.imag) < 1e-30
        resistances.append(mpf(c.ref) * (1 + g.real) / (1 - g.real))
    target = c.gamma(c.target, True)[0]
    return [
        c.name, c.shape, repr(c.r), repr(c.l), repr(c.c), repr(c.stray), repr(c.zc),
        repr(c.delay), repr(c.ref), c.start, c.stop, c.points, place,
        lowest if place == "interior" else "edge", depth, (1 + depth) / (1 - depth),
        low, high, joined([f for f, _ in minima]), joined([m for _, m in minima]),
        joined([f for f, _ in crossings]), joined(resistances),
        joined(["+" if way > 0 else "-" for _, way in crossings]),
        c.target, target.real, target.imag,
    ]


def circuit_rows():
    # X = Zref 2 Im Gamma/|1-Gamma|^2, and |Gamma| < 1 in every circuit here: so
    # X and Im Gamma change sign together and in the same direction.
    return CIRCUIT_HEAD, [circuit_row(Circuit(n, plan))
                          for n, plan in enumerate(CIRCUIT_PLAN, 1)]


TABLES = {
    "reflection_vectors.csv": reflection_rows,
    "impedance_vectors.csv": impedance_rows,
    "complex_source_vectors.csv": complex_rows,
    "circuits.csv": circuit_rows,
}


def described():
    """README.md with the table of columns between its markers."""
    begin, end = "<!-- columns:begin -->\n", "<!-- columns:end -->"
    page = (HERE / "README.md").read_text(encoding="ascii")
    before, rest = page.split(begin)
    after = rest.split(end)[1]
    lines = ["| column | value |\n", "|---|---|\n"]
    for name, meaning in REFLECTION_COLUMNS.items():
        lines.append("| `%s` | %s |\n" % (name, meaning.replace("|", "\\|")))
    return before + begin + "".join(lines) + end + after


def render(head, rows):
    lines = [",".join(head)]
    for row in rows:
        assert len(row) == len(head)
        lines.append(",".join(text(v) for v in row))
    return ("\n".join(lines) + "\n").encode("ascii")


# -------------------------------------------------------------------- check
# An independent computation: numpy doubles, other routes to the same numbers
# (complex division, chain matrices), reading the files as a test would.

def check():
    import numpy as np

    failures = []
    summary = []

    def load(name):
        lines = (HERE / name).read_text(encoding="ascii").splitlines()
        head = lines[0].split(",")
        table = [dict(zip(head, line.split(","))) for line in lines[1:]]
        assert all(len(line.split(",")) == len(head) for line in lines)
        return table

    def number(cell):
        return float("nan") if cell == NONE else float(cell)

    class Worst:
        def __init__(self, name, limit):
            self.name, self.limit, self.values = name, limit, {}

        def compare(self, row, column, got, want, scale=None):
            """Relative difference, or relative to scale where one is given."""
            got, want = float(got), float(want)
            if math.isnan(want) or math.isinf(want) or math.isnan(got) or math.isinf(got):
                ok = got == want or (math.isnan(got) and math.isnan(want))
                gap = 0.0 if ok else float("inf")
            else:
                size = abs(want) if scale is None else scale
                gap = 0.0 if got == want else abs(got - want) / (size or 1e-300)
            self.values[column] = max(self.values.get(column, 0.0), gap)
            if not gap <= self.limit:
                failures.append("%s %s %s: got %r want %r" % (self.name, row, column, got, want))

        def done(self, rows):
            top = max(self.values, key=self.values.get)
            compared = "%s: %d rows, worst %.2e in %s (limit %.0e)" % (
                self.name, rows, self.values[top], top, self.limit)
            summary.append(compared)
            for column in sorted(self.values):
                summary.append("    %-26s %.2e" % (column, self.values[column]))

    np.seterr(all="ignore")

    # -- reflection
    table = load("reflection_vectors.csv")
    worst = Worst("reflection_vectors.csv", 2e-14)
    for n, row in enumerate(table, 2):
        a, b = int(row["re_bits"]), int(row["im_bits"])
        z0 = np.float64(int(row["reference_bits"])) / 4096
        g = np.complex128(complex(a / 2.0 ** 30, b / 2.0 ** 30))
        m = np.hypot(g.real, g.imag)
        # 1-|Gamma|^2 cancels in doubles: take the difference in 64-bit integers
        square = np.uint64(abs(a)) ** np.uint64(2) + np.uint64(abs(b)) ** np.uint64(2)
        one = np.uint64(1 << 60)
        left = (np.float64(one - square) if square <= one else -np.float64(square - one)) / 2.0 ** 60
        near_rim = abs(left) < 0.5
        worst.compare(n, "magnitude", m, number(row["magnitude"]))
        worst.compare(n, "reflected_share", abs(g) ** 2, number(row["reflected_share"]))
        worst.compare(n, "absorbed_share", left, number(row["absorbed_share"]))
        swr = (1 + m) / (left / (1 + m)) if left >= 0 else np.nan
        worst.compare(n, "swr", swr, number(row["swr"]))
        loss = -10 / np.log(10) * (np.log1p(-left) if near_rim else np.log(m) * 2)
        worst.compare(n, "return_loss_db", loss, number(row["return_loss_db"]))
        small = m < 0.5
        mismatch = (-10 / np.log(10) * (np.log1p(-m * m) if small else np.log(left))
                    if left >= 0 else np.nan)
        worst.compare(n, "mismatch_loss_db", mismatch, number(row["mismatch_loss_db"]))
        phase = np.degrees(np.angle(g)) if m else np.nan
        worst.compare(n, "phase_deg", phase, number(row["phase_deg"]))
        if g == 1:
            z = complex(np.nan, np.nan)
            size, r, q = np.inf, np.nan, np.nan
        else:
            z = z0 * (1 + g) / (1 - g)
            size = abs(z)
            r = z0 * left / abs(1 - g) ** 2
            q = abs(z.imag) / abs(r) if (r or z.imag) else np.nan
            worst.compare(n, "resistance_by_division", z.real, number(row["resistance_ohm"]), size)
        worst.compare(n, "resistance_ohm", r, number(row["resistance_ohm"]))
        worst.compare(n, "reactance_ohm", z.imag, number(row["reactance_ohm"]))
        worst.compare(n, "impedance_magnitude_ohm", size, number(row["impedance_magnitude_ohm"]))
        worst.compare(n, "q", q, number(row["q"]))
    worst.done(len(table))

    # -- impedance
    table = load("impedance_vectors.csv")
    worst = Worst("impedance_vectors.csv", 2e-14)
    for n, row in enumerate(table, 2):
        r, x, z0 = (np.float64(int(row[k])) / 4096
                    for k in ("resistance_bits", "reactance_bits", "reference_bits"))
        z = np.complex128(complex(r, x))
        if z + z0 == 0:
            g, m, swr = complex(np.nan, np.nan), np.inf, np.nan
        else:
            g = (z - z0) / (z + z0)
            m = abs(z - z0) / abs(z + z0)
            swr = ((abs(z + z0) + abs(z - z0)) ** 2 / (4 * r * z0) if r > 0
                   else (np.inf if r == 0 else np.nan))
        worst.compare(n, "gamma_re", g.real, number(row["gamma_re"]), m if np.isfinite(m) else None)
        worst.compare(n, "gamma_im", g.imag, number(row["gamma_im"]), m if np.isfinite(m) else None)
        worst.compare(n, "magnitude", m, number(row["magnitude"]))
        worst.compare(n, "swr", swr, number(row["swr"]))
        if z == 0:
            y, rp, xp, q = complex(np.nan, np.nan), np.nan, np.nan, np.nan
        else:
            y = 1 / z
            rp = r + x * (x / r) if r else np.inf
            xp = x + r * (r / x) if x else np.inf
            q = abs(x) / abs(r) if r else np.inf
        worst.compare(n, "conductance_s", y.real, number(row["conductance_s"]))
        worst.compare(n, "susceptance_s", y.imag, number(row["susceptance_s"]))
        worst.compare(n, "parallel_resistance_ohm", rp, number(row["parallel_resistance_ohm"]))
        worst.compare(n, "parallel_reactance_ohm", xp, number(row["parallel_reactance_ohm"]))
        worst.compare(n, "q", q, number(row["q"]))
        worst.compare(n, "impedance_magnitude_ohm", np.hypot(r, x),
                      number(row["impedance_magnitude_ohm"]))
    worst.done(len(table))

    # -- complex source and new reference
    table = load("complex_source_vectors.csv")
    worst = Worst("complex_source_vectors.csv", 2e-14)
    for n, row in enumerate(table, 2):
        zs = complex(float(row["source_resistance_ohm"]), float(row["source_reactance_ohm"]))
        zl = complex(float(row["load_resistance_ohm"]), float(row["load_reactance_ohm"]))
        zs, zl = np.complex128(zs), np.complex128(zl)
        if zs + zl == 0:
            wave, share = complex(np.nan, np.nan), np.nan
        else:
            wave = (zl - np.conj(zs)) / (zl + zs)
            # power from a source of 1 V through the current, over the available power
            current = 1 / (zs + zl)
            share = abs(current) ** 2 * zl.real / (1 / (4 * zs.real))
            worst.compare(n, "1-|wave|^2", 1 - abs(wave) ** 2,
                          number(row["transducer_fraction"]), 1 + abs(wave) ** 2)
        worst.compare(n, "wave_re", wave.real, number(row["wave_re"]), abs(wave))
        worst.compare(n, "wave_im", wave.imag, number(row["wave_im"]), abs(wave))
        worst.compare(n, "transducer_fraction", share, number(row["transducer_fraction"]))
        g = np.complex128(complex(int(row["re_bits"]), int(row["im_bits"])) / 2.0 ** 30)
        one, two = int(row["reference1_bits"]) / 4096, int(row["reference2_bits"]) / 4096
        if g == 1:
            moved = np.complex128(1)
        else:
            z = one * (1 + g) / (1 - g)
            moved = (z - two) / (z + two) if z + two != 0 else complex(np.nan, np.nan)
        worst.compare(n, "moved_re", moved.real, number(row["moved_re"]), max(abs(moved), 1))
        worst.compare(n, "moved_im", moved.imag, number(row["moved_im"]), max(abs(moved), 1))
    worst.done(len(table))

    # -- circuits: chain matrices instead of the stepwise algebra
    table = load("circuits.csv")
    worst = Worst("circuits.csv", 1e-11)
    place_error = 0.0
    minima_count = crossing_count = anchored = 0
    for row in table:
        r, ind, cap, stray, zc, delay, ref = (float(row[k]) for k in (
            "resistance_ohm", "inductance_h", "capacitance_f", "stray_f", "line_ohm",
            "line_delay_s", "reference_ohm"))

        def gamma(f, row=row, r=r, ind=ind, cap=cap, stray=stray, zc=zc, delay=delay, ref=ref):
            w = 2 * np.pi * np.asarray(f, dtype=np.float64)
            if row["resonator"] == "series":
                volt, amp = r + 1j * w * ind + 1 / (1j * w * cap), np.ones_like(w) + 0j
            else:
                volt, amp = np.ones_like(w) + 0j, 1 / r + 1j * w * cap + 1 / (1j * w * ind)
            amp = amp + 1j * w * stray * volt
            if delay:
                cos, sin = np.cos(w * delay), np.sin(w * delay)
                volt, amp = volt * cos + 1j * zc * sin * amp, 1j * sin / zc * volt + cos * amp
            return (volt - ref * amp) / (volt + ref * amp)

        def numbers(column, row=row):
            return [] if row[column] == NONE else [float(v) for v in row[column].split(";")]

        name = row["name"]
        start, stop = float(row["start_hz"]), float(row["stop_hz"])
        grid = np.linspace(start, stop, 200001)
        step = grid[1] - grid[0]
        g = gamma(grid)
        m = np.abs(g)
        # local minima on the dense grid, each refined by a parabola
        inner = np.flatnonzero((m[1:-1] < m[:-2]) & (m[1:-1] <= m[2:])) + 1
        listed = numbers("minima_hz")
        minima_count += len(listed)
        worst.compare(name, "count of minima", len(inner), len(listed))
        for i, f, depth in zip(inner, listed, numbers("minima_magnitude")):
            span = m[i - 1] ** 2 - 2 * m[i] ** 2 + m[i + 1] ** 2
            place = grid[i] + step * 0.5 * (m[i - 1] ** 2 - m[i + 1] ** 2) / span
            place_error = max(place_error, abs(place - f) / f)
            worst.compare(name, "minima_magnitude", np.abs(gamma(f)), depth, 1)
        i = int(np.argmin(m))
        spot = {0: "start", len(grid) - 1: "stop"}.get(i, "interior")
        worst.compare(name, "lowest_place", 0, 0 if spot == row["lowest_place"] else 1)
        if spot == "interior":
            at = float(row["lowest_hz"])
            worst.compare(name, "lowest_hz within a cell", abs(at - grid[i]) <= step, 1)
            worst.compare(name, "lowest_hz in minima", row["lowest_hz"] in row["minima_hz"].split(";"), 1)
        else:
            at = grid[i]
            worst.compare(name, "lowest_hz edge", row["lowest_hz"] == "edge", 1)
        depth = float(np.abs(gamma(at)))
        worst.compare(name, "lowest_magnitude", depth, float(row["lowest_magnitude"]), 1)
        worst.compare(name, "lowest_swr", (1 + depth) / (1 - depth), float(row["lowest_swr"]))
        # textbook anchor: without a shift of the resistance (stray across a series
        # circuit, line of another impedance) the minimum is the resonance itself,
        # 1/(2 pi sqrt(LC)), and |Gamma| there is |R - Zref|/(R + Zref)
        bare = not delay or zc == ref
        if spot == "interior" and bare and not (row["resonator"] == "series" and stray):
            total = cap + stray
            worst.compare(name, "resonance", 1 / (2 * np.pi * np.sqrt(ind * total)), at)
            worst.compare(name, "resonance depth", abs(r - ref) / (r + ref),
                          float(row["lowest_magnitude"]), 1)
            anchored += 1
        # the band: walk outwards on the grid
        for column, walk in (("band_low_hz", range(i, -1, -1)), ("band_high_hz", range(i, len(grid)))):
            cell = row[column]
            if m[i] > 1 / 3:
                worst.compare(name, column + " word", cell == NONE, 1)
                continue
            out = next((k for k in walk if m[k] > 1 / 3), None)
            if out is None:
                worst.compare(name, column + " word", cell == "open", 1)
            else:
                f = float(cell)
                worst.compare(name, column + " within a cell", abs(f - grid[out]) <= step, 1)
                edge = float(np.abs(gamma(f)))
                worst.compare(name, column + " SWR 2", (1 + edge) / (1 - edge), 2)
        # crossings
        signs = g.imag > 0
        flips = np.flatnonzero(signs[1:] != signs[:-1])
        listed = numbers("crossing_hz")
        crossing_count += len(listed)
        worst.compare(name, "count of crossings", len(flips), len(listed))
        slopes = [] if row["crossing_slope"] == NONE else row["crossing_slope"].split(";")
        for k, f, ohm, way in zip(flips, listed, numbers("crossing_resistance_ohm"), slopes):
            worst.compare(name, "crossing_hz within a cell",
                          grid[k] - 0.01 * step <= f <= grid[k + 1] + 0.01 * step, 1)
            at = gamma(f)
            z = ref * (1 + at) / (1 - at)
            worst.compare(name, "crossing_resistance", z.real, ohm)
            worst.compare(name, "crossing_reactance", z.imag, 0, abs(z))
            h = 1e-6 * f
            sides = [(ref * (1 + v) / (1 - v)).imag for v in (gamma(f - h), gamma(f + h))]
            worst.compare(name, "crossing_slope", sides[1] > sides[0], way == "+")
        at = gamma(float(row["target_hz"]))
        worst.compare(name, "target_re", at.real, float(row["target_re"]), 1)
        worst.compare(name, "target_im", at.imag, float(row["target_im"]), 1)
    worst.done(len(table))
    summary.append("    %d minima, %d crossings; minima placed by parabola on 200001 points "
                   "to %.1e of frequency" % (minima_count, crossing_count, place_error))
    summary.append("    %d circuits held against 1/(2 pi sqrt(LC))" % anchored)
    if place_error > 1e-7:
        failures.append("a minimum is misplaced")

    for name, make in TABLES.items():
        same = render(*make()) == (HERE / name).read_bytes()
        summary.append("%s: %s what this script writes" % (name, "is" if same else "IS NOT"))
        if not same:
            failures.append(name + " is stale")
    if described() != (HERE / "README.md").read_text(encoding="ascii"):
        failures.append("README.md is stale")
    print("\n".join(summary))
    print("\n".join(failures[:40]))
    print("%d disagreements" % len(failures))
    return 1 if failures else 0


def main():
    if sys.argv[1:] == ["--check"]:
        return check()
    if sys.argv[1:]:
        print("usage: make_vectors.py [--check]", file=sys.stderr)
        return 2
    for name, make in TABLES.items():
        head, rows = make()
        data = render(head, rows)
        (HERE / name).write_bytes(data)
        print("%s: %d rows, %d bytes" % (name, len(rows), len(data)))
    (HERE / "README.md").write_text(described(), encoding="ascii", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
