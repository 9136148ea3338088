#!/usr/bin/env python3
"""Lists the source lines whose panics are in an image: every `core::panic::Location` it holds.

usage: panic_sites.py IMAGE

For 32-bit little-endian images. A location is a pointer to a file name, its length, line and column.
"""

import struct
import sys


def segments(image):
    """(address, bytes) of what would be loaded."""
    start, size, count = struct.unpack_from("<I", image, 28)[0], *struct.unpack_from("<HH", image, 42)
    for place in range(count):
        kind, offset, address, _, length = struct.unpack_from("<5I", image, start + place * size)
        if kind == 1:
            yield address, image[offset : offset + length]


def sites(image):
    parts = list(segments(image))

    def name(address, length):
        for begin, data in parts:
            text = data[address - begin : address - begin + length] if begin <= address else b""
            if len(text) == length and text.endswith(b".rs"):
                return text.decode("utf-8", "replace")

    for _, data in parts:
        for place in range(0, len(data) - 15, 4):
            pointer, length, line, column = struct.unpack_from("<4I", data, place)
            if 4 < length < 300 and 0 < line < 100_000 and 0 < column < 1000:
                file = name(pointer, length)
                if file:
                    yield file, line, column


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(sys.argv[1], "rb") as file:
        image = file.read()
    if image[:5] != b"\x7fELF\x01":
        sys.exit(f"{sys.argv[1]}: not a 32-bit image")
    for site in sorted(set(sites(image))):
        print("{}:{}:{}".format(*site))


main()
