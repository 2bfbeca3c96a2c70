#!/usr/bin/env python3
"""Two cases of tests/rules at once: most find what each of them finds, and nothing else.  The pairs, drawn by a
fixed seed from those that do not touch the same lines, are asked in one process (.build/drivers/plans);
tests/pairs.txt holds those of which it is not so: the two cases, and which findings go and come beside those of
the two, in fields with a tab between.

usage: tests/pairs.py [--update] [--stop]
    --update: rewrites the file; read the difference before it is committed
    --stop: at the first pair that is not as written"""
import collections
import os
import random
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import edges
import rules
from tally import as_written

PAIRS = os.path.join(rules.HERE, "pairs.txt")
COUNT, SEED = 1500, 5


def asked(clinic, options, changes):
    """Findings, or None when the changes do not go together."""
    with rules.clean_clinic() as folder:
        try:
            rules.apply(folder, changes)
        except (rules.CaseError, OSError):
            return None
        return clinic.ask(options) if os.path.isfile(os.path.join(folder, options["check"])) else None


def drawn(cases):
    """Pairs of cases of one person at one time."""
    by_question = collections.defaultdict(list)
    for case in cases:
        if all(change[0] == "file" for change in case[2]):
            by_question[case[1]["check"], case[1]["now"]].append(case)
    groups = [group for _, group in sorted(by_question.items()) if len(group) > 1]
    random_one = random.Random(SEED)
    weights = [len(group) for group in groups]
    for _ in range(COUNT):
        yield random_one.sample(random_one.choices(groups, weights)[0], 2)


def answers(clinic):
    """(both cases, what is not as each alone says)"""
    alone = {}
    cases = [case for case in edges.cases_with([]) if not case[0].startswith("clean/")]
    for pair in drawn(cases):
        options = pair[0][1]
        clean = (options["check"], options["now"])
        for name, changes in ((clean, []), *((case[0], case[2]) for case in pair)):
            if name not in alone:
                alone[name] = asked(clinic, options, changes)
        both = asked(clinic, options, pair[0][2] + pair[1][2])
        if both is None or None in (alone[case[0]] for case in pair):
            continue
        base, first, second = (collections.Counter(alone[name]) for name in (clean, pair[0][0], pair[1][0]))
        wanted = (first - base) + (second - base) + (base & first & second)
        yield f"{pair[0][0]}\t{pair[1][0]}", edges.between(tuple(wanted.elements()), both)


def main():
    with rules.clean_clinic() as folder:
        clinic = edges.Clinic(folder)
    known, found, faults, count = {}, {}, [], 0
    if os.path.isfile(PAIRS):
        with open(PAIRS, encoding="utf-8") as file:
            known = dict(line.rstrip("\n").rsplit("\t", 1) for line in file)
    for pair, said in answers(clinic):
        count += 1
        if said:
            found[pair] = said
        if said != known.get(pair, ""):
            faults.append(f"{pair}: {said or 'as each alone'}, not {known.get(pair, 'as each alone')}")
            if "--stop" in sys.argv:
                break
    clinic.end()
    if "--update" in sys.argv:
        with open(PAIRS, "w", encoding="utf-8") as file:
            file.writelines(f"{pair}\t{said}\n" for pair, said in found.items())
        faults = []
    return as_written(count, "pairs", faults, "pairs.py")


if __name__ == "__main__":
    sys.exit(main())
