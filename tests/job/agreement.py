#!/usr/bin/env python3
"""The reader of job files and their schema hold the same language.

    agreement.py VERDICTS_PROGRAM SCHEMA GOOD_JOB.xml

The good job, which uses everything, is changed: systematically (every element without each of its
attributes, with every other attribute, without itself, with every element in it) and by chance
(seeded: 500 files with one to four changes of structure, values or bytes). xmllint, which knows only
the schema, and the reader must agree on each file; the reader alone may refuse what no schema can
know (lengths, papers that are not declared, names given twice), and every refusal has its line.
"""
import copy
import os
import random
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET

SPACE = "urn:rabbet:job:1"
ET.register_namespace("", SPACE)
BY_CHANCE = 500

# What only the reader knows.
BEYOND_SCHEMA = re.compile(
    r"is given twice|page is there twice|there is no paper \"|is not a length|is too large"
    r"|fractions are for inches|give more than 0|give 0 or more|give a whole number from"
    r"|in steps of 90 degrees|without a unit|in percent|like 3:2|no photo is so narrow"
    r"|like 3000x2000|like 1-8,12|numbered from 1|runs backwards|is there twice; name it once"
    r"|can be 9999|number of one opening|write something|the name of a file|has no trimmer"
    r"|has no cutter|has no words|divided by blanks")

# Values, one of which is right for most attributes of that name.
VALUES = {
    "units": ["mm"], "title": ["A"], "kits": ["3"], "spare": ["7.5"], "name": ["lamp-9"],
    "colour": ["#12aB9f"], "back": ["#000000"], "printed": ["both"], "turn": ["90", "half"],
    "width": ["2"], "height": ["3"], "sheets": ["2"], "thickness": ["0.2mm"], "count": ["2"],
    "kerf": ["0"], "bed-width": ["10"], "bed-height": ["10"],
    "margin-left": ["1/4"], "margin-right": ["0"], "margin-bottom": ["1in"], "margin-top": ["0"],
    "corner": ["upper-left"], "side": ["right"],
    "paper": ["night"], "margin": ["1/4in"], "x": ["1"], "right": ["1"], "y": ["1"], "top": ["1"],
    "raised": ["1"], "cut": ["hand"], "hidden-centre": ["1/4in"], "crop-left": ["0"],
    "crop-right": ["0"], "crop-top": ["0"], "crop-bottom": ["0"], "image": ["a.png"],
    "pixels": ["30x20"], "reveal": ["1/8in"], "style": ["plain"], "to": ["1"], "gutter": ["0"],
    "proportion": ["3:2"], "file": ["a.svg"], "shape": ["arcade"], "seam": ["3mm"],
    "clear": ["0"], "inset": ["0"], "form": ["grown"], "papers": ["night amber"],
    "openings": ["1-3,5"], "together": ["yes"], "every": ["4"], "opening": ["2"],
    "motif": ["wave"], "length": ["5"], "pitch": ["1"], "depth": ["1"], "ends": ["whole"],
    "sides": ["one"], "font": ["Serif"], "size": ["10pt"], "align": ["centre"],
    "strips": ["1/4in"], "ruled": ["1/4in"], "unknown": ["1"], "svg": ["yes", "no"], "dxf": ["no"],
    "pdf": ["yes"], "plt": ["yes"], "pages": ["no"], "plans": ["no"], "texts": ["no"],
}
PHOTO = '<photo width="1" height="1"/>'
PRINTED = '<photo proportion="1:1"/>'
# Elements that are right in themselves.
ELEMENTS = [
    '<paper name="rose" colour="#123456"/>', '<offcut width="1" height="1"/>', "<trimmer/>", "<cutter/>",
    '<files svg="no" pdf="yes"/>',
    '<frame paper="night" shape="arcade"><show opening="1"><text paper="night" width="1" height="1">A</text></show></frame>',
    '<page side="right" paper="night"/>', '<panel paper="night" width="1" height="1"/>', PHOTO, PRINTED,
    f"<row>{PHOTO}</row>", f"<row>{PRINTED}</row>", f"<column>{PHOTO}</column>",
    f"<column>{PRINTED}</column>", f"<grid><row>{PRINTED}</row></grid>",
    '<frame paper="night" file="a.svg"/>', '<frame paper="night" shape="arcade"/>',
    '<strip paper="night" motif="wave" length="4" width="1"/>',
    '<text paper="night" width="1" height="1">Words</text>', '<mat paper="night" reveal="1"/>',
    '<set name="other" to="1"/>', '<fill paper="night"/>', '<back papers="night"/>',
    '<leave every="3"/>', f'<show opening="3">{PHOTO}</show>', '<behind paper="night" reveal="1"/>',
    '<job units="mm"/>', "<easel/>",
]
GARBLED = ["", " ", "0", "-1", "1/2", "1/2mm", "abc", "Night", "night", "#12345", "#GGGGGG", "1e3",
           "1-", "1,,2", "9-1", "yes", "left", "3:2", "3:0", "10x10", "12in", "1 2/4", "\u00e4",
           "99999999999", "night  amber", "none", "hand", "90", "45", "+1", ".", "1.5", " 1 "]


def whole(root):
    return ET.tostring(root, encoding="unicode")


def elements_of(root):
    """Every element and its parent, the root's is None."""
    parents = {child: parent for parent in root.iter() for child in parent}
    return [(element, parents.get(element)) for element in root.iter()]


