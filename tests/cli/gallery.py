#!/usr/bin/env python3
"""Holds docs/shapes.md and its pictures to the library: gallery.py GALLERY SOURCE_FOLDER

Runs the program that makes them and compares. How letters are set may differ between computers, so of
the pictures only the size is compared. Python's standard library only.
"""
import os
import struct
import subprocess
import sys
import tempfile

HOW = "run `ninja -C BUILD_FOLDER gallery` and look at the pictures"


def size_of(path):
    with open(path, "rb") as file:
        head = file.read(24)
    if head[:8] != b"\x89PNG\r\n\x1a\n":
        sys.exit(f"{path} is not a PNG")
    return struct.unpack(">II", head[16:24])


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def main():
    gallery, source = sys.argv[1:3]
    docs = os.path.join(source, "docs")
    with tempfile.TemporaryDirectory(prefix="rabbet-gallery-") as folder:
        os.mkdir(os.path.join(folder, "shapes"))
        subprocess.run([gallery, folder], check=True, timeout=120)
        page = read(os.path.join(folder, "shapes.md"))
        if page != read(os.path.join(docs, "shapes.md")):
            sys.exit("docs/shapes.md does not show the library as it is; " + HOW)
        made = sorted(os.listdir(os.path.join(folder, "shapes")))
        kept = sorted(os.listdir(os.path.join(docs, "shapes")))
        if made != kept:
            sys.exit(f"docs/shapes/ holds {kept} in place of {made}; {HOW}")
        for name in made:
            if f"(shapes/{name})" not in page:
                sys.exit(f"docs/shapes.md does not show shapes/{name}")
            ours, theirs = (size_of(os.path.join(place, "shapes", name)) for place in (folder, docs))
            if ours != theirs:
                sys.exit(f"docs/shapes/{name} is {theirs} dots in place of {ours}; {HOW}")
        if len(made) < 5:
            sys.exit(f"only {len(made)} families are shown")


if __name__ == "__main__":
    main()
