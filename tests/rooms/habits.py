#!/usr/bin/env python3
"""Habits that no compiler checks: habits.py SOURCE_FOLDER

Nothing in src/ may depend on the locale, call what cannot be used safely, or leave a mark of
unfinished work. Python's standard library only.
"""
import os
import re
import sys

CALLS = {
    "strtod strtof strtold atof sscanf scanf fscanf": "follows the locale; use rab_number_read",
    "setlocale": "changes the locale of the program that uses the library",
    "sprintf vsprintf strcpy strcat gets": "knows no size; use rab_text or snprintf",
    "system popen": "starts a shell",
    "rand srand random time clock": "is not the same in every run",
    "strerror": "is translated and not safe between threads; use strerror_l",
    "isalpha isdigit isspace isalnum isupper islower tolower toupper": "follows the locale",
    "tmpnam mktemp tempnam": "can be raced",
}
MARKS = re.compile(r"\b(TODO|FIXME|XXX|HACK|placeholder)\b", re.I)
STRINGS = re.compile(r'"(?:[^"\\\n]|\\.)*"')
# Whichever comes first: a string or character may hold what looks like a comment, and the reverse.
TOKENS = re.compile(STRINGS.pattern + r"|'(?:[^'\\\n]|\\.)*'|(/\*.*?\*/|//[^\n]*)", re.S)
LOCALE_FORMAT = re.compile(r"(?<!%)(?:%%)*%(?!%)[-+ #0-9.*']*(?:l|L)?[aefgAEFG]")
# Takes only the digits out of what is printed.
FORMAT_ALLOWED = {
    os.path.join("src", "base", "number.c"): ['"%.*e"'],
    # a percentage, no format
    os.path.join("src", "write", "chart.c"): [
        "\", print at 100 %. From the page's lower left corner to the pieces' left \""
    ],
}

faults = []


def blank(match):
    """Removes a match but keeps its lines, so that line numbers stay true."""
    return re.sub(r"[^\n]", " ", match.group())


def check(path, name):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    for match in MARKS.finditer(text):
        faults.append(f"{name}:{line_of(text, match)}: {match.group()}: finish it")
    bare = TOKENS.sub(lambda match: blank(match) if match.group(1) else match.group(), text)
    for match in STRINGS.finditer(bare):
        if LOCALE_FORMAT.search(match.group()) and match.group() not in FORMAT_ALLOWED.get(name, []):
            faults.append(
                f"{name}:{line_of(bare, match)}: {match.group()} follows the locale; "
                "use rab_text_number or rab_text_fixed"
            )
    bare = STRINGS.sub(blank, bare)
    for names, reason in CALLS.items():
        for match in re.finditer(r"\b(" + names.replace(" ", "|") + r")\s*\(", bare):
            faults.append(f"{name}:{line_of(bare, match)}: {match.group(1)}() {reason}")


def line_of(text, match):
    return text.count("\n", 0, match.start()) + 1


checked = 0
for folder, _, names in os.walk(os.path.join(sys.argv[1], "src")):
    for name in sorted(names):
        if name.endswith((".c", ".h")):
            path = os.path.join(folder, name)
            check(path, os.path.relpath(path, sys.argv[1]))
            checked += 1
if checked == 0:
    faults.append(f"{sys.argv[1]}: no sources in src/")
print("\n".join(faults))
sys.exit(1 if faults else 0)
