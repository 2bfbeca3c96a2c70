#!/usr/bin/env python3
"""Where the blocks and pictures of each sample stand on its pages, in the builds whose boxes tests/golden.py does not
pin: large print, the other paper, two other languages, the clinic's pages.  tests/outlines.txt has a line for each
block and picture; one that moves by a tenth of a millimetre shows.

usage: tests/outlines.py [--stop] [--update] [SAMPLE...]    --stop ends at the first that differs"""
import glob
import os
import re
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

sys.dont_write_bytecode = True
os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
sys.path.insert(0, "tests")
import golden
import one_version

PINS = "tests/outlines.txt"
LANGUAGES = ("fr", "ar") # one whose words are long, one that runs from the right
KEPT = re.compile(r"page |  group |\s+(?:drawing|arrow|frame|else) ")


def outline(folder):
    """The lines of a record of boxes that say where something begins and how large it is."""
    lines = []
    for path in sorted(glob.glob(folder + "/*.boxes")):
        lines += [re.sub(r' "[^"]*"$', "", line) for line in golden.read(path).split("\n") if KEPT.match(line)]
    return lines


def builds(patient):
    """(name, options, language or None)"""
    other = "A4" if "lantern" in patient else "Letter"
    yield "large", ["--large"], None
    yield other, ["--paper", other], None
    yield "clinic", ["--template", "clinic-pages"], None
    for tag in LANGUAGES:
        yield tag, ["--draft"], tag


def made_of(patient):
    """{"SAMPLE BUILD": its lines}"""
    made, name = {}, os.path.basename(patient)[:-5]
    now = re.match(r"# Printed (.*)", golden.read(patient))[1]
    for build, options, tag in builds(patient):
        with tempfile.TemporaryDirectory() as scratch:
            path = golden.in_language(patient, tag, scratch) if tag else patient
            golden.run("sheet", "--now", now, "--boxes", "--out", scratch + "/out", *options, path)
            made[f"{name} {build}"] = outline(scratch + "/out")
    return made


def pinned():
    wanted, name = {}, None
    for line in golden.read(PINS).split("\n") if os.path.exists(PINS) else []:
        if line.startswith("== "):
            name = line[3:]
            wanted[name] = []
        elif name and line:
            wanted[name].append(line)
    return wanted


def compare(names, options):
    patients = [path for path in sorted(glob.glob("samples/*/patients/*.yaml"))
                if not names or os.path.basename(path)[:-5] in names]
    wanted = {name: lines for name, lines in pinned().items() if not names or name.split()[0] in names}
    made = {}
    with ThreadPoolExecutor(2) as pool:
        for some in pool.map(made_of, patients):
            made |= some
            if "--stop" in options and any(wanted.get(name) != lines for name, lines in some.items()):
                pool.shutdown(cancel_futures=True)
                print("not as pinned: " + ", ".join(some))
                return 1
    if "--update" in options:
        whole = {**pinned(), **made} if names else made
        with open(PINS, "w", encoding="utf-8") as file:
            file.write("".join(f"== {name}\n" + "".join(line + "\n" for line in whole[name]) for name in sorted(whole)))
        wanted = made
    text = lambda lines: "\n".join(lines) + "\n" # noqa: E731
    found = list(golden.differences({name: text(lines) for name, lines in wanted.items()},
                                    {name: text(lines) for name, lines in made.items()}))
    print("\n".join(found))
    print(f"{sum(map(len, made.values()))} places of {len(made)} builds, {len(found)} not as pinned")
    if found:
        print("When each difference is meant: tests/outlines.py --update")
    return 1 if found or not made else 0


def main():
    options = [word for word in sys.argv[1:] if word.startswith("--")]
    with tempfile.TemporaryDirectory() as folder:
        golden.PROGRAM = one_version.programs(".build", folder, one_version.said(golden.run))
        return compare([word for word in sys.argv[1:] if not word.startswith("--")], options)


if __name__ == "__main__":
    sys.exit(main())
