#!/usr/bin/env python3
"""What is said, planned and worded is pinned also away from the samples: of every case of tests/rules
that checks one person's file, tests/pinned has what differs from the clean clinic: lines that are
gone (-) and new ones (+) of the findings with their facts and help, of the plan (there the new text of a
value alone), of the words of a draft in English, and of its shape (how its blocks are set, the numbers from
which its pictures are drawn, and what the nurse says when something went wrong); so, but for the words, of each case of tests/pinned.case, which belongs to no rule, and with the words those of tests/apart.case.
Of a case that checks other files it has the findings alone.  What all of them share stands whole in clean.txt.
All but that is made in one process (.build/drivers/plans).

usage: tests/pinned.py [--update] [--stop] [NAME...]
    --update: rewrites the files; read the difference before it is committed
    --stop: at the first case that is not as pinned
    NAME: of a rule"""
import collections
import difflib
import itertools
import os
import re
import subprocess
import sys
from datetime import datetime

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import rules
from golden import lasting

FOLDER = "tests/pinned"
MORE = ("pinned.case", "apart.case") # of no rule
MOST_LINES = 60 # of all differences
ASKS = "glyph_missing.case" # check asks the other program, which tests/mutate cannot let it
PERSON = re.compile(r"patients/[\w.-]+\.yaml")
TEXTS = ("findings", "plan", "words", "shape", "clinic")
SELDOM = "words-" # how the name of a case begins of which all words are pinned


def seconds(now):
    return int(datetime.fromisoformat(now).timestamp())


def cases_of(names):
    """[(rule, case, options, changes)]"""
    found = []
    for name in ["../" + more for more in MORE] + sorted(os.listdir(rules.CASES)):
        if not name.endswith(".case") or (names and os.path.basename(name)[:-5] not in names):
            continue
        cases = rules.read_cases(os.path.join(rules.CASES, name))
        for case in cases:
            options, changes = rules.read_edit(name[:-5] + "/" + case, rules.whole_case(cases, case))
            if options["command"] == "check" and (name != ASKS or PERSON.fullmatch(options["check"])):
                found.append((os.path.basename(name)[:-5], case, options, changes))
    return found


def kept(text, kind):
    """The lines that last: without places, which the cases and tests/trace.py have, digests and versions."""
    if kind == "plan":
        text = re.sub(r',?"origins":\[[^]]*\]', "", lasting(text))
        text = re.sub(r'^  "(source_digest|check_code)".*\n', "", text, flags=re.M)
    if kind == "clinic":
        text = lasting(text)
    if kind == "findings":
        text = re.sub(r"^( +\d* \|.*|\d+ (error|warning|note).*)\n", "", text, flags=re.M)
        text = re.sub(r"^[^\s:]+:\d+:\d+: ", "", text, flags=re.M)
        text = re.sub(r"\b[0-9a-f]{16}(-[0-9a-f]{4})+\b", "SEAL", text)
    return [line for line in text.split("\n") if line.strip()]


