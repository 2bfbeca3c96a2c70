#!/usr/bin/python3
"""Phrase sets against the English one: the same phrases, and in each the same values; a
draft sheet in each language, with the same numbers, steps and figures.

usage: tests/languages.py [all]    all: every sample, not two of them"""
import functools
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile

import pikepdf

from two_languages import translated_samples

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
faults, checked = [], 0


# What a safety sentence says, in each language: words that stop, forbid, call, and name the needle.  The
# lists are common practice, no source.
SAFETY = {
    "en": {"stop": r"\bstop\b", "not": r"\b(?:do not|cannot|never|nothing)\b", "call": r"\bcall", "needle": r"\bneedle"},
    "es": {"stop": r"\b(?:alto|pare|det[eé]ngase)\b", "not": r"\b(?:no|nunca|nada|ning[uú]n\w*|ni|sin)\b", "call": r"\bll[aá]m", "needle": r"\baguja"},
    "fr": {"stop": r"\b(?:stop|arr[eê]tez)\b", "not": r"\b(?:ne|pas|jamais|rien|aucun\w*|sans|non)\b|\bn['’]", "call": r"\br?appel",
           "needle": r"\baiguille"},
    "ar": {"stop": "توقف|توقّف|قف", "not": "لا|لم|لن|ليس|غير|دون|أبد", "call": "تصل|تّصل|تصال", "needle": "إبر|ابر"},
    "zh": {"stop": "停", "not": "不|勿|别|未|没|无", "call": "电话|致电|拨打|联系|呼叫|打(?!开|针)", "needle": "针"},
}


def missing_safety(tag, own, plain):
    """Kinds of safety words that a text has fewer of than the English one: of those that stop or call as many
    are needed, of those that forbid or name the needle one."""
    lists = SAFETY[tag.split("-")[0]]
    own, plain = (re.sub(r"\{[^}]*\}", "", text) if "{by:" not in text else text for text in (own, plain))
    counted = {kind: (len(re.findall(lists[kind], own, re.I)), len(re.findall(SAFETY["en"][kind], plain, re.I))) for kind in lists}
    return ", ".join(f"{kind} {mine} of {theirs}" for kind, (mine, theirs) in counted.items()
                     if mine < (theirs if kind in ("stop", "call") else min(theirs, 1)))


def panels_of(text):
    """The panels of a text twin: (name, what is done, all of its words)."""
    rows, found = re.split(r"^  (\d+[ab]?)  ", text, flags=re.M)[1:], []
    for name, words in zip(rows[::2], rows[1::2]):
        lines = words.split("\n\n")[0].split("\n")
        told = [line.strip() for n, line in enumerate(lines) if n == 0 or not re.match(r" +\(|  \[ \]|  \S", line)]
        found.append((name, told[0], " ".join(told)))
    return found


def plain_numbers(text):
    """Without clock times, which each language writes in its own way, and without what parts thousands."""
    text = re.sub(r"(?<=\d)[,\u00a0\u202f](?=\d{3}\b)", "", re.sub(r"\d{1,2}:\d\d(?:\s?[ap]m)?", "", text))
    return sorted(re.findall(r"\d+(?:[.,]\d+)*", text.replace(",", ".")))


def safety_faults(tag, own, plain):
    """Every safety sentence of English stands in each panel, with its numbers."""
    found = []
    for (name, done, words), (_, theirs, more) in zip(panels_of(own), panels_of(plain)):
        lost = missing_safety(tag, words, more)
        found += [f"{tag}: panel {name} says {lost}: {words}"] if lost else []
        if [n.rstrip(".") for n in plain_numbers(done)] != [n.rstrip(".") for n in plain_numbers(theirs)]:
            found.append(f"{tag}: panel {name} has {plain_numbers(done)}, in English {plain_numbers(theirs)}")
    return found


def phrases_of(path):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    return dict(re.findall(r"^  (\w+): (.*)$", text.split("phrases:\n", 1)[1], re.M)), text


def slots(text):
    """Values named in a phrase; how a date is put together is each language's own."""
    return sorted(set(re.findall(r"\{(\w+)(?::\w+)?\}", text)) - {"weekday", "next", "n", "one", "other"})


def translated(folder, tag):
    """The clean clinic with every text in two languages: the same words, since what is
    tried here is the phrase set."""
    shutil.copytree("tests/rules/base", folder)
    for name, keys in (("clinic.yaml", "demonstration"), ("protocols/base.yaml", "title why late technique")):
        path = os.path.join(folder, name)
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for key in keys.split():
            text = re.sub(rf"^(\s*{key}: )(.+)$", rf"\1{{en: \2, {tag}: \2}}", text, flags=re.M)
        text = re.sub(r"answers: ([\w ]+)\}", rf"answers: {{en: \1, {tag}: \1}}}}", text)
        text = re.sub(r"^  (normal|emergency): \[(.+)\]$", rf"  \1: [{{en: \2, {tag}: \2}}]", text, flags=re.M)
        text = text.replace("languages: [en]", f"languages: [en, {tag}]")
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
    with open(os.path.join(folder, "patients/base.yaml"), "a", encoding="utf-8") as file:
        file.write(f"language: {tag}\n")


