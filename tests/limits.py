#!/usr/bin/env python3
"""Each limit of limits.def, sites.def and routes.def, and those of our own choice in compiler/rules, with a
value at it, one below and one above: the rule's severity changes there and nowhere else.  The limits are
written here once more, from the rows of tests/reference that the tables name, so that a slip in a table
shows too.  Judged by .build/drivers/plans on the clean clinic of tests/rules/base."""
import json
import os
import re
import subprocess
import sys
import tempfile
from datetime import date, timedelta
from fractions import Fraction

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
NOW = 1795442400 # 2026-11-23 10:00 in Halifax

# anchor: its words, hours: outside the inner pair a warning, outside the outer pair an error
OFFSETS = {"COLLECTION": ("egg collection", 32, 34, 38, 40), "INSEMINATION": ("insemination", 1, 24, 40, 48),
           "INTERCOURSE": ("timed intercourse", 0, 0, 40, 48)}
# ISO 6009
HUBS = {16: "white", 17: "red-violet", 18: "pink", 19: "cream", 20: "yellow", 21: "deep green", 22: "black", 23: "deep blue",
        24: "medium purple", 25: "orange", 26: "brown", 27: "medium grey", 28: "blue-green", 29: "red", 30: "yellow"}
# site and route: mL at which sources begin to disagree and above which none goes; then sixteenths of an
# inch: outside the outer pair an error, outside the inner pair a warning.  The deltoid's length hangs on weight.
SITES = {("VENTROGLUTEAL", "intramuscular"): (3, 5, 16, 24, 24, 24), ("DORSOGLUTEAL", "intramuscular"): (3, 5, 24, 24, 24, 32),
         ("DELTOID", "intramuscular"): (1, 2, None, None, None, None), ("THIGH", "intramuscular"): (3, 5, 10, 16, 24, 24),
         ("THIGH", "subcutaneous"): (1, 2, 2, 5, 10, 10), ("ABDOMEN", "subcutaneous"): (1, 2, 2, 5, 10, 10)}
# mm by which the needle is sold that publications name by so many sixteenths of an inch: needle_length.csv N45-N47
SIZES = {16: 10, 25: 16, 38: 24, 40: 24, 50: 32}
ANGLES = {"intramuscular": 72, "subcutaneous": 45} # degrees, up to 90


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


BASE = {name: read("tests/rules/base/" + name) for name in ("clinic.yaml", "shelf.yaml", "protocols/base.yaml", "patients/base.yaml")}
cases = [] # (what, rule, severity wanted or None, {file: text})


def case(what, rule, wanted, *changes):
    """changes: (file, old, new), each there once at least."""
    files = dict(BASE)
    for name, old, new in changes:
        if old not in files[name]:
            raise SystemExit(f"limits: {name} has no {old!r}")
        files[name] = files[name].replace(old, new)
    cases.append((what, rule, wanted, files))


def judged(value, low, usual_low, usual_high, high):
    return "error" if not low <= value <= high else None if usual_low <= value <= usual_high else "warning"


def span(minutes):
    return " ".join(part for part in (f"{minutes // 60} h" if minutes >= 60 else "", f"{minutes % 60} min" if minutes % 60 else "") if part)


def offsets():
    for words, low, usual_low, usual_high, high in OFFSETS.values():
        for limit in sorted({low, usual_low, usual_high, high}):
            for minutes in (limit * 60 - 1, limit * 60, limit * 60 + 1):
                if minutes < 1:
                    continue
                case(f"{span(minutes)} before {words}", "offset_outside_practice",
                     judged(Fraction(minutes, 60), low, usual_low, usual_high, high),
                     ("protocols/base.yaml", "anchor: egg collection", f"anchor: {words}"),
                     ("protocols/base.yaml", "36 h before egg collection", f"{span(minutes)} before {words}"),
                     ("protocols/base.yaml", "window: 15 min either side", "window: exactly"))


def hubs():
    colours = sorted(set(HUBS.values()))
    for gauge, hub in HUBS.items():
        for said in (hub, colours[(colours.index(hub) + 1) % len(colours)]):
            case(f"{gauge} G with a {said} hub", "needle_colour_disagrees", None if said == hub else "error",
                 ("protocols/base.yaml", "needle: 25 G x 1.5 in", f"needle: {gauge} G x 1.4 in"),
                 ("shelf.yaml", "  - {needle: 22 G", f"  - {{needle: {gauge} G x 1.4 in, hub: {said}, dead_space: 0.01 mL}}\n  - {{needle: 22 G"))