class Driver:
    """The one process; it answers in the folder of the clean clinic, which is changed before each question."""

    def __init__(self, folder):
        self.process = subprocess.Popen([os.path.join(rules.ROOT, ".build/drivers/plans"), os.path.join(rules.ROOT, "templates")],
                                        cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8")

    def text(self):
        lines = []
        for line in self.process.stdout:
            if line == "\f\n":
                return "".join(lines)
            lines.append(line)
        raise SystemExit(f"pinned: the driver ended, exit {self.process.wait()}")

    def end(self):
        self.process.stdin.close()
        self.process.wait()

    def texts(self, now, path):
        """{"findings": text, "plan": text, "words": text, "shape": text, "clinic": text}"""
        self.process.stdin.write(f"{seconds(now)} {path}\n")
        self.process.stdin.flush()
        return {kind: self.text() for kind in TEXTS}

    def ask(self, now, path):
        """The same in lines, as far as they last."""
        texts = self.texts(now, path)
        for code in re.findall(r'"check_code":\{"text":"(\w+)"', texts["plan"]):
            texts |= {kind: texts[kind].replace(code, "CODE") for kind in TEXTS[2:]}
        return {kind: kept(text, kind) for kind, text in texts.items()}


def without(lines, others):
    """Those of lines that others has not, as often as they are more."""
    left = collections.Counter(others)
    for line in lines:
        if left[line]:
            left[line] -= 1
        else:
            yield line


def key(line):
    """The name of a value of the plan, whose old text is no news where the new one stands."""
    return re.match(r'  ("\w+":)?', line)[0] if line.startswith("  \"") else line


def told(answer, base):
    for kind in TEXTS:
        if base[kind] and not answer[kind]:
            yield kind + ": none"
            continue
        gone, new = list(without(base[kind], answer[kind])), list(without(answer[kind], base[kind]))
        named = {key(line) for line in new} if kind == "plan" else ()
        changed = ["-" + line for line in gone if key(line) not in named] + ["+" + line for line in new]
        if changed:
            yield kind
            yield from changed


def check_said(folder, options):
    """What "dosewright check" says of other files than one person's."""
    done = subprocess.run([rules.PROGRAM, "check", "--now", options["now"], *options["check"].split()], cwd=folder,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8", errors="replace", timeout=60)
    unsealed = r"^\S+: error: [^\n]*\[seal_broken\]\n(?:[^\n]+\n)+" # in every case
    return kept(re.sub(unsealed, "", done.stdout, flags=re.M), "findings")


def pins_of(cases, names):
    """(name, text), one rule after the other."""
    with rules.clean_clinic() as folder:
        driver = Driver(folder)
        bases = {path: driver.ask(rules.NOW, path) for path in sorted(rules.CLEAN) if path.startswith("patients/")}
    if not names:
        yield "clean", "\n".join(line for path, base in bases.items() for kind in TEXTS
                                 for line in (f"== {path}, {kind}", *base[kind]))
    for rule, some in itertools.groupby(cases, key=lambda case: case[0]):
        lines = []
        for _, case, options, changes in some:
            with rules.clean_clinic() as folder:
                rules.apply(folder, changes)
                if not PERSON.fullmatch(options["check"]):
                    lines += ["== " + case, "findings", *check_said(folder, options), ""]
                    continue
                answer = driver.ask(options["now"], options["check"])
            base = bases.get(options["check"], bases["patients/base.yaml"])
            if not case.startswith(SELDOM):
                answer["clinic"] = base["clinic"]
                answer["words"] = base["words"] if rule == "pinned" else answer["words"]
            lines += ["== " + case, *told(answer, base), ""]
        yield rule, "\n".join(lines)
    driver.end()


def main():
    names = [word for word in sys.argv[1:] if not word.startswith("--")]
    cases, kept_pins, pins = cases_of(names), pinned(names), {}
    for name, text in pins_of(cases, names):
        pins[name] = text
        if "--stop" in sys.argv and kept_pins.get(name) != text:
            print(f"{name} is not as pinned")
            return 1
    if "--update" in sys.argv:
        update(pins, kept_pins)
        kept_pins = pinned(names)
    return compare(pins, kept_pins, len(cases))


def path_of(name):
    return os.path.join(rules.ROOT, FOLDER, name + ".txt")


def pinned(names):
    """{name: text} as they are kept."""
    found = {}
    os.makedirs(os.path.join(rules.ROOT, FOLDER), exist_ok=True)
    for name in sorted(file[:-4] for file in os.listdir(os.path.join(rules.ROOT, FOLDER))):
        if not names or name in names:
            with open(path_of(name), encoding="utf-8") as file:
                found[name] = file.read()
    return found


def update(pins, old):
    for name in old:
        os.remove(path_of(name))
    for name, text in pins.items():
        with open(path_of(name), "w", encoding="utf-8") as file:
            file.write(text)


def compare(pins, wanted, count):
    faults, lines = 0, []
    for name in sorted(set(wanted) | set(pins)):
        old, new = wanted.get(name, ""), pins.get(name, "")
        faults += old != new
        if old != new and len(lines) < MOST_LINES:
            lines += difflib.unified_diff(old.split("\n"), new.split("\n"), f"pinned/{name}.txt", f"now/{name}.txt", "", "", 2, "")
    print("\n".join(lines[:MOST_LINES]))
    print(f"{count} cases, {len(pins)} files of pins, {faults} not as pinned")
    if faults:
        print("When each difference is meant: tests/pinned.py --update")
    return 1 if faults or not count else 0


if __name__ == "__main__":
    sys.exit(main())
