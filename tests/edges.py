#!/usr/bin/env python3
"""Where a number begins to matter: from every number that a case of tests/rules brings, the values up and
down are searched for the place at which a finding comes or goes.  tests/edges.txt holds each such place, in
fields with a tab between: the case, the file, the line with the number in "<>", the last value on this side, the first
on the other, and which findings go and come between them.  This script asks for both values again, in one
process (.build/drivers/plans).  The cases "clean/..." are the clean clinic as it is.

usage: tests/edges.py [--find] [--update] [--stop] [RULE...]
    --find: searches anew, which takes many minutes, and rewrites the file
    --update: writes what is found now at the places that the file has; read the difference before it is committed
    --stop: at the first place that is not as written
    RULE: only the places of its cases"""
import collections
import itertools
import json
import os
import re
import subprocess
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import pinned
import rules
from tally import as_written

EDGES = os.path.join(rules.HERE, "edges.txt")
NUMBER = re.compile(r"(?<![\w.])\d+(?:,\d{3})*(?:\.\d+)?")
WORDS = re.compile(r"^\s*(?:by|author|prepared_by|title|why|lot|label|order|sheet|- \{rule|day|night|second|emergency): |^#|^approval:")
FORMS = re.compile(r"_form$|_missing$|^(zero_amount|number_unprintable|file_kind|midnight_words|needle_unknown|syringe_unknown)$") # no limits
MOST_DOUBLED = 12 # steps away, doubled so often
MOST_ALIKE = 6 # places at which the same findings come or go