def sheet_text(folder, scratch, *more):
    done = subprocess.run([PROGRAM, "sheet", "--now", "2026-11-23T10:00-04:00", "--draft", "--text", "--out", scratch, *more,
                           os.path.join(folder, "patients/base.yaml")], capture_output=True, text=True)
    found = glob.glob(scratch + "/*.txt")
    if not found:
        return None, done
    with open(found[0], encoding="utf-8") as file:
        return file.read(), done


def printed_sample(folder, person, tag, scratch):
    """The text of this person's sheet as printed in this language, as a draft."""
    path = os.path.join(folder, "patients", person + ".yaml")
    with open(path, encoding="utf-8") as file:
        text = file.read()
    with open(path, "w", encoding="utf-8") as file:
        file.write(re.sub(r"^language: .*\n", "", text, flags=re.M) + f"language: {tag}\n")
    now = re.match(r"# Printed (.*)", text)[1]
    subprocess.run([PROGRAM, "sheet", "--now", now, "--draft", "--text", "--out", scratch, path], capture_output=True)
    found = glob.glob(scratch + "/*.txt")
    if not found:
        return None
    with open(found[0], encoding="utf-8") as file:
        return file.read()


# A clock is said in each language's way, and the pages of each are its own.
OWN_NUMBERS = r"\d+ (?:h(?: \d+)?|[ap]m|[ap]\. ?m\.|点)|\d+:\d+|(?:page|página|第) \d+"


def own_numbers(words):
    return set(plain_numbers(re.sub(OWN_NUMBERS, "", words.replace("\u00a0", " "))))


def sample_faults(tag, person, plain, text):
    """The panels of a sample against English: safety words; numbers, but where Arabic says one and two in words."""
    ours, theirs = panels_of(plain), panels_of(text)
    if [name for name, *_ in ours] != [name for name, *_ in theirs] or not ours:
        yield f"{tag}: {person}: other panels than in English"
        return
    for (name, english, _), (_, words, _) in zip(ours, theirs):
        lost = missing_safety(tag, words, english)
        if lost:
            yield f"{tag}: {person}: panel {name} says {lost}: {words}"
        if tag != "ar" and own_numbers(words) != own_numbers(english):
            yield f"{tag}: {person}: panel {name}: numbers {own_numbers(words)}, in English {own_numbers(english)}"


# Two injections, and what a filled syringe says; the others are read by make score.
SAMPLES = (("lantern-cove", ("LC-2063",) + (("LC-1990", "LC-2041", "LC-2066", "LC-2070") if "all" in sys.argv[1:] else ())),
           ("northmere", ("NM-310",) + (("NM-318", "NM-325") if "all" in sys.argv[1:] else ())))


@functools.lru_cache(maxsize=None)
def english_sample(clinic, person):
    with tempfile.TemporaryDirectory() as scratch:
        shutil.copytree(os.path.join("samples", clinic), scratch + "/plain")
        return printed_sample(scratch + "/plain", person, "en-GB" if clinic == "northmere" else "en", scratch + "/en")


def check_samples(tag):
    for clinic, person in [(clinic, person) for clinic, people in SAMPLES for person in people]:
        with tempfile.TemporaryDirectory() as scratch:
            translated_samples(scratch + "/own", clinic, tag)
            text = printed_sample(scratch + "/own", person, tag, scratch + "/out")
            plain = english_sample(clinic, person)
            if not text or not plain:
                yield f"{tag}: {person}: no sheet"
                continue
            yield from sample_faults(tag, person, plain, text)
            # a full stop after a number stands before it: ".1 mL" (Unicode Standard Annex 9)
            if tag == "ar":
                yield from (f"ar: {person}: ends in a number: {line}" for line in text.splitlines()
                            if re.search(r"\d(?:\u00a0mL)?\u2069*\.(?:\s|$)", line))


english, _ = phrases_of("templates/languages/en.yaml")
with open("templates/clinic-pages/template.yaml", encoding="utf-8") as file, \
        open("templates/home-injection/template.yaml", encoding="utf-8") as home:
    words, others = (set(re.findall(r"\w+", text.read())) for text in (file, home))