def of_oil(site, route, dose):
    return (("protocols/base.yaml", "medicine: powder ten", "medicine: oil fifty"),
            ("protocols/base.yaml", "dose: 10,000 units\n    dose_is: the whole content", f"dose: {dose} mg\n    dose_is: a measured part"),
            ("protocols/base.yaml", "    mix:\n      diluent: water ten\n      add: 1 mL\n      syringe: 3 mL", "    draw:\n      syringe: 5 mL"),
            *at(site, route))


def at(site, route):
    return (("protocols/base.yaml", "site: ventrogluteal", f"site: {site.lower()}"),
            ("protocols/base.yaml", "route: intramuscular", f"route: {route}"))


def places():
    for (site, route), (lowest, highest, least, agreed_least, agreed_most, most) in SITES.items():
        for limit in (lowest, highest):
            for volume in (Fraction(limit) - Fraction(1, 100), Fraction(limit), Fraction(limit) + Fraction(1, 100)):
                dose = f"{float(volume * 50):g}"
                wanted = "error" if volume > highest else "warning" if volume > lowest else None
                case(f"{float(volume):g} mL, {site}, {route}", "volume_for_site", wanted, *of_oil(site, route, dose))
        limits = sorted({least, agreed_least, agreed_most, most} - {None})
        for sixteenths in [limit + Fraction(tenths, 10) for limit in limits for tenths in (-1, 0, 1)]:
            inches = f"{float(Fraction(sixteenths) / 16):.5f}".rstrip("0").rstrip(".")
            length_at(f"{inches} in", site, route, judged(sixteenths, least, agreed_least, agreed_most, most))
        for mm in range(15, 52) if limits else ():
            size = SIZES.get(mm, Fraction(mm * 160, 254))
            length_at(f"{mm} mm", site, route, judged(size, least, agreed_least, agreed_most, most))


def length_at(length, site, route, wanted):
    case(f"{length}, {site}, {route}", "needle_length_site", wanted, *at(site, route),
         ("protocols/base.yaml", "needle: 25 G x 1.5 in", f"needle: 25 G x {length}"),
         ("shelf.yaml", "  - {needle: 22 G", f"  - {{needle: 25 G x {length}, hub: orange, dead_space: 0.01 mL}}\n  - {{needle: 22 G"))


def angles():
    for route, least in ANGLES.items():
        for degrees in (least - 1, least, least + 1, 89, 90):
            case(f"{degrees} degrees, {route}", "angle_for_route", None if degrees >= least else "warning",
                 ("protocols/base.yaml", "angle: 90", f"angle: {degrees}"), ("protocols/base.yaml", "route: intramuscular", f"route: {route}"))


def windows():
    """The widest window of a trigger is 2 h, ours (compiler/rules/offset.c)."""
    for minutes in (59, 60, 61):
        case(f"{minutes} min either side", "window_too_wide", None if minutes <= 60 else "warning",
             ("protocols/base.yaml", "15 min either side", f"{minutes} min either side"))


    for minutes in (119, 120, 121): # of what is given at other events, and of a course: 4 h (TT30)
        case(f"{minutes} min either side, insemination", "window_too_wide", None if minutes <= 120 else "warning",
             ("protocols/base.yaml", "15 min either side", f"{span(minutes)} either side"),
             ("protocols/base.yaml", "anchor: egg collection", "anchor: insemination"),
             ("protocols/base.yaml", "36 h before egg collection", "36 h before insemination"))
    for hours, edge in ((32, "1 min before to {} after"), (40, "{} before to 1 min after")):
        for minutes in (29, 30, 31): # that a window may pass the published hours by, ours
            case(f"{hours} h before, {edge.format(span(minutes))}", "window_too_wide", None if minutes <= 30 else "warning",
                 ("protocols/base.yaml", "36 h before", f"{hours} h before"),
                 ("protocols/base.yaml", "15 min either side", edge.format(span(minutes))))


SECOND = """  - name: second
    medicine: ready five
    dose: 4 mg
    dose_is: a measured part
    when: {} before egg collection
    window: exactly
    route: subcutaneous
    site: abdomen
    draw: {{syringe: insulin}}
    give: {{angle: 90 degrees, by: self}}
    late: Call us now.
kit:"""


def pairs():
    """Hours between two injections of a trigger: 12 usual, 24 at most, ours (compiler/rules/offset.c)."""
    for hours in (12, 24):
        for apart in (hours * 60 - 1, hours * 60, hours * 60 + 1):
            for sign in (-1, 1):
                case(f"a second trigger {span(apart)} {'later' if sign < 0 else 'earlier'}", "triggers_apart",
                     None if apart <= 720 else "warning" if apart <= 1440 else "error",
                     ("protocols/base.yaml", "kit:", SECOND.format(span(36 * 60 + sign * apart))))


