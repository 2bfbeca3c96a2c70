#!/usr/bin/env python3
"""What is printed is pinned: of every sample the plan, the words of the text twin, the calendar and
what stands where on the pages, in English, of some in large print too, and of one sample in every other language, as the
files in tests/golden have them; of a sheet, of one in two languages, of a night and of a review also what another reader (poppler's
own programs) says of the finished file.  They hold no version, no digest of the files and no version of the
zone database; the day is the one in the sample's first line.

usage: tests/golden.py [--update] [--stop] [--plans] [NAME...]
    --update: rewrites the files; read the difference before it is committed
    --stop: at the first build that is not as pinned
    --plans: only the plans, which need no paper
A NAME is a sample (LC-2041) or one in a language (LC-2041.fr)."""
import difflib
import glob
import os
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

sys.dont_write_bytecode = True
os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
sys.path.insert(0, "tests")
import one_version
from two_languages import translated_samples

PROGRAM = ".build/dosewright" # then the one whose version is always the same
FOLDER = "tests/golden"
IN_LANGUAGES = "samples/lantern-cove/patients/LC-2041.yaml"
WITH_CLINIC_PAGES = ("LC-2041", "NM-325")
LARGE = ("LC-2041", "LC-2063", "LC-2070", "NM-318") # where things stand in large print
TOLD = ("LC-2041", "NM-325") # the plan as a terminal shows it
SEEN = ("LC-2041",) # the finished file as another reader has it
# The second language in the same file: one that runs from the right, with a page more, so behind it; one page by page.
BOTH = (("LC-2041.both", IN_LANGUAGES, "ar"), ("LC-2041.facing", IN_LANGUAGES, "es"))
# A and B beside names that keep their own direction.
TWO_FROM_RIGHT = ("LC-2063.ar", "samples/lantern-cove/patients/LC-2063.yaml", "ar")
NIGHT = ("night", "samples/lantern-cove/patients", "2026-11-24T20:00-04:00") # a list of many people
REVIEW = ("review", "samples/lantern-cove", "2027-05-30T11:00-04:00") # when much is overdue
MOST_LINES = 40 # of one difference


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def builds():
    """(name, patient's file, language or None) of each that is pinned; of a night and a review the folder and the time."""
    languages = sorted(os.path.basename(p)[:-5] for p in glob.glob("templates/languages/*.yaml")
                       if "\nbased_on:" not in read(p) and not p.endswith("/en.yaml"))
    for patient in sorted(glob.glob("samples/*/patients/*.yaml")):
        yield os.path.basename(patient)[:-5], patient, None
    yield from BOTH
    yield NIGHT
    yield REVIEW
    for tag in languages:
        yield os.path.basename(IN_LANGUAGES)[:-5] + "." + tag, IN_LANGUAGES, tag
    yield TWO_FROM_RIGHT


def lasting(text):
    """Without what changes although nothing that anybody acts on does."""
    text = re.sub(r"\b[0-9a-f]{8}\b([^\n]{1,40}?)dosewright (\W?)[\w.+-]*\w", r"DIGEST\1dosewright \2VERSION", text)
    # How high that line is follows from how long the version is.
    text = re.sub(r"(    group [\d.,]+ [\d.]+x)[\d.]+(\n +text \w+ [\d.,]+ [\d.]+x)[\d.]+( [^\n]*VERSION\.)", r"\1HIGH\2HIGH\3", text)
    text = re.sub(r'("program_version":\{"text":")[^"]*', r"\1VERSION", text)
    text = re.sub(r"(zone database )[\w-]+", r"\1DATABASE", text)
    text = re.sub(r'("zone_database":\{"text":")[^"]*', r"\1DATABASE", text)
    text = re.sub(r"^(  (?:program_version|source_digest|zone_database) +)\S+", r"\1VALUE", text, flags=re.M)
    return re.sub(r'("digest":\{"text":")[^"]*', r"\1DIGEST", text)


def in_language(patient, tag, scratch, alone=True):
    """The patient's file in a copy of the clinic whose texts are there in this language too; alone: and that asks for it."""
    folder = os.path.join(scratch, "clinic")
    translated_samples(folder, patient.split("/")[1], tag)
    path = os.path.join(folder, "patients", os.path.basename(patient))
    if alone:
        with open(path, "a", encoding="utf-8") as file:
            file.write(f"language: {tag}\n")
    return path


def poppler(*words):
    return subprocess.run(words, capture_output=True, text=True, errors="replace", timeout=60, check=True).stdout


def places(path):
    """Where each line of words begins, in points from the page's upper left corner."""
    for number, page in enumerate(poppler("pdftotext", "-bbox", path, "-").split("<page ")[1:], 1):
        lines = {}
        for x, y, word in re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)".*?>(.*?)</word>', page):
            lines.setdefault(f"{number} {float(y):.1f}", []).append((float(x), word))
        for place, words in lines.items():
            yield f"{place} {words[0][0]:.1f} " + " ".join(word for _, word in words)


