"""The work on a finished sheet: its panels, in the order of the tags, with their words from
the structure tree, the place of their number from mupdf's text, and the line that their row
hangs from out of the page's content.  What is measured here knows nothing of how it was
laid out, only what a sheet looks like: numbers of 20 pt and more, a line of 1.4 mm where a
needle is bare and of 0.35 mm where it is not."""
import functools
import re

from sheet import clean, flat

THIN, THICK = (0.25, 0.5), (1.1, 1.8)  # mm
NUMBER = 20  # pt, of a panel's number; no other number that opens a line is as large

# Phrases after whose act the needle is bare, and in which it is put away.
UNCOVERS = ("cap_straight_off", "fixed_cap_off", "cap_off_now", "small_cap_off")
COVERS = ("cap_one_hand", "cap_it_one_hand", "drop_all", "drop_whole", "cap_big")


class Panel:
    """One act.  text: what is to be done; remarks: the small words beside the picture."""

    def __init__(self, number, half, node):
        self.number, self.half, self.node, self.page = number, half, node, node.page
        body = next((c for c in node.children if c.role == "LBody"), None)
        words = [c.text() for c in body.children if c.role == "P" and c.text()] if body else []
        self.text, self.remarks = words[0] if words else "", words[1:]
        self.figures = [n for n in node.walk() if n.role == "Figure"]
        self.left = self.top = self.base = self.rail = None
        self.bare = (None, None)  # at its beginning, at its end

    def name(self):
        return f"{self.number}{self.half}"

    def all(self):
        return " ".join([self.text] + self.remarks)


class Rail:
    """The line of a row: y and its pieces (from, to, thick)."""

    def __init__(self, page, y):
        self.page, self.y, self.pieces, self.arrow = page, y, [], False
        self.low = None  # where a closed track ends

    def thick_at(self, x):
        slack = lambda thick: THICK[0] / 2 + 0.2 if thick else 0.3 # a thick line's end is round
        return next((thick for left, right, thick in self.pieces if left - slack(thick) <= x <= right + 0.3), None)

    def wide(self):
        return max(p[1] for p in self.pieces) - min(p[0] for p in self.pieces)


def labels(node):
    return [flat(child.text()) for child in node.children if child.role == "Lbl"]


def facts_of(sheet):
    """The lists of facts that are read aloud: the first list behind each heading of that name."""
    if sheet.language == "ar": # its words cannot be read: numbers that begin anew are those of facts
        opened = [n for n in sheet.roles("L") if n.children and labels(n.children[0])[:1] == ["1"]]
        return opened[1:]
    title, lists, waiting = flat(sheet.build["phrases"]["title_stop"]), [], False
    for node in sheet.nodes:
        if re.fullmatch(r"H\d", node.role) and squeezed(node.text()) == squeezed(title):
            waiting = True
        elif waiting and node.role == "L":
            lists.append(node)
            waiting = False
    return lists


@functools.lru_cache(100000)
def squeezed(text):
    return re.sub(r"\s+", "", clean(text))


def read_panels(sheet):
    facts = {id(item) for found in facts_of(sheet) for item in found.children}
    panels = []
    for node in sheet.roles("LI"):
        names = labels(node)
        if id(node) not in facts and names and re.fullmatch(r"\d+", names[0]):
            panels.append(Panel(int(names[0]), names[1] if len(names) > 1 else "", node))
    if sheet.language == "ar":
        read_twin(sheet, panels)
    rails = read_rails(sheet)
    place(sheet, panels, rails)
    return panels, rails


def read_twin(sheet, panels):
    """Joined letters come back out of order: these words are the twin's."""
    rows, words = re.split(r"^  (\d+)([ab]?)  ", sheet.twin, flags=re.M)[1:], {}
    for number, half, text in zip(rows[::3], rows[1::3], rows[2::3]):
        lines = [line.strip() for line in text.split("\n\n")[0].split("\n")]
        lines = [line for n, line in enumerate(lines) if n == 0 or not re.match(r"\(|\[ \]|$", line)]
        words[number, half] = lines
    for panel in panels:
        found = words.get((str(panel.number), panel.half), [""])
        panel.text, panel.remarks = flat(found[0]), [flat(line) for line in found[1:]]


