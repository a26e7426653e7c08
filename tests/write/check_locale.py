#!/usr/bin/python3
"""The same bytes under a locale whose decimal mark is a comma, and on every run.

usage: check_locale.py PROGRAM...   (programs that write their samples into the folder they are
given, and say the decimal mark of their locale)

LOCPATH must lead to a de_DE.UTF-8 (tests/base/meson.build makes one).
"""
import os
import subprocess
import sys
import tempfile


def written(program, folder, surroundings):
    os.mkdir(folder)
    said = subprocess.run([program, folder], env=surroundings, check=True, stdout=subprocess.PIPE)
    files = {}
    for name in sorted(os.listdir(folder)):
        with open(os.path.join(folder, name), "rb") as file:
            files[name] = file.read()
    return said.stdout.decode().strip(), files


def main():
    with tempfile.TemporaryDirectory() as top:
        plain = dict(os.environ, LC_ALL="C")
        comma = dict(os.environ, LC_ALL="de_DE.UTF-8")
        for number, program in enumerate(sys.argv[1:]):
            program = os.path.abspath(program)
            here = os.path.join(top, str(number))
            mark, first = written(program, here + "a", plain)
            assert mark == ".", mark
            mark, second = written(program, here + "b", comma)
            assert mark == ",", "the locale did not take: decimal mark %r" % mark
            assert first, "nothing was written"
            assert first.keys() == second.keys()
            changed = [name for name in first if first[name] != second[name]]
            assert not changed, "differ under de_DE.UTF-8: " + ", ".join(changed)
            print("%s: %d files, the same bytes" % (os.path.basename(program), len(first)))


if __name__ == "__main__":
    main()