TODAY, LAST_ACT, APPROVED = date(2026, 11, 23), date(2026, 11, 24), date(2026, 10, 1)


def days():
    """Ours (compiler/rules): a label is read again after two years of 366 days, a box keeps 7 days beyond its last
    use and never ten years, a review is announced 30 days ahead and lies 366 days behind the approval at most."""
    for ago in (-1, 0, 1, 731, 732, 733):
        case(f"a label read {ago} days ago", "label_date", "error" if ago < 0 else "warning" if ago > 732 else None,
             ("shelf.yaml", "15 C to 25 C}\n    label: {source: invented, on: 2026-09-01}",
              f"15 C to 25 C}}\n    label: {{source: invented, on: {TODAY - timedelta(ago)}}}"))
    for left in (-1, 0, 1, 6, 7, 8):
        case(f"a box that expires {left} days after its last use", "box_expires",
             "error" if left < 0 else "warning" if left < 7 else None,
             ("patients/base.yaml", "expires: 2027-08", f"expires: {LAST_ACT + timedelta(left)}"))
    for ahead in (3659, 3660, 3661):
        case(f"a box that expires in {ahead} days", "entry_implausible", "error" if ahead > 3660 else None,
             ("patients/base.yaml", "expires: 2027-08", f"expires: {TODAY + timedelta(ahead)}"))
    for left in (-1, 0, 1, 29, 30, 31):
        case(f"a review in {left} days", "review_overdue", "error" if left < 0 else "warning" if left <= 30 else None,
             ("protocols/base.yaml", "review_by: 2027-10-01", f"review_by: {TODAY + timedelta(left)}"))
    for apart in (365, 366, 367):
        case(f"a review {apart} days after the approval", "review_far", "error" if apart > 366 else None,
             ("protocols/base.yaml", "review_by: 2027-10-01", f"review_by: {APPROVED + timedelta(apart)}"))


def signed():
    """Ours (compiler/rules/acceptance.c): an acceptance holds for 184 days at most, and its last 30 are told."""
    window = ("protocols/base.yaml", "15 min either side", "61 min either side")

    def accepted(on, until):
        return window, ("protocols/base.yaml", "injections:\n", "acceptances:\n  - {rule: window_too_wide, because: The nurse "
                        f"calls at that hour., by: Dr R. Invented, on: {on}, until: {until}}}\ninjections:\n")
    for length in (183, 184, 185):
        case(f"an acceptance for {length} days", "acceptance_stale", "error" if length > 184 else None,
             *accepted(APPROVED, APPROVED + timedelta(length)))
    for left in (29, 30, 31):
        case(f"an acceptance with {left} days left", "acceptance_ending", "note" if left <= 30 else None,
             *accepted(APPROVED, TODAY + timedelta(left)))


def ranges():
    """Ours (compiler/rules/dose.c): a range on the shelf is not ten times as wide, and does not go beyond twice the
    published doses (tests/reference/dose_ranges.csv: 500 to 10,000 units); a dose neither."""
    single = '"1,500 units to 10,000 units"'
    for least in (999, 1000, 1001):
        case(f"doses from {least} to 10,000 units", "dose_range_implausible", "error" if least <= 1000 else None,
             ("shelf.yaml", single, f'"{least} units to 10,000 units"'))
    for most, wanted in ((9999, None), (10000, None), (10001, "warning"), (19999, "warning"), (20000, "warning"), (20001, "error")):
        case(f"doses up to {most} units", "dose_range_implausible", wanted,
             ("shelf.yaml", single, f'"5,000 units to {most} units"'))
    for least, wanted in ((249, "error"), (250, "warning"), (251, "warning"), (499, "warning"), (500, None), (501, None)):
        case(f"doses from {least} units", "dose_range_implausible", wanted,
             ("shelf.yaml", single, f'"{least} units to 2,400 units"'))
    for by, least_of_all in (("the clinic", 1500), ("the label", 750)):
        for dose in (749, 750, 751, 1499, 1500, 1501):
            case(f"{dose} units of a range of {by}", "dose_outside_range", judged(dose, least_of_all, 1500, 10000, 10000),
                 ("shelf.yaml", single + ", set_by: the clinic", f"{single}, set_by: {by}"),
                 ("protocols/base.yaml", "dose: 10,000 units\n    dose_is: the whole content", f"dose: {dose} units\n    dose_is: a measured part"))