def seen(path, with_places):
    """What another reader says: tags with their words in their order, links, places that are linked to, what the file is."""
    record = re.search(r"DosewrightRecord:(.*?)\nDosewrightSeal", poppler("pdfinfo", "-custom", path), re.S)[1]
    record = re.sub(r"(source_digest|acted_on|seal): .*", r"\1: VALUE", record)
    about = re.findall(r"^(?:Title|Subject|Author|CreationDate|Tagged|Pages|Page size|PDF version):.*\n", poppler("pdfinfo", path), re.M)
    tags = "-struct" if with_places else "-struct-text" # which takes a second of a long file
    parts = [record, "".join(about)] + [poppler("pdfinfo", option, path) for option in ("-url", "-dests", tags)]
    text = "\n".join(parts + (list(places(path)) if with_places else []))
    text = text.replace(run("--version").split()[1], "VERSION")
    return lasting(re.sub(r"^(\d+ [\d.]+) [\d.]+( .*VERSION)", r"\1 SIDE\2", text, flags=re.M)) # it follows from how long that is


def run(*words):
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=300)
    if done.returncode:
        raise ChildProcessError(f"{' '.join(words)} exits {done.returncode}: {done.stdout[-300:]}{done.stderr[-600:]}")
    return done.stdout


def printed(name, now, patient, more, scratch):
    """{name of a golden file: its text} of one way of printing."""
    run("sheet", "--now", now, "--out", scratch, *more, patient)
    made = {}
    for path in glob.glob(scratch + "/*"):
        kind = path.rsplit(".", 1)[1]
        if kind in ("txt", "ics", "boxes"):
            made[f"{name}.{kind}"] = lasting(read(path))
    return made


def of_sample(name, now, patient, plans_only, scratch):
    made = {f"{name}.plan": lasting(run("plan", "--format", "json", "--now", now, patient))}
    if name in TOLD:
        made[f"{name}.told"] = lasting(run("plan", "--now", now, patient))
    if plans_only:
        return made
    made |= printed(name, now, patient, ["--text", "--calendar", "--boxes"], scratch + "/out")
    if name in SEEN:
        made[f"{name}.seen"] = seen(glob.glob(scratch + "/out/*.pdf")[0], False)
    if name in LARGE:
        made |= printed(name + ".large", now, patient, ["--large", "--boxes"], scratch + "/large")
    if name in WITH_CLINIC_PAGES:
        made |= printed(name + ".clinic", now, patient, ["--text", "--template", "clinic-pages"], scratch + "/clinic")
    return made


def made_of(build, plans_only):
    name, patient, tag = build
    with tempfile.TemporaryDirectory() as scratch:
        if build in (NIGHT, REVIEW):
            run(name, "--now", tag, "--out", scratch, patient)
            return {f"{name}.seen": seen(glob.glob(scratch + "/*.pdf")[0], True)}
        now = re.match(r"# Printed (.*)", read(patient))[1]
        if not tag:
            return of_sample(name, now, patient, plans_only, scratch)
        if build in BOTH:
            run("sheet", "--draft", "--also", tag, "--now", now, "--out", scratch + "/out", in_language(patient, tag, scratch, False))
            return {f"{name}.seen": seen(glob.glob(scratch + "/out/*.pdf")[0], True)}
        return printed(name, now, in_language(patient, tag, scratch), ["--draft", "--text", "--boxes"], scratch + "/out")


def differences(wanted, made):
    """One text for each file that is not as pinned."""
    for name in sorted(set(wanted) | set(made)):
        old, new = wanted.get(name), made.get(name)
        if old == new:
            continue
        if old is None or new is None:
            yield f"{FOLDER}/{name}: {'nothing makes it now' if new is None else 'is not pinned'}"
            continue
        lines = list(difflib.unified_diff(old.split("\n"), new.split("\n"), "pinned/" + name, "now/" + name, "", "", 1, ""))
        more = [f"... {len(lines) - MOST_LINES} more lines"] if len(lines) > MOST_LINES else []
        yield "\n".join(lines[:MOST_LINES] + more)


def pinned(names, plans_only):
    files = {os.path.basename(path): path for path in glob.glob(FOLDER + "/*")}
    mine = [file for file in files if not plans_only or file.endswith((".plan", ".told"))]
    return {file: read(files[file]) for file in mine if not names or re.sub(r"(\.clinic|\.large)?\.\w+$", "", file) in names}


def main():
    global PROGRAM
    with tempfile.TemporaryDirectory() as folder:
        PROGRAM = one_version.programs(".build", folder, one_version.said(run))
        return compare()


def compare():
    options = [word for word in sys.argv[1:] if word.startswith("--")]
    names = [word for word in sys.argv[1:] if not word.startswith("--")]
    plans_only = "--plans" in options
    asked = [build for build in builds() if (not names or build[0] in names) and not (plans_only and build[2])]
    made, kept = {}, pinned(names, plans_only)
    with ThreadPoolExecutor(2) as pool:
        for some in pool.map(lambda build: made_of(build, plans_only), asked):
            made |= some
            if "--stop" in options and any(kept.get(name) != text for name, text in some.items()):
                pool.shutdown(cancel_futures=True)
                print("not as pinned: " + ", ".join(sorted(some)))
                return 1
    if "--update" in options:
        for name in pinned(names, plans_only):
            os.remove(os.path.join(FOLDER, name))
        os.makedirs(FOLDER, exist_ok=True)
        for name, text in made.items():
            with open(os.path.join(FOLDER, name), "w", encoding="utf-8") as file:
                file.write(text)
    found = list(differences(pinned(names, plans_only), made))
    print("\n".join(found))
    print(f"{len(made)} golden texts of {len(asked)} builds, {len(found)} not as pinned")
    if found:
        print("When each difference is meant: tests/golden.py --update")
    return 1 if found or not made else 0


if __name__ == "__main__":
    sys.exit(main())