class Clinic:
    """The clean clinic with the changes of one case; its findings for another value of one number."""

    def __init__(self, folder):
        self.folder = folder
        self.start()

    def start(self):
        self.process = subprocess.Popen([os.path.join(rules.ROOT, ".build/drivers/plans")], cwd=self.folder, text=True,
                                        encoding="utf-8", stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def end(self):
        self.process.stdin.close()
        self.process.wait()

    def ask(self, options):
        self.process.stdin.write(f"{pinned.seconds(options['now'])} {options['check']}\n")
        self.process.stdin.flush()
        answer = self.process.stdout.readline()
        if not answer:
            raise ChildProcessError(f"the driver ended, exit {self.process.wait()}")
        found = re.match(r'\{"findings":(\[[^\]]*\])', answer)
        return tuple(word for word in json.loads(found[1]) if word != "error seal_broken")

    def findings(self, options, name, text, value):
        """Of the file with the value in the place of "<>"."""
        path = os.path.join(self.folder, name)
        with open(path, encoding="utf-8") as file:
            before = file.read()
        with open(path, "w", encoding="utf-8") as file:
            file.write(text.replace("<>", value))
        found = self.ask(options)
        with open(path, "w", encoding="utf-8") as file:
            file.write(before)
        return found


# ---- numbers ----

def written(steps, places, commas):
    if not places:
        return f"{steps:,}" if commas else str(steps)
    whole, part = divmod(steps, 10 ** places)
    digits = str(part).zfill(places).rstrip("0")
    return (f"{whole:,}" if commas else str(whole)) + ("." + digits if digits else "")


def between(old, new):
    """The findings that go and come, in words."""
    gone, come = collections.Counter(old), collections.Counter(new)
    return " ".join(["-" + word.replace(" ", ":") for word in (gone - come).elements()] +
                    ["+" + word.replace(" ", ":") for word in (come - gone).elements()])


class Search:
    """From one number in both directions."""

    def __init__(self, ask, number):
        plain = number.replace(",", "")
        self.ask_text, self.commas, self.known = ask, "," in number, {}
        self.places = len(plain.partition(".")[2]) + 1
        self.here = int(plain.replace(".", "")) * 10
        if self.forms(self.here + 1): # only whole ones
            self.places, self.here, self.known = self.places - 1, self.here // 10, {}

    def ask(self, steps):
        if steps not in self.known:
            self.known[steps] = self.ask_text(self.text(steps))
        return self.known[steps]

    def text(self, steps):
        return written(steps, self.places, self.commas)

    def forms(self, steps):
        return any(FORMS.search(word.split(" ")[1]) for word in set(self.ask(steps)) - set(self.ask(self.here)))

    def edge(self, start, sign):
        """(last like start, first unlike), or None"""
        near, far = start, None
        for doubled in range(MOST_DOUBLED):
            steps = start + sign * 2 ** doubled
            if steps < 0:
                steps = 0
            if self.ask(steps) != self.ask(start):
                far = steps
                break
            near = steps
            if steps == 0:
                return None
        while far is not None and abs(far - near) > 1:
            middle = (near + far) // 2
            near, far = (middle, far) if self.ask(middle) == self.ask(start) else (near, middle)
        return None if far is None else (near, far)

    def edges(self):
        for sign in (1, -1):
            found = self.edge(self.here, sign)
            if found and not self.forms(found[1]):
                yield found
                more = self.edge(found[1], sign)
                if more and not self.forms(more[1]):
                    yield more


# ---- all cases ----

def clean_cases():
    """Each person of the clean clinic: every line of all files that has a number counts as new."""
    for name in sorted(rules.CLEAN):
        for person in sorted(rules.CLEAN):
            if person.startswith("patients/") and ("/" not in name or person[9:] == name.split("/")[1]):
                yield (f"clean/{person[9:-5]}: {name}", dict(rules.ORDINARY, check=person),
                       [["clean", name, [], rules.CLEAN[name].decode().split("\n")]])


def cases_with(names):
    """(name, options, changes) of the cases that check one person's file, or the protocol of one of the clean clinic."""
    if not names or "clean" in names:
        yield from clean_cases()
    for file in sorted(os.listdir(rules.CASES)):
        if not file.endswith(".case") or (names and file[:-5] not in names):
            continue
        for case, lines in rules.read_cases(os.path.join(rules.CASES, file)).items():
            options, changes = rules.read_edit(file[:-5] + "/" + case, lines)
            options["check"] = re.sub(r"^protocols/", "patients/", options["check"])
            if options["command"] == "check" and pinned.PERSON.fullmatch(options["check"]):
                yield file[:-5] + "/" + case, options, changes


def places_of(folder, changes, seen):
    """(file, its text with "<>" for a number, the line with the number in it, the number)"""
    for kind, name, old, new in changes:
        for line in new or () if kind in ("file", "clean") else ():
            if line in old or WORDS.search(line) or (name, line) in seen:
                continue
            seen |= {(name, line)} if kind == "file" else set()
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                text = file.read()
            for number in NUMBER.finditer(line) if text.count("\n" + line + "\n") == 1 else ():
                if re.fullmatch(r"20\d\d", number[0]):
                    continue
                marked = line[:number.start()] + "<>" + line[number.end():]
                yield (name, text.replace("\n" + line + "\n", "\n" + marked + "\n"),
                       marked.replace("<>", "<" + number[0] + ">").strip(), number[0])


def find(clinic, names):
    """The lines of the file."""
    seen, alike = set(), collections.Counter()
    for case, options, changes in cases_with(names):
        with rules.clean_clinic() as folder:
            rules.apply(folder, [change for change in changes if change[0] != "clean"])
            if not os.path.isfile(os.path.join(folder, options["check"])):
                continue
            for name, text, line, number in list(places_of(folder, changes, seen)):
                search = Search(lambda value: clinic.findings(options, name, text, value), number)
                for near, far in search.edges():
                    what = between(search.ask(near), search.ask(far))
                    alike[what] += 1
                    if what and alike[what] <= MOST_ALIKE:
                        yield "\t".join((case, name, line, search.text(near), search.text(far), what))


def faults(clinic, names, wanted):
    """A line for each place that is not as written; puts what is found there into the fields."""
    cases = {case: (options, changes) for case, options, changes in cases_with(names)}
    for case, group in itertools.groupby(wanted, key=lambda fields: fields[0]):
        if case not in cases:
            for fields in group if not names else ():
                fields[5] = ""
                yield f"{case}: there is no such case"
            continue
        options, changes = cases[case]
        with rules.clean_clinic() as folder:
            rules.apply(folder, [change for change in changes if change[0] != "clean"])
            there = {(name, line): text for name, text, line, _ in places_of(folder, changes, set())}
            for fields in group:
                _, name, line, near, far, what = fields
                if (name, line) not in there:
                    fields[5] = ""
                    yield f"{case}: {name} has no line {line}"
                    continue
                said = between(*(clinic.findings(options, name, there[name, line], value) for value in (near, far)))
                if said != what:
                    fields[5] = said
                    yield f"{case}: {line} from {near} to {far}: {said or 'nothing'}, not {what}"


def main():
    names = [word for word in sys.argv[1:] if not word.startswith("--")]
    with rules.clean_clinic() as folder:
        clinic = Clinic(folder)
    if "--find" in sys.argv:
        with open(EDGES, "w", encoding="utf-8") as file:
            for line in find(clinic, names):
                file.write(line + "\n")
                file.flush()
    with open(EDGES, encoding="utf-8") as file:
        wanted = [line.rstrip("\n").split("\t") for line in file]
    found = []
    for fault in faults(clinic, names, wanted):
        found.append(fault)
        if "--stop" in sys.argv:
            break
    clinic.end()
    if "--update" in sys.argv:
        with open(EDGES, "w", encoding="utf-8") as file:
            file.writelines("\t".join(fields) + "\n" for fields in wanted if fields[5])
        found = []
    return as_written(len(wanted), "places", found, "edges.py")


if __name__ == "__main__":
    sys.exit(main())