def lost():
    """Ours (compiler/rules/syringe.c): a tenth of what is injected may stay in the needle."""
    for thousandths in (79, 80, 81):
        case(f"0.{thousandths:03d} of 0.8 mL stays", "dead_space", "warning" if thousandths > 80 else None,
             ("shelf.yaml", "25 G x 1.5 in, hub: orange, dead_space: 0.01 mL", f"25 G x 1.5 in, hub: orange, dead_space: 0.{thousandths:03d} mL"),
             ("protocols/base.yaml", "dose: 10,000 units\n    dose_is: the whole content", "dose: 8,000 units\n    dose_is: a measured part"))


AGONIST = ("medicine: powder ten", "dose: 10,000 units\n    dose_is: the whole content", "route: intramuscular", "site: ventrogluteal",
           "    mix:\n      diluent: water ten\n      add: 1 mL\n      syringe: 3 mL\n      needle: 18 G x 1.5 in",
           "      needle: 25 G x 1.5 in\n      spare_needles: 1\n")
AS_AGONIST = ("medicine: ready five", "dose: 4 mg\n    dose_is: a measured part", "route: subcutaneous", "site: abdomen",
              "    draw: {syringe: insulin}", "")


def near():
    """Ours (compiler/rules/offset.c): what is given by the clock more than 72 h before the event is no trigger, unless
    it can be nothing else; within them it is judged as one.  The event is at 11:30 am."""
    for clock, before in (("11:31 am", "71 h 59 min"), ("11:30 am", "72 h"), ("11:29 am", "72 h 1 min")):
        when = ("protocols/base.yaml", "when: 36 h before egg collection", f"when: {clock} on day -3")
        case(f"a trigger {before} before", "offset_for_person", "error", when)
        case(f"an agonist {before} before", "offset_for_person", "error" if clock != "11:29 am" else None, when,
             *(("protocols/base.yaml", *pair) for pair in zip(AGONIST, AS_AGONIST)))


def spans():
    """Ours (compiler/reader/number.c): no time of these files is longer than 1,000 days."""
    for given, wanted in (("999 days", None), ("1000 days", None), ("1001 days", "error")):
        case(f"in use for {given}", "minutes_form", wanted, ("shelf.yaml", "take_out: 30 min, in_use: 28 days", f"take_out: 30 min, in_use: {given}"))


def tables():
    """Every row of the tables is written here."""
    text = read("compiler/rules/limits.def") + read("compiler/language/sites.def") + read("compiler/language/routes.def")
    for macro, ours in (("OFFSET", set(OFFSETS)), ("HUB_COLOUR", {str(gauge) for gauge in HUBS}), ("SITE", {site for site, _ in SITES}),
                        ("NEEDLE_SIZE", {str(mm) for mm in SIZES})):
        rows = set(re.findall(rf"^{macro}\((\w+),", text, re.M))
        if rows != ours:
            yield f"{macro} has the rows {sorted(rows)}, and {sorted(ours)} are tried here"
    if set(re.findall(r'^ROUTE\(\w+, "(\w+)"', text, re.M)) != set(ANGLES):
        yield "a route is not tried here"


def answers():
    with tempfile.TemporaryDirectory() as scratch:
        questions = ""
        for number, (_, _, _, files) in enumerate(cases):
            for name, text in files.items():
                path = os.path.join(scratch, str(number), name)
                os.makedirs(os.path.dirname(path), exist_ok=True)
                with open(path, "w", encoding="utf-8") as file:
                    file.write(text)
            questions += f"{NOW} {scratch}/{number}/patients/base.yaml\n"
        done = subprocess.run([".build/drivers/plans"], input=questions, capture_output=True, text=True)
    return [json.loads(line)["findings"] for line in done.stdout.split("\n")[:-1]]


def main():
    for some in (offsets, hubs, places, angles, windows, pairs, days, signed, ranges, lost, near, spans):
        some()
    faults = list(tables())
    found = answers()
    if len(found) != len(cases):
        faults.append(f"{len(found)} answers to {len(cases)} cases")
    for (what, rule, wanted, _), findings in zip(cases, found):
        said = [finding.split(" ")[0] for finding in findings if finding.split(" ")[1] == rule]
        if said != ([wanted] if wanted else []):
            faults.append(f"{what}: {rule} is {said or 'silent'}, and {wanted or 'nothing'} was expected ({', '.join(findings)})")
    print("\n".join(faults))
    print(f"{len(cases)} values at limits, {len(faults)} judged otherwise")
    return 1 if faults or len(cases) < 100 else 0


sys.exit(main())
