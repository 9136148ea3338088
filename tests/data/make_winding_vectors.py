#!/usr/bin/env python3
"""Answers for tests/design/winding.rs, worked out with 50 digits: `python3 tests/data/make_winding_vectors.py` rewrites
winding_vectors.csv byte for byte (needs mpmath). Every row is invented.

kind nagaoka: a = length/diameter; the closed form with mpmath's own elliptic integrals. A few rows of it are checked
against Neumann's formula for coaxial loops, integrated over the length: no elliptic integral is in that.
kind wire: a = radius/skin depth; R/R_dc of a round wire, Re[(z/2) J0(z)/J1(z)] with z = (1 - j) a.
kind straight: a = length/diameter of a straight wire; the closed formula, L/(mu0/2pi * radius).
"""
import os

import mpmath as mp

mp.mp.dps = 50


def nagaoka(shape):
    shape = mp.mpf(shape)
    k2 = 1 / (1 + shape**2)
    other2 = shape**2 / (1 + shape**2)
    k = mp.sqrt(k2)
    big_k, big_e = mp.ellipk(k2), mp.ellipe(k2)
    return 4 / (3 * mp.pi * mp.sqrt(other2)) * (other2 / k2 * (big_k - big_e) + big_e - k)


def nagaoka_by_loops(shape):
    """Two loops of radius 1/2 at a distance z, summed over all pairs of places on the length."""
    shape = mp.mpf(shape)

    def loops(z, angle):
        return mp.cos(angle) / mp.sqrt(mp.mpf(1) / 2 * (1 - mp.cos(angle)) + z * z)

    # The integral over z of (l - z)/sqrt(s + z^2) in closed form; the angle numerically.
    def over_z(angle):
        s = (1 - mp.cos(angle)) / 2
        if s == 0:
            return mp.mpf(0)
        root = mp.sqrt(s)
        return mp.cos(angle) * (shape * mp.asinh(shape / root) - (mp.sqrt(s + shape**2) - root))

    integral = 2 * mp.quad(over_z, [0, mp.mpf("1e-6"), mp.mpf("1e-3"), mp.mpf("0.1"), mp.pi])
    # M of the sheet: mu0/(4 pi) * 2 pi r^2 * 2 * integral / l^2, against mu0 pi r^2 / l.
    return integral / mp.pi / shape


def wire(ratio):
    z = (1 - 1j) * mp.mpf(ratio)
    return mp.re(z / 2 * mp.besselj(0, z) / mp.besselj(1, z))


def straight(ratio):
    long = 2 * mp.mpf(ratio)
    return long * mp.log(long + mp.sqrt(long**2 + 1)) - mp.sqrt(long**2 + 1) + 1


def main():
    for shape in ("0.2", "1", "3"):
        exact, loops = nagaoka(shape), nagaoka_by_loops(shape)
        assert abs(exact / loops - 1) < mp.mpf("1e-15"), (shape, exact, loops)
    lines = ["kind,a,expected"]
    shapes = ["1e-6", "1e-5", "0.0001", "0.001", "0.003", "0.01", "0.02", "0.05", "0.1", "0.2", "0.3", "0.45", "0.5"]
    shapes += ["0.7", "0.9", "1", "1.1", "1.5", "2", "2.5", "3", "5", "7", "10", "20", "50", "100", "1000", "1e5", "1e6"]
    for shape in shapes:
        with mp.workdps(80):
            lines.append(f"nagaoka,{shape},{mp.nstr(nagaoka(shape), 25)}")
    for ratio in ["0.01", "0.1", "0.3", "0.5", "0.8", "1", "1.3", "1.6", "2", "2.5", "3", "4", "5", "7", "10", "20", "50", "90", "99", "101", "150", "1000", "1e5"]:
        lines.append(f"wire,{ratio},{mp.nstr(wire(ratio), 25)}")
    for ratio in ["0.001", "0.1", "0.5", "1", "2", "5", "10", "25", "100", "1000", "100000"]:
        lines.append(f"straight,{ratio},{mp.nstr(straight(ratio), 25)}")
    path = os.path.join(os.path.dirname(os.path.abspath(__file__)), "winding_vectors.csv")
    with open(path, "w", newline="\n") as out:
        out.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
