#!/usr/bin/env python3
"""Doses by units alone: GNU units (Debian's package), which knows nothing of medicine, divides each dose by
its strength and multiplies it back, and the program's sums (.build/drivers/sums) must say the same.  A slip
between g, mg and mcg, or between mL and L, shows here whatever the other sums share.  600 seeded cases, a third
of them in units of activity, which GNU units is told of as a unit of its own."""
import os
import random
import subprocess
import sys
import tempfile
from fractions import Fraction

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
SUMS = ".build/drivers/sums"
CASES = 600
MASS = {"g": "g", "mg": "mg", "mcg": "microgram"}
CLOSE = Fraction(1, 10**11)  # GNU units works in double precision


def number(value):
    """As a file says it: groups of three, no zero at the end."""
    whole, _, part = f"{float(value):.4f}".partition(".")
    return f"{int(whole):,}" + ("." + part.rstrip("0") if part.rstrip("0") else "")


def cases():
    random.seed(20261130)
    for _ in range(CASES):
        activity = random.random() < 1 / 3
        dose_unit, strength_unit = ("units", "units") if activity else random.choices(list(MASS), k=2)
        dose = Fraction(random.randint(1, 40000), random.choice((1, 2, 4, 10, 100)))
        amount = Fraction(random.randint(1, 4000), random.choice((1, 2, 10)))
        volume = Fraction(random.randint(1, 40), random.choice((1, 2, 4)))
        per = "/mL" if volume == 1 else f" per {number(volume)} mL"
        yield f"{number(dose)} {dose_unit}", dose_unit, f"{number(amount)} {strength_unit}{per}", strength_unit


def for_units(text):
    """The program's way of writing, as an expression of GNU units."""
    text = text.replace(",", "").replace(" per ", " / (").replace("/mL", " / (1 mL")
    words = [{"units": "activity", "mcg": "microgram"}.get(word, word) for word in text.split(" ")]
    return " ".join(words) + (")" if "(" in text else "")


def by_units(pairs):
    """What GNU units says of each (have, want)."""
    with tempfile.NamedTemporaryFile("w", suffix=".units", encoding="utf-8") as own:
        own.write("activity !\n")
        own.flush()
        done = subprocess.run(["units", "--quiet", "--terse", "--digits", "17", "-f", "", "-f", own.name],
                              input="".join(f"{have}\n{want}\n" for have, want in pairs), capture_output=True, text=True)
    return done.stdout.split("\n")


def fraction(text):
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None


def main():
    asked = list(cases())
    told = by_units([(f"({for_units(dose)}) / ({for_units(strength)})", "mL") for dose, _, strength, _ in asked])
    said = subprocess.run([SUMS], input="".join(f"volume {dose}|{strength}\n" for dose, _, strength, _ in asked),
                          capture_output=True, text=True).stdout.split("\n")
    faults = []
    for (dose, _, strength, _), theirs, ours in zip(asked, told, said):
        wanted, found = fraction(theirs), fraction(ours)
        if wanted is None or found is None or abs(found - wanted) > CLOSE * max(abs(wanted), 1):
            faults.append(f"{dose} of {strength}: {ours} mL, GNU units says {theirs}")
    print("\n".join(faults[:20]))
    print(f"{len(asked) - len(faults)} passed, {len(faults) + (len(told) < CASES)} failed")
    return 1 if faults or len(told) < CASES else 0


sys.exit(main())
