#!/usr/bin/env python3
"""What cannot be read: each value of the clean clinic, and of what a case of tests/rules brings, made unreadable in
turn.  One cause gives one finding: the value that cannot be read is told, and the rules that would need it stay
silent.  Where more comes, or something else, it stands in tests/unread.txt, in fields with a tab between: the case,
the file, the line, the findings.  A text takes every word, so nothing comes of it, and it has no line.  All is
asked in one process (.build/drivers/plans).

usage: tests/unread.py [--update] [--stop] [RULE...]
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

UNREAD = os.path.join(rules.HERE, "unread.txt")
VALUE = re.compile(r"((?:^|[{,] ?|- )[ ]*[\w ]+: )(\"[^\"]*\"|[^,{}\[\]\"#]+?)(?=[,}]|\s*$)")
WORD = '"§"' # stands in no list of words, and begins no number, day or hour
ONE = re.compile(r"\+error:\w+")


def unread(text, line):
    """(what, the text with one value of the line unreadable) of a line that the text has once."""
    for pair in VALUE.finditer(line):
        changed = line[:pair.start(2)] + WORD + line[pair.end(2):]
        yield changed.strip(), text.replace("\n" + line + "\n", "\n" + changed + "\n", 1)


def answers(clinic, names):
    """(case, file, what, findings)"""
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
                    for what, changed in unread(text, line):
                        yield case, name, what, edges.between(base, clinic.findings(options, name, changed, ""))


def one_cause(said):
    """One error came, and nothing else did; what needed the value may have gone."""
    came = [word for word in said.split() if word.startswith("+")]
    return not came or (len(came) == 1 and ONE.fullmatch(came[0]) is not None)


def main():
    names = [word for word in sys.argv[1:] if not word.startswith("--")]
    with rules.clean_clinic() as folder:
        clinic = edges.Clinic(folder)
    known, found, faults, asked = {}, [], [], 0
    if os.path.isfile(UNREAD):
        with open(UNREAD, encoding="utf-8") as file:
            known = {tuple(line.rstrip("\n").split("\t")[:3]): line.rstrip("\n").split("\t")[3] for line in file}
    for case, name, what, said in answers(clinic, names):
        asked += 1
        if not one_cause(said):
            found.append("\t".join((case, name, what, said)) + "\n")
        wanted = known.get((case, name, what))
        if wanted != said if wanted else not one_cause(said):
            faults.append(f"{case}: {name}: {what}: {said}, not {wanted or 'one error'}")
            if "--stop" in sys.argv:
                break
    clinic.end()
    if "--update" in sys.argv:
        with open(UNREAD, "w", encoding="utf-8") as file:
            file.writelines(found)
        faults = []
    return as_written(asked, "made unreadable", faults, "unread.py")


if __name__ == "__main__":
    sys.exit(main())