def changed(root, number, change):
    """A copy in which the element of that number is changed."""
    made = copy.deepcopy(root)
    element, parent = elements_of(made)[number]
    change(made, element, parent)
    return whole(made)


def element_from(text):
    return ET.fromstring(text.replace(">", f' xmlns="{SPACE}">', 1) if not text.endswith("/>") or
                         text.count("<") > 1 else text.replace("/>", f' xmlns="{SPACE}"/>', 1))


def systematic(root):
    templates = [element_from(text) for text in ELEMENTS]
    for number, (element, parent) in enumerate(elements_of(root)):
        for name in element.attrib:
            yield changed(root, number, lambda _, e, p, name=name: e.attrib.pop(name))
        for name, values in VALUES.items():
            if name not in element.attrib:
                for value in values:
                    yield changed(root, number,
                                  lambda _, e, p, name=name, value=value: e.set(name, value))
        for template in templates:
            yield changed(root, number, lambda _, e, p, template=template:
                          e.append(copy.deepcopy(template)))
        yield changed(root, number, lambda _, e, p: setattr(e, "text", "words"))
        if parent is not None:
            yield changed(root, number, lambda _, e, p: p.remove(e))
            yield changed(root, number, lambda _, e, p: p.append(copy.deepcopy(e)))
            for tag in sorted({template.tag for template in templates}):
                yield changed(root, number, lambda _, e, p, tag=tag: setattr(e, "tag", tag))


def change_by_chance(chance, root):
    element, parent = chance.choice(elements_of(root))
    other, other_parent = chance.choice(elements_of(root))
    names = list(element.attrib)
    kind = chance.randrange(9)
    if kind == 0 and names:
        element.attrib.pop(chance.choice(names))
    elif kind == 1 and names:
        element.set(chance.choice(list(VALUES)), element.attrib.pop(chance.choice(names)))
    elif kind == 2 and names:
        element.set(chance.choice(names), chance.choice(GARBLED))
    elif kind == 3:
        name = chance.choice(list(VALUES))
        element.set(name, chance.choice(VALUES[name]))
    elif kind == 4 and parent is not None:
        parent.remove(element)
    elif kind == 5 and parent is not None:
        parent.insert(chance.randrange(len(parent) + 1), copy.deepcopy(element))
    elif kind == 6 and other_parent is not None:
        other_parent.insert(chance.randrange(len(other_parent) + 1), copy.deepcopy(element))
    elif kind == 7:
        element.tag = f"{{{SPACE}}}" + re.match(r"<([a-z]+)", chance.choice(ELEMENTS)).group(1)
    elif names:
        element.set(chance.choice(names), chance.choice(GARBLED))


def change_bytes(chance, text):
    at = chance.randrange(len(text))
    return text[:at] + chance.choice(["", "<", ">", '"', "&", "/", "x", " ", "</row>"]) + text[at + 1:]


def by_chance(root):
    chance = random.Random(12)
    for number in range(BY_CHANCE):
        made = copy.deepcopy(root)
        for _ in range(chance.randint(1, 4)):
            change_by_chance(chance, made)
        text = whole(made)
        yield change_bytes(chance, text) if number % 5 == 0 else text


def run(command, files):
    output = []
    for start in range(0, len(files), 200):
        done = subprocess.run(command + files[start:start + 200], stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, check=False)
        output += done.stdout.decode("utf-8", "replace").splitlines()
    return output


def xmllint_accepts(schema, files):
    lines = set(run(["xmllint", "--noout", "--relaxng", schema], files))
    return {file: f"{file} validates" in lines for file in files}


def reader_errors(program, files):
    errors = {file: None for file in files}
    for line in run([program], files):
        file, at, words = line.split("\t", 2)
        errors[file] = errors[file] or []
        if at != "0":
            errors[file].append((int(at), words))
    return errors


def main():
    program, schema, good = sys.argv[1:]
    root = ET.parse(good).getroot()
    texts = [whole(root)] + list(systematic(root)) + list(by_chance(root))
    counts = {"both take it": 0, "both refuse it": 0, "only the reader refuses it": 0}
    faults = 0
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for number, text in enumerate(texts):
            files.append(os.path.join(folder, f"{number}.xml"))
            with open(files[-1], "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
        accepted, errors = xmllint_accepts(schema, files), reader_errors(program, files)
        for file, text in zip(files, texts):
            said = errors[file]
            wrong = None
            if said is None:
                wrong = "the reader says nothing"
            elif not all(1 <= line <= text.count("\n") + 1 and words for line, words in said):
                wrong = "an error without a line of the file"
            elif not accepted[file] and not said:
                wrong = "only xmllint refuses it"
            elif accepted[file]:
                known = [words for _, words in said if not BEYOND_SCHEMA.search(words)]
                wrong = "only the reader refuses it" if known else None
            if wrong:
                faults += 1
                print(f"{os.path.basename(file)}: {wrong}: {said}")
                if faults <= 3:
                    print(text)
            if said is not None:
                counts["both take it" if not said else "both refuse it" if not accepted[file]
                       else "only the reader refuses it"] += 1
        if not accepted[files[0]] or errors[files[0]]:
            faults += 1
            print(f"the good job is refused: {errors[files[0]]}")
    print(f"{len(texts)} files, {BY_CHANCE} of them by chance: {counts}")
    enough = counts["both take it"] > 300 and counts["both refuse it"] > 1000
    return 0 if faults == 0 and enough else 1


sys.exit(main())
