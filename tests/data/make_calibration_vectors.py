#!/usr/bin/env python3
"""Reference tables for the calibration, worked out with 50 digits.

    python3 tests/data/make_calibration_vectors.py           rewrite the CSV files
    python3 tests/data/make_calibration_vectors.py --check   compare the CSV files with a second way, in doubles

Needs mpmath; --check needs numpy. Every standard and every fixture is invented.

standard_vectors.csv: Gamma of a standard. The standard is an impedance at the end of a line: an open is a capacitance
C0 + C1 f + C2 f^2 + C3 f^3, a short an inductance of the same form, a load a resistance and an inductance in series. The
line has the impedance Zc and the propagation gamma l of the offset-loss model (general practice, from memory):
al = loss delay/(2 Z0) sqrt(f/1 GHz), bl = w delay + al, Zc = Z0 + (1 - j) loss/(2 w) sqrt(f/1 GHz). What is seen is
Zc (Z + Zc tanh gl)/(Zc + Z tanh gl), textbook transmission-line theory.

solve_vectors.csv: the fixture behind three readings. Known Gamma and readings are whole numbers of 2^-30 and therefore
exact; the answers solve m = e00 + G m e11 - G D by Cramer's rule, tracking = e00 e11 - D.
"""

import csv
import pathlib
import random
import sys

FOLDER = pathlib.Path(__file__).parent
STANDARD = ["kind", "hertz", "first", "second", "third", "fourth", "delay_fs", "loss", "ohms_bits",
            "inductance_ph", "reference_bits", "gamma_re", "gamma_im"]
SOLVE = ["kind"] + [f"{name}{n}_{part}_bits" for n in (1, 2, 3) for name in ("known", "raw") for part in ("re", "im")] \
    + [f"{term}_{part}" for term in ("directivity", "source_match", "tracking") for part in ("re", "im")]


def standards():
    """Inputs of standard_vectors.csv, in whole numbers."""
    draw = random.Random(71)
    fifty, seventy_five = 50 << 12, 75 << 12
    for hertz in (0, 1, 1_000_000, 71_000_000, 433_920_000, 1_000_000_000, 6_000_000_000):
        yield "open", hertz, [50_000, -300_000, 20_000, -120], 29_243, 0, 0, 0, fifty
        yield "open", hertz, [50_000, -300_000, 20_000, -120], 29_243, 2_200, 0, 0, fifty
        yield "open", hertz, [0, 0, 0, 0], 0, 0, 0, 0, fifty
        yield "short", hertz, [2_000, -100_000, 2_000, -10], 31_785, 0, 0, 0, fifty
        yield "short", hertz, [2_000, -100_000, 2_000, -10], 31_785, 2_360, 0, 0, fifty
        yield "short", hertz, [0, 0, 0, 0], 31_785, 2_360, 0, 0, fifty
        yield "load", hertz, [0] * 4, 0, 0, round(50.4 * 4096), 4, fifty
        yield "load", hertz, [0] * 4, 40_000, 1_500, round(48.9 * 4096), 120, fifty
        yield "load", hertz, [0] * 4, 0, 0, 75 << 12, 0, seventy_five
    for _ in range(120):
        kind = draw.choice(["open", "short", "load"])
        hertz = int(10 ** draw.uniform(5, 9.8))
        polynomial = [draw.randint(0, 200_000), draw.randint(-900_000, 900_000), draw.randint(-50_000, 50_000),
                      draw.randint(-500, 500)]
        loss = draw.choice([0, draw.randint(100, 5_000)])
        yield (kind, hertz, polynomial if kind != "load" else [0] * 4, draw.choice([0, draw.randint(1_000, 400_000)]), loss,
               draw.randint(20 << 12, 120 << 12) if kind == "load" else 0, draw.randint(0, 2_000) if kind == "load" else 0,
               draw.choice([fifty, seventy_five]))


def standard_answer(mp, kind, hertz, polynomial, delay_fs, loss, ohms_bits, inductance_ph, reference_bits):
    f, z0 = mp.mpf(hertz), mp.mpf(reference_bits) / 4096
    w = 2 * mp.pi * f
    delay = mp.mpf(delay_fs) / 10**15
    c = [mp.mpf(value) / 1000 for value in polynomial]
    if kind == "open":
        units = (15, 27, 36, 45)
        size = sum(a * f**n / mp.mpf(10) ** unit for n, (a, unit) in enumerate(zip(c, units)))
        # As an admittance, which is 0 for no capacitance.
        y, z = mp.mpc(0, w * size), None
    else:
        units = (12, 24, 33, 42)
        size = sum(a * f**n / mp.mpf(10) ** unit for n, (a, unit) in enumerate(zip(c, units)))
        z = mp.mpc(0, w * size)
        if kind == "load":
            z = mp.mpc(mp.mpf(ohms_bits) / 4096, w * inductance_ph / 10**12)
    if delay == 0 or f == 0:
        if z is None:
            return (1 - y * z0) / (1 + y * z0)
        return (z - z0) / (z + z0)
    root = mp.sqrt(f / 10**9)
    loss = mp.mpf(loss) * 10**6
    al = loss * delay / (2 * z0) * root
    bl = w * delay + al
    zc = z0 + mp.mpc(1, -1) * loss / (2 * w) * root
    t = mp.tanh(mp.mpc(al, bl))
    if z is None:
        seen = zc * (1 + y * zc * t) / (y * zc + t) if y * zc + t != 0 else None
    else:
        seen = zc * (z + zc * t) / (zc + z * t)
    if seen is None:
        return mp.mpc(1)
    return (seen - z0) / (seen + z0)