def read_rails(sheet):
    found = {}
    for p in sheet.paths:
        thick = THICK[0] <= p.width <= THICK[1]
        if p.stroke and not p.fill and p.tall() < 0.01 and p.wide() > 1 and p.mark is None and \
                (thick or THIN[0] <= p.width <= THIN[1]):
            rail = next((r for r in found.get(p.page, []) if abs(r.y - p.top) < 0.2), None)
            if rail is None:
                rail = Rail(p.page, p.top)
                found.setdefault(p.page, []).append(rail)
            rail.pieces.append((p.left, p.right, thick))
    for p in sheet.paths:
        if p.stroke and not p.fill and THICK[0] <= p.width <= THICK[1] and p.mark is None and p.wide() > 100 and p.tall() > 15:
            track = Rail(p.page, p.top) # closed: the rows within it are done again
            track.pieces, track.low = [(p.left, p.right, True)], p.bottom
            found.setdefault(p.page, []).append(track)
    rails = [r for page in sorted(found) for r in sorted(found[page], key=lambda r: r.y)]
    heads = [p for p in sheet.paths if p.fill == (0, 0, 0) and p.mark is None and p.wide() < 5 and p.tall() < 5
             and p.subpaths and 3 <= len(p.subpaths[0]) <= 4]
    for rail in rails:
        if rail.low:
            rail.arrow = any(h.page == rail.page and rail.y - 3 < (h.top + h.bottom) / 2 < rail.low + 3 and
                             any(abs((h.left + h.right) / 2 - x) < 3 for x in rail.pieces[0][:2]) for h in heads)
            continue
        edge = min(q[0] for q in rail.pieces) if right_to_left(sheet) else max(q[1] for q in rail.pieces)
        rail.arrow = any(h.page == rail.page and abs((h.top + h.bottom) / 2 - rail.y) < 0.5 and
                         h.left - 0.6 <= edge <= h.right + 0.6 for h in heads)
    return rails


def right_to_left(sheet):
    return sheet.language == "ar"


def numbers_on(sheet):
    """Large numbers that stand alone or open the words of a panel: page -> number -> [(left, top, base)]."""
    found = {}
    for line in sheet.lines:
        for size, text, left in line["runs"]:
            if size >= NUMBER and re.fullmatch(r"\d+", text.strip()):
                found.setdefault(line["page"], {}).setdefault(int(text), []).append((left, line["top"], line["base"]))
    return found


def rail_over(rails, page, place):
    left, _, base = place
    above = [r for r in rails if r.page == page and r.y < base and base - r.y < 16 and r.wide() > 25 and r.thick_at(left + 0.6) is not None]
    return max(above, key=lambda r: r.y) if above else None


def place(sheet, panels, rails):
    """A large number that hangs from no line, as "9" of a time in the stop box, is no panel's."""
    numbers, used = numbers_on(sheet), {}
    for panel in panels:
        places = [p for p in numbers.get(panel.page, {}).get(panel.number, []) if rail_over(rails, panel.page, p)]
        order = (lambda p: (round(p[2]), -p[0])) if right_to_left(sheet) else (lambda p: (round(p[2]), p[0]))
        places = sorted(places, key=order)
        at = used.get((panel.page, panel.number), 0)
        used[panel.page, panel.number] = at + 1
        if at < len(places):
            panel.left, panel.top, panel.base = places[at]
            panel.rail = rail_over(rails, panel.page, places[at])
    for panel, following in zip(panels, panels[1:] + [None]):
        if panel.rail is None:
            continue
        ends = [q[0] for q in panel.rail.pieces] if right_to_left(sheet) else [q[1] for q in panel.rail.pieces]
        last = following is None or following.rail is not panel.rail or following.left is None
        way = -1 if right_to_left(sheet) else 1
        start = panel.left + (4 if way < 0 else 0.4)
        end = (min(ends) + 1 if way < 0 else max(ends) - 1) if last else following.left - 2 if way > 0 else following.left + 7
        panel.bare = panel.rail.thick_at(start), panel.rail.thick_at(end)


# ---- what the words say ----

def forms(phrase):
    """The texts of a phrase, of each number."""
    return [phrase] if isinstance(phrase, str) else [t for k, t in phrase.items() if k != "by"]


def pattern(sheet, name):
    """A phrase as it can stand on a sheet: any value in its slots, lines broken anywhere."""
    found = []
    for text in forms(sheet.build["raw"][name]):
        text = squeezed(text.replace("*", ""))
        found.append(".{1,200}?".join(re.escape(part) for part in re.split(r"\{[^}]*\}", text)))
    return "|".join(found)


def says(sheet, text, *names):
    return any(re.search(pattern(sheet, name), squeezed(text)) for name in names)


def saying(sheet, panels, *names):
    """Places in the list of the panels that say one of these."""
    return [at for at, panel in enumerate(panels) if any(says(sheet, panel.all(), name) for name in names)]


def bare_stretches(sheet, panels):
    """From the panel in which a cap comes off to the one in which the needle is put away, as places
    in the list: what the words say, not what is drawn."""
    off, on = saying(sheet, panels, *UNCOVERS), saying(sheet, panels, *COVERS)
    stretches = []
    for at in off:
        end = next((e for e in on if e >= at), None)
        stretches.append((at, end))
    return stretches