clinic_only = {name for name in english if name in words - others}  # read by the clinic, in its own language
for path in sorted(glob.glob("templates/languages/*.yaml")):
    tag = os.path.basename(path)[:-5]
    if tag == "en":
        continue
    checked += 1
    own, whole = phrases_of(path)
    based = re.search(r"^based_on: (\S+)$", whole, re.M)
    if based: # a region's set
        base, _ = phrases_of(f"templates/languages/{based[1]}.yaml")
        faults += [f"{tag}: {name} says the same as its base" for name in own if own[name] == base.get(name)]
        own = {**base, **own}
    faults += [f"{tag}: {name} is missing" for name in english if name not in own and name not in clinic_only]
    faults += [f"{tag}: {name} is not in the English set" for name in own if name not in english]
    faults += [f"{tag}: {name} names {slots(own[name])}, English {slots(english[name])}"
               for name in own if name in english and not name.startswith("format_") and slots(own[name]) != slots(english[name])]
    same = [name for name in own if name in english and own[name] == english[name] and re.sub(r"\{[^}]*\}|[^A-Za-z]", "", own[name])]
    faults += [f"{tag}: {name} is still English: {own[name]}" for name in same if not tag.startswith("en") and not re.match(r"(unit_|colour_orange|night_no$|short_Route_IM$)", name)]
    for name in others & set(own) & set(english): # what the sheet's template names
        lost = missing_safety(tag, own[name], english[name])
        faults += [f"{tag}: {name} says {lost}: {own[name]}"] if lost and not name.startswith("format_") else []
    if not tag.startswith("en"):
        faults += check_samples(tag)
    with tempfile.TemporaryDirectory() as scratch:
        translated(os.path.join(scratch, "clinic"), tag)
        shutil.copytree("tests/rules/base", os.path.join(scratch, "english"))
        text, done = sheet_text(os.path.join(scratch, "clinic"), os.path.join(scratch, "out"))
        plain, _ = sheet_text(os.path.join(scratch, "english"), os.path.join(scratch, "plain"))
        if text is None:
            faults.append(f"{tag}: no sheet: {done.stderr[-500:]}")
            continue
        panels, figures = [[re.findall(pattern, words, re.M) for words in (text, plain)]
                           for pattern in (r"^  (\d+[ab]?)  ", r"^      (\().*\)$")]
        faults += safety_faults(tag, text, plain)
        units, parted = own["unit_units"], own["format_thousands"].strip('"')
        like_english = re.sub(rf"(\d){parted}(\d\d\d)", r"\1,\2", text.replace("\u00a0" + units, "\u00a0units"))
        volumes = [sorted(re.findall(r"[\d.,]+\u00a0(?:mL|units|G|in)", words)) for words in (like_english, plain)]
        if not panels[0] or panels[0] != panels[1] or len(figures[0]) != len(figures[1]):
            faults.append(f"{tag}: panels {panels}, {[len(some) for some in figures]} figures")
        if set(volumes[0]) != set(volumes[1]):
            faults.append(f"{tag}: amounts {volumes}")
        both, _ = sheet_text(os.path.join(scratch, "clinic"), os.path.join(scratch, "both"), "--also", "en")
        numbers = re.findall(r"^  (\d+[ab]?)  ", both or "", re.M)
        pictures = re.findall(r"^      (\().*\)$", both or "", re.M)
        if sorted(numbers) != sorted(panels[0] * 2) or len(pictures) != 2 * len(figures[0]):
            faults.append(f"{tag}: in two languages, panels {numbers}, {len(pictures)} figures")
        with pikepdf.open(glob.glob(scratch + "/both/*.pdf")[0]) as pdf:
            pdf.save(scratch + "/again.pdf") # not as printed, so that its pages are counted by their labels
            parts = [str(o.Lang) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/S") == "/Sect"]
        if parts != [tag, "en"] * (len(parts) // 2) or not parts:  # page beside page
            faults.append(f"{tag}: parts of a sheet in two languages say {parts}")
        counted = subprocess.run([PROGRAM, "read", scratch + "/again.pdf"], capture_output=True, text=True).stdout
        if "yes: every page is there" not in counted:
            faults.append(f"{tag}: pages that are whole are not read as such: {counted[-500:]}")
        if "reviewed_by" not in whole:
            final = subprocess.run([PROGRAM, "sheet", "--now", "2026-11-23T10:00-04:00", "--out", scratch + "/final",
                                    os.path.join(scratch, "clinic/patients/base.yaml")], capture_output=True)
            if final.returncode != 1:
                faults.append(f"{tag}: a final sheet in a language that nobody reviewed")
print("\n".join(faults))
print(f"{checked - min(checked, len(faults))} passed, {len(faults)} failed")
sys.exit(1 if faults or not checked else 0)