def bits(value):
    return round(value.real * 2**30), round(value.imag * 2**30)


def fixtures():
    """Inputs of solve_vectors.csv, in whole numbers."""
    draw = random.Random(72)

    def polar(low, high):
        import cmath
        return cmath.rect(draw.uniform(low, high), draw.uniform(-3.2, 3.2))

    for n in range(150):
        terms = polar(0, 0.2), polar(0, 0.5), polar(0.2, 1.0)
        kind = ("ideal", "near", "any")[n % 3]
        if kind == "ideal":
            known = [1 + 0j, -1 + 0j, 0j]
        elif kind == "near":
            known = [polar(0.98, 1.0), 0, polar(0, 0.05)]
            known[1] = -known[0] * (0.99 + 0.02j)
        else:
            while True:
                known = [polar(0, 1), polar(0, 1), polar(0, 1)]
                if min(abs(known[0] - known[1]), abs(known[0] - known[2]), abs(known[1] - known[2])) > 0.6:
                    break
        row = []
        for gamma in known:
            raw = terms[0] + terms[2] * gamma / (1 - terms[1] * gamma)
            row += [*bits(gamma), *bits(raw)]
        if max(abs(value) for value in row) < 2**31:
            yield kind, row


def solve_answer(number, row):
    known = [number(row[4 * n], row[4 * n + 1]) for n in range(3)]
    raw = [number(row[4 * n + 2], row[4 * n + 3]) for n in range(3)]
    matrix = [[1, g * m, -g] for g, m in zip(known, raw)]

    def determinant(m):
        return (m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
                + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]))

    def column(place):
        return [[raw[r] if c == place else matrix[r][c] for c in range(3)] for r in range(3)]

    whole = determinant(matrix)
    e00, e11, delta = (determinant(column(place)) / whole for place in range(3))
    return e00, e11, e00 * e11 - delta


def tables():
    import mpmath as mp

    mp.mp.dps = 50
    show = lambda value: mp.nstr(value, 25)
    standard = []
    for row in standards():
        kind, hertz, polynomial, *rest = row
        gamma = standard_answer(mp, *row)
        standard.append([kind, hertz, *polynomial, *rest, show(gamma.real), show(gamma.imag)])
    solve = []
    number = lambda re, im: mp.mpc(mp.mpf(re), mp.mpf(im)) / 2**30
    for kind, row in fixtures():
        terms = solve_answer(number, row)
        solve.append([kind, *row] + [show(part) for term in terms for part in (term.real, term.imag)])
    return {"standard_vectors.csv": (STANDARD, standard), "solve_vectors.csv": (SOLVE, solve)}


def check():
    import numpy as np

    worst = 0
    with open(FOLDER / "solve_vectors.csv") as file:
        for row in csv.DictReader(file):
            value = lambda name: complex(int(row[name + "_re_bits"]), int(row[name + "_im_bits"])) / 2**30
            known = [value(f"known{n}") for n in (1, 2, 3)]
            raw = [value(f"raw{n}") for n in (1, 2, 3)]
            e00, e11, delta = np.linalg.solve([[1, g * m, -g] for g, m in zip(known, raw)], raw)
            for name, got in ("directivity", e00), ("source_match", e11), ("tracking", e00 * e11 - delta):
                want = complex(float(row[name + "_re"]), float(row[name + "_im"]))
                worst = max(worst, abs(got - want))
    print(f"solve_vectors.csv: doubles differ by {worst:.1e}")
    assert worst < 1e-13
    worst = 0
    with open(FOLDER / "standard_vectors.csv") as file:
        for row in csv.DictReader(file):
            i = {key: int(row[key]) for key in STANDARD[1:11]}
            f, z0 = float(i["hertz"]), i["reference_bits"] / 4096
            if f == 0:
                continue
            w, c = 2 * np.pi * f, [i[key] / 1000 for key in ("first", "second", "third", "fourth")]
            units = (1e-15, 1e-27, 1e-36, 1e-45) if row["kind"] == "open" else (1e-12, 1e-24, 1e-33, 1e-42)
            size = sum(a * unit * f**n for n, (a, unit) in enumerate(zip(c, units)))
            root, delay = np.sqrt(f / 1e9), i["delay_fs"] * 1e-15
            loss = i["loss"] * 1e6 if delay else 0
            zc = z0 + (1 - 1j) * loss / (2 * w) * root
            # As a wave in the line: the reflection in its impedance, turned and weakened.
            if row["kind"] == "open":
                end = (1 - 1j * w * size * zc) / (1 + 1j * w * size * zc)
            else:
                z = 1j * w * size if row["kind"] == "short" else complex(i["ohms_bits"] / 4096, w * i["inductance_ph"] * 1e-12)
                end = (z - zc) / (z + zc)
            al = loss * delay / (2 * z0) * root
            near = end * np.exp(-2 * (al + 1j * (w * delay + al)))
            rho = (zc - z0) / (zc + z0)
            got = (near + rho) / (1 + rho * near)
            worst = max(worst, abs(got - complex(float(row["gamma_re"]), float(row["gamma_im"]))))
    print(f"standard_vectors.csv: doubles differ by {worst:.1e}")
    assert worst < 1e-13


def main():
    if sys.argv[1:] == ["--check"]:
        check()
        return
    for name, (head, rows) in tables().items():
        with open(FOLDER / name, "w", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(head)
            writer.writerows(rows)
        print(f"{name}: {len(rows)} rows")


main()
