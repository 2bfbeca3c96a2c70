#!/usr/bin/env python3
"""Fills the record of a clinic that samples/tonight made with so many more people, as the program
would have: numbered and printed, each entry chained to the one before, found by their words and
times.  Their injections lie weeks back.  usage: tests/bench/crowd.py FOLDER PEOPLE"""
import hashlib
import os
import re
import sqlite3
import sys

folder, people = sys.argv[1], int(sys.argv[2])
base = sqlite3.connect(os.path.join(folder, "record.db"))
printed = base.execute("SELECT clinic, by_whom, body, sheet FROM entry WHERE kind = 'printed' ORDER BY seq LIMIT 1").fetchone()
seq, at, digest = base.execute("SELECT seq, at, digest FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
number = base.execute("SELECT max(sheet) FROM entry").fetchone()[0]
clinic, by, body, _ = printed
DAY = 86400
# Words that all of them share with the person whose sheet they copy: telephone, spoken code, lot.
shared = [word for (word,) in base.execute("SELECT word FROM word WHERE sheet = (SELECT min(sheet) FROM word)")
          if word in re.sub(r"[^a-z0-9]", "", " ".join(re.findall(r"(?m)^(?:phone|check_code_1|lot_1): (.*)$", body)).lower())
          and len(word) > 2]


def add(kind, sheet, person, text):
    global seq, digest
    seq += 1
    columns = [seq, at, 1, kind, clinic, sheet, person, by, text]
    digest = hashlib.sha256("\n".join([digest, *map(str, columns)]).encode()).hexdigest()
    base.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", [*columns, digest])


for one in range(people):
    number += 1
    person, name, order = f"ZZ-{one:05}", f"Person {one}", f"Q-{one}"
    add("numbered", number, person, f"order: {order}\ndigest: {one:064x}\nmade: {at}\n")
    text = re.sub(r"(?m)^(person_code|person_name|order_number|sheet_number): .*$",
                  lambda m: f"{m[1]}: " + {"person_code": person, "person_name": name, "order_number": order,
                                           "sheet_number": str(number)}[m[1]], body)
    back = DAY * (30 + one // 20)
    text = re.sub(r"(?m)^(acts_1|from_1|until_1): (\d+)$", lambda m: f"{m[1]}: {int(m[2]) - back}", text)
    add("printed", number, person, text)
    first, last = (int(re.search(rf"(?m)^{word}: (\d+)$", text)[1]) for word in ("from_1", "until_1"))
    base.execute("INSERT INTO due VALUES (?, ?, 1, ?, ?)", (seq, number, first, last))
    for word in (person.lower().replace("-", ""), order.lower().replace("-", ""), f"person{one}", "person", str(one),
                 *shared):
        base.execute("INSERT INTO word VALUES (?, ?, ?)", (seq, number, word))
base.commit()
print(f"{people} people more, {os.path.getsize(os.path.join(folder, 'record.db')) >> 20} MB of record")
