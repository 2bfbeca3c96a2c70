#!/usr/bin/env python3
"""What is not there: each line and each key of the clean clinic, and of what a case of tests/rules brings, left out in
turn.  The program must go on and say so; which findings then come and go stands in tests/without.txt, in fields
with a tab between: the case, the file, what is left out, the findings.  Where that is only that a key is missing
there is no line.  All is asked in one process (.build/drivers/plans).

usage: tests/without.py [--update] [--stop] [RULE...]
    --update: rewrites the file; read the difference before it is committed
    --stop: at the first answer that is not as written
    RULE: only its cases; "clean" are those of the clean clinic"""
import os
import re
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import edges
import rules
from tally import as_written

WITHOUT = os.path.join(rules.HERE, "without.txt")
PAIR = re.compile(r"[\w ]+: (?:\[[^]]*\]|\"[^\"]*\"|[^,{}\[\]]+)(?:, )?")
ONLY_MISSING = "+error:key_missing"


def block(lines, index):
    """How many lines the one at index has under it, with itself."""
    depth = len(lines[index]) - len(lines[index].lstrip())
    end = index + 1
    while end < len(lines) and lines[end].strip() and len(lines[end]) - len(lines[end].lstrip()) > depth:
        end += 1
    return end - index


def left_out(text, line):
    """(what, the text without it) of a line that the text has once."""
    lines = text.split("\n")
    index = lines.index(line)
    yield line.strip(), "\n".join(lines[:index] + lines[index + block(lines, index):])
    inner = line.find("{") + 1
    for pair in PAIR.finditer(line, inner) if inner else ():
        yield (line[:pair.start()] + "<" + pair[0] + ">" + line[pair.end():]).strip(), "\n".join(
            lines[:index] + [line[:pair.start()] + line[pair.end():]] + lines[index + 1:])


def answers(clinic, names, variants):
    """(case, file, what, findings) of each variant of each line that the clean clinic or a case brings."""
    seen = set()
    for case, options, changes in edges.cases_with(names):
        with rules.clean_clinic() as folder:
            rules.apply(folder, [change for change in changes if change[0] != "clean"])
            if not os.path.isfile(os.path.join(folder, options["check"])):
                continue
            base = clinic.ask(options)
            for kind, name, old, new in changes:
                if kind not in ("file", "clean"):
                    continue
                with open(os.path.join(folder, name), encoding="utf-8") as file:
                    text = file.read()
                for line in new:
                    if line in old or not line.strip() or line.startswith("#") or text.split("\n").count(line) != 1:
                        continue
                    if kind == "file" and (name, line) in seen:
                        continue
                    seen.add((name, line))
                    for what, changed in variants(text, line):
                        yield case, name, what, edges.between(base, clinic.findings(options, name, changed, ""))


def held(path, variants, expected, what, script):
    """Asks for each variant; those that are not as expected stand in the file, which is compared or rewritten."""
    names = [word for word in sys.argv[1:] if not word.startswith("--")]
    with rules.clean_clinic() as folder:
        clinic = edges.Clinic(folder)
    known, found, faults, asked = {}, [], [], 0
    if os.path.isfile(path):
        with open(path, encoding="utf-8") as file:
            known = {tuple(line.rstrip("\n").split("\t")[:3]): line.rstrip("\n").split("\t")[3] for line in file}
    for case, name, variant, said in answers(clinic, names, variants):
        asked += 1
        if not expected(said):
            found.append("\t".join((case, name, variant, said)) + "\n")
        wanted = known.get((case, name, variant))
        if wanted != said if wanted else not expected(said):
            faults.append(f"{case}: {name}: {variant}: {said or 'nothing'}, not {wanted or 'as expected'}")
            if "--stop" in sys.argv:
                break
    clinic.end()
    if "--update" in sys.argv:
        with open(path, "w", encoding="utf-8") as file:
            file.writelines(found)
        faults = []
    return as_written(asked, what, faults, script)


if __name__ == "__main__":
    sys.exit(held(WITHOUT, left_out, lambda said: said in ("", ONLY_MISSING), "left out", "without.py"))
