#!/usr/bin/env python3
"""Makes figures.h: the invented counts that the instrument reads, and what it must say of them.

    python3 make_figures.py [--check]     --check compares figures.h instead of writing it

Everything here is computed apart from the library, in Python's complex numbers, from closed formulas (one-port error model,
series circuit, reflection coefficient, SWR) or by trying every setting of the bank. All values are invented.
"""
import math
import pathlib
import sys

Z0 = 50.0
REFERENCE = complex(24000, 7000)  # counts of the incident wave

# The load: resistance, coil and capacitor in series.
R, L, C = 46.0, 900e-9, 6.2e-12
TARGET = 70_200_000
LIMIT = 1.5
START, STEP, POINTS = 62_000_000, 200_000, 81
CAL_START, CAL_STEP, CAL_POINTS = 61_000_000, 2_000_000, 10


def fixture(hertz):
    """Directivity, source match and tracking: straight lines in frequency, so that nothing is lost between the points."""
    t = (hertz - 61e6) / 18e6
    return 0.05 - 0.03j + t * 0.02j, -0.08 + 0.06j + t * 0.03, 0.8 + 0.1j - t * (0.05 + 0.08j)


def counts(gamma, hertz):
    directivity, source_match, tracking = fixture(hertz)
    raw = directivity + tracking * gamma / (1 - source_match * gamma)
    reflected = raw * REFERENCE
    assert max(abs(reflected.real), abs(reflected.imag)) < 32000
    return round(reflected.real), round(reflected.imag)


def load(hertz):
    omega = 2 * math.pi * hertz
    return complex(R, omega * L - 1 / (omega * C))


def gamma_of(z):
    return (z - Z0) / (z + Z0)


def swr_of(gamma):
    return (1 + abs(gamma)) / (1 - abs(gamma))


def edge(inside, outside):
    """The frequency where the SWR is the limit, by halving."""
    for _ in range(60):
        middle = (inside + outside) / 2
        if swr_of(gamma_of(load(middle))) <= LIMIT:
            inside = middle
        else:
            outside = middle
    return inside


def two_element(z, hertz):
    """Every network of two reactances from z to Z0, each put together again and looked into."""
    omega = 2 * math.pi * hertz
    found = []
    y = 1 / z
    for sign in (1, -1):  # across at the load
        b = sign * math.sqrt(y.real / Z0 - y.real**2) - y.imag
        x = -(1 / (y + 1j * b)).imag
        assert abs(1 / (y + 1j * b) + 1j * x - Z0) < 1e-9
        found.append((1, x, b))
    for sign in (1, -1):  # in series at the load
        x = sign * math.sqrt(z.real * (Z0 - z.real)) - z.imag
        b = -(1 / (z + 1j * x)).imag
        assert abs(1 / (1 / (z + 1j * x) + 1j * b) - Z0) < 1e-9
        found.append((0, x, b))

    def part(x):
        """Kind (1 coil, 2 capacitor) and picohenries or femtofarads of a reactance."""
        return (1, x / omega * 1e12) if x > 0 else (2, -1 / (omega * x) * 1e15)

    return [(across, *part(x), *part(-1 / b)) for across, x, b in found]


# The tuner: what its parts are said to be, and how much they really differ, in thousandths.
TUNER_HERTZ = 7_100_000
COILS = [50, 100, 200, 400, 800, 1600, 3200, 6400]  # nH
CAPACITORS = [10, 20, 40, 80, 160, 320, 640, 1280]  # pF
COIL_OFF = [12, -18, 25, -9, 16, -22, 7, 11]
CAPACITOR_OFF = [-15, 21, -6, 18, -24, 9, 13, -11]
ANTENNA = complex(22, -140)


def tuned(coils, capacitors, at_load):
    omega = 2 * math.pi * TUNER_HERTZ
    x = sum(omega * l * (1 + o / 1000) * 1e-9 for k, (l, o) in enumerate(zip(COILS, COIL_OFF)) if coils >> k & 1)
    b = sum(omega * c * (1 + o / 1000) * 1e-12 for k, (c, o) in enumerate(zip(CAPACITORS, CAPACITOR_OFF)) if capacitors >> k & 1)
    if at_load:
        z = 1 / (1 / ANTENNA + 1j * b) + 1j * x
    else:
        z = 1 / (1 / (ANTENNA + 1j * x) + 1j * b)
    return gamma_of(z)


