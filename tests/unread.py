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
import rules
import without

UNREAD = os.path.join(rules.HERE, "unread.txt")
VALUE = re.compile(r"((?:^|[{,] ?|- )[ ]*[\w ]+: )(\"[^\"]*\"|[^,{}\[\]\"#]+?)(?=[,}]|\s*$)")
WORD = '"§"' # stands in no list of words, and begins no number, day or hour
ONE = re.compile(r"\+error:\w+")


def unread(text, line):
    """(what, the text with one value of the line unreadable) of a line that the text has once."""
    for pair in VALUE.finditer(line):
        changed = line[:pair.start(2)] + WORD + line[pair.end(2):]
        yield changed.strip(), text.replace("\n" + line + "\n", "\n" + changed + "\n", 1)


def one_cause(said):
    """One error came, and nothing else did; what needed the value may have gone."""
    came = [word for word in said.split() if word.startswith("+")]
    return not came or (len(came) == 1 and ONE.fullmatch(came[0]) is not None)


if __name__ == "__main__":
    sys.exit(without.held(UNREAD, unread, one_cause, "made unreadable", "unread.py"))
