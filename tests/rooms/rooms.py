#!/usr/bin/env python3
"""Holds the order of the rooms: rooms.py SOURCE_FOLDER [COMPILER...]

Reads every #include in src/ and include/; with a compiler, also sees that each public header
compiles alone. Python's standard library only.
"""
import os
import re
import subprocess
import sys

GEOMETRY = ["base", "outline", "region"]
# Each room and those that it may include. frame and read do not know each other, and write is
# handed everything. Rooms that are planned have their places already.
ROOMS = {
    "base": [],
    "outline": ["base"],
    "region": ["base", "outline"],
    "shape": GEOMETRY,
    "frame": GEOMETRY + ["shape"],
    "edge": GEOMETRY + ["shape", "frame"],
    "layout": GEOMETRY + ["shape", "frame", "edge"],
    "plan": GEOMETRY + ["shape", "frame", "edge", "layout"],
    "read": GEOMETRY,
    "write": GEOMETRY,
    "job": GEOMETRY + ["shape", "frame", "edge", "layout", "plan", "read", "write"],
    "guide": GEOMETRY + ["shape", "frame", "edge", "layout", "plan", "read", "write", "job"],
}
# Libraries of others, and the rooms that may know them.
LIBRARIES = {
    "libxml/": ["base", "read", "shape", "write", "job"],
    "cairo": ["write", "guide"],
    "pango": ["write", "guide"],
    "png.h": ["read", "write"],
    "zlib.h": ["read", "write"],
    "jpeglib.h": ["read", "write"],
    "jerror.h": ["read", "write"],
}
INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.M)

faults = []


def fault(path, words):
    faults.append(f"{path}: {words}")


def sources(folder):
    for path, _, names in os.walk(folder):
        for name in sorted(names):
            if name.endswith((".c", ".h")):
                yield os.path.join(path, name)


def includes(path):
    with open(path, encoding="utf-8") as file:
        return INCLUDE.findall(file.read())


def check_quoted(path, room, name, own_folder):
    """An include in quotation marks from a file of a room (cli is one here)."""
    parts = name.split("/")
    if os.path.exists(os.path.join(own_folder, name)) and len(parts) == 1:
        return  # beside the file itself
    if parts[0] == "rabbet" and len(parts) == 2:
        target = parts[1][:-2]
        if room == "cli":
            if not os.path.exists(os.path.join(include_folder, parts[1])):
                fault(path, f'"{name}" is no public header')
        elif target == "rabbet":
            fault(path, f'"{name}" is the whole library; name the rooms that are needed')
        elif target != room and target not in ROOMS[room]:
            fault(path, f"room {room} may not include room {target}")
    elif len(parts) == 2 and (parts[0] in ROOMS or parts[0] == "cli"):
        if room == "cli" and parts[0] != "cli":
            fault(path, f'"{name}" is private; the command line uses include/rabbet only')
        elif room != "cli" and parts[0] != room and parts[0] not in ROOMS[room]:
            fault(path, f"room {room} may not include room {parts[0]}")
    else:
        fault(path, f'"{name}": write rabbet/ROOM.h, ROOM/FILE.h or the name of a file beside')


def check_system(path, room, name):
    for library, rooms in LIBRARIES.items():
        if name.startswith(library) and room not in rooms:
            fault(path, f"room {room} may not include <{name}>")
    if name.startswith("rabbet/"):
        if room != "cli":
            fault(path, f'<{name}>: write "{name}"')
        elif not os.path.exists(os.path.join(include_folder, name[len("rabbet/") :])):
            fault(path, f"<{name}> is no public header")


def check_rooms(source_folder):
    for room in sorted(os.listdir(source_folder)):
        folder = os.path.join(source_folder, room)
        if not os.path.isdir(folder):
            continue
        if room != "cli" and room not in ROOMS:
            fault(folder, "is a room without a place in tests/rooms/rooms.py")
            continue
        for path in sources(folder):
            for mark, name in includes(path):
                if mark == '"':
                    check_quoted(path, room, name, os.path.dirname(path))
                else:
                    check_system(path, room, name)


def check_public_headers(compiler):
    for path in sources(include_folder):
        room = os.path.basename(path)[:-2]
        if room != "rabbet":
            for mark, name in includes(path):
                if mark == '"' and name[:-2] != room and name[:-2] not in ROOMS.get(room, []):
                    fault(path, f"header {room} may not include {name}")
        if compiler:
            run = subprocess.run(
                compiler
                + ["-std=c17", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-fsyntax-only"]
                + ["-x", "c", path],
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                check=False,
            )
            if run.returncode != 0:
                fault(path, "does not compile alone:\n" + run.stdout)


include_folder = os.path.join(sys.argv[1], "include", "rabbet")
source_folder = os.path.join(sys.argv[1], "src")
if not list(sources(source_folder)) or not list(sources(include_folder)):
    fault(sys.argv[1], "holds no sources")
check_rooms(source_folder)
check_public_headers(sys.argv[2:])
for line in faults:
    print(line)
sys.exit(1 if faults else 0)