def best_of_bank():
    omega = 2 * math.pi * TUNER_HERTZ

    def sums(values, off, unit):
        out = [0.0]
        for value, o in zip(values, off):
            out += [total + omega * value * (1 + o / 1000) * unit for total in out]
        return out

    xs, bs = sums(COILS, COIL_OFF, 1e-9), sums(CAPACITORS, CAPACITOR_OFF, 1e-12)
    best = 1.0
    for x in xs:
        for b in bs:
            for z in (1 / (1 / (ANTENNA + 1j * x) + 1j * b), 1 / (1 / ANTENNA + 1j * b) + 1j * x):
                best = min(best, abs(gamma_of(z)))
    return best


def scalar():
    """One count per millivolt, a coupler of 20 dB with 30 dB of directivity, 2 V forward and 0.4 V back."""
    rho, leak = 0.4 / 2.0, 10 ** (-30 / 20)
    swr = lambda size: (1 + size) / (1 - size)
    return 2.0**2 / Z0 * 100, swr(rho), swr(rho - leak), swr(rho + leak)


def rows(name, pairs):
    lines = "".join("    {%d, %d},\n" % pair for pair in pairs)
    return "static const int16_t %s[][2] = {\n%s};\n" % (name, lines)


def make():
    out = ["/* Made by make_figures.py, apart from the library. All values are invented. */\n", "#include <stdint.h>\n\n"]

    def define(name, value):
        out.append("#define %s %s\n" % (name, value))

    define("REFERENCE_I", int(REFERENCE.real))
    define("REFERENCE_Q", int(REFERENCE.imag))
    define("CAL_START", CAL_START)
    define("CAL_STEP", CAL_STEP)
    define("CAL_POINTS", CAL_POINTS)
    define("START", START)
    define("STEP", STEP)
    define("POINTS", POINTS)
    define("TARGET", TARGET)
    grid = [CAL_START + k * CAL_STEP for k in range(CAL_POINTS)]
    for name, gamma in (("open_counts", 1), ("short_counts", -1), ("load_counts", 0)):
        out.append(rows(name, [counts(gamma, hertz) for hertz in grid]))
    sweep = [START + k * STEP for k in range(POINTS)]
    out.append(rows("sweep_counts", [counts(gamma_of(load(hertz)), hertz) for hertz in sweep]))

    resonance = 1 / (2 * math.pi * math.sqrt(L * C))
    target = gamma_of(load(TARGET))
    define("DIP_HERTZ", round(resonance))
    define("DIP_SWR", repr(Z0 / R))
    define("CROSSING_Q", repr(2 * math.pi * resonance * L / R))
    define("CROSSING_OHMS", R)
    define("TARGET_SWR", repr(swr_of(target)))
    define("TARGET_RE", repr(target.real))
    define("TARGET_IM", repr(target.imag))
    define("BAND_LOW", round(edge(resonance, START)))
    define("BAND_HIGH", round(edge(resonance, START + STEP * POINTS)))
    factor = (resonance / TARGET) ** 2
    define("FACTOR", repr(factor))
    text = lambda label, value: '"%s%s"' % (label, value.rjust(20 - len(label)))
    define("DIP_LINE", text("best", "%.4f MHz" % (resonance / 1e6)))
    define("STEP_LINE", text("less C", "x %.3f" % factor))
    define("TARGET_LINE", text("SWR", "%.2f" % swr_of(target)))
    define("VERDICT_LINE", text("fail", "SWR %.2f" % swr_of(target)))
    define("LOW_MHZ", '"%.2f"' % (edge(resonance, START) / 1e6))

    out.append("static const double networks[4][5] = {\n")
    for network in two_element(complex(12, -30), TARGET):
        out.append("    {%d, %d, %.3f, %d, %.3f},\n" % network)
    out.append("};\n")

    forward, swr, low, high = scalar()
    define("SCALAR_FORWARD", repr(forward))
    define("SCALAR_SWR", repr(swr))
    define("SCALAR_LOW", repr(low))
    define("SCALAR_HIGH", repr(high))

    define("TUNER_HERTZ", TUNER_HERTZ)
    define("ANTENNA_R", ANTENNA.real)
    define("ANTENNA_X", ANTENNA.imag)
    for name, values in (("coil_nh", COILS), ("coil_off", COIL_OFF), ("capacitor_pf", CAPACITORS), ("capacitor_off", CAPACITOR_OFF)):
        out.append("static const int16_t %s[] = {%s};\n" % (name, ", ".join(map(str, values))))
    best = best_of_bank()
    define("BYPASS_SWR", repr(swr_of(tuned(0, 0, 0))))
    define("BEST_SIZE", repr(best))
    define("BEST_SWR", repr(swr_of(best)))
    return "".join(out)


def main():
    path = pathlib.Path(__file__).with_name("figures.h")
    made = make()
    if "--check" in sys.argv[1:]:
        if path.read_text() != made:
            sys.exit("make_figures: figures.h is not what this makes")
    else:
        path.write_text(made)


main()
