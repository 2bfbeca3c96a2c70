"""The points of shape: pages, panels, the bare needle, and how much is said.  As in points.py."""
import collections
import os
import re

from panels import UNCOVERS, bare_stretches, facts_of, right_to_left, saying, says, squeezed
from points import ENGLISH, figure_words, foot_top, in_order, label_lines, largest_shapes, point, squares
from sheet import clean, flat

ORDINARY = {"prefilled": 2}  # pages of one injection in ordinary print; the others have four
LONGER = 6                   # pages where a language needs more room
SQUARE, DPI, DARK = 6, 100, 200  # mm; a square is empty when nothing in it is darker than that
MARGIN = 15                  # mm: the block of the page


@point("S1", 3)
def few_pages(s):
    """Two injections: six pages, ten in large print; one: four, two for a filled syringe, eight in large
    print.  A language that needs more room takes six."""
    two, pages = len(s.parts()) > 1, len(s.layout)
    if s.large:
        most = 10 if two else 8
    elif s.language != ENGLISH:
        most = 8 if two else LONGER
    else:
        most = 6 if two else ORDINARY.get(s.build["way"], 4)
    return [] if pages <= most else [f"{pages} pages, {most} at most"]


def spread(page):
    """Pages that lie open together: 2 and 3, 4 and 5 (counted from 0 here)."""
    return (page + 1) // 2


@point("S2", 3, each=True)
def bare_on_one_page(s):
    """From the panel in which the words take the cap off to the one in which they put the needle away: one
    page, and the line over them thick for just those."""
    faults, stretches, thick = [], bare_stretches(s, s.panels), {}
    for first, last in stretches:
        if last is None:
            faults.append(f"the needle of panel {s.panels[first].name()} is never put away")
            continue
        pages = {p.page + 1 for p in s.panels[first:last + 1]}
        if len(pages) > 1:
            faults.append(f"bare from panel {s.panels[first].name()} to {s.panels[last].name()} over pages {sorted(pages)}")
        for at in range(first, last + 1):
            thick[at] = (at != first, at != last)
    for at, panel in enumerate(s.panels):
        wanted = thick.get(at, (False, False))
        if tuple(bool(x) for x in panel.bare) != wanted and panel.rail:
            faults.append(f"panel {panel.name()}: the line is {['thin', 'thick'][bool(panel.bare[0])]} to "
                          f"{['thin', 'thick'][bool(panel.bare[1])]}, not {['thin', 'thick'][wanted[0]]} to {['thin', 'thick'][wanted[1]]}")
    return faults[:6] + ([] if stretches else ["no cap comes off"])


@point("S3", 3, each=True)
def no_turn(s):
    """From washing again, before the injection, to the sharps box no leaf is turned.  In ordinary print the
    work of filling and of injecting stands on one page or on two that face each other; in large print
    each of the two has pages of its own that face each other (S1 gives it eight)."""
    off = saying(s, s.panels, *UNCOVERS)
    away = saying(s, s.panels, "drop_all", "drop_whole", "drop_both")
    again = [at for at in saying(s, s.panels, "wash_again", "wipe_ring", "wipe_spot") if off and at <= off[-1]]
    if not again or not away:
        return [f"washed again in {again}, put into the box in {away}"]
    pages = {p.page for p in s.panels[again[0]:away[-1] + 1]}
    faults = [] if len({spread(page) for page in pages}) == 1 else [f"from panel {s.panels[again[0]].name()} to {s.panels[away[-1]].name()} "
                                                                    f"over pages {sorted(p + 1 for p in pages)}"]
    work = {p.page for p in s.panels[:away[-1] + 1]}
    if not s.large and len({spread(page) for page in work}) > 1:
        faults.append(f"the work is on pages {sorted(p + 1 for p in work)}")
    return faults


ASKS = r"\b(?:Write|Tick|Sign|Mark|Wait|Ring|Draw (?:a|the) (?:big )?ring|Phone|Telephone|Set an? alarm|Open the (?:box|book|door))\b"
THINGS = ("wait_for", "wait_for_exact", "draw_ring", "read_each", "read_box", "find_date", "date_written", "say_side", "wash_again", "warm_vial")
TICKS = ("filled_tick", "filled_tick_course", "done_tick", "done_tick_count", "done_tick_mark", "done_tick_course")


@point("S4", 2, each=True)
def empty_hands(s):
    """While a needle is bare: no pen, no telephone but for a stop, no box to read, no waiting."""
    faults = []
    for first, last in bare_stretches(s, s.panels):
        end = last if last is not None else first
        for panel in s.panels[first:end + 1]:
            told = [panel.text] + [r for r in panel.remarks if panel is not s.panels[end] or
                                   not any(says(s, r, name) for name in TICKS)] # put away: behind that it may be ticked
            words = " ".join(told)
            faults += [f"panel {panel.name()} asks {name}" for name in THINGS + TICKS if says(s, words, name)]
            parts = re.split(r"(?<=[.?!])\s+", words) if s.language == ENGLISH else []
            for at, part in enumerate(parts):
                if re.search(ASKS, part) or re.match(r"Read (?!it\b)", part):
                    faults.append(f"panel {panel.name()} asks: {part}")
                if re.match(r"Call", part) and not re.search(r"\?|Stop\.|Cap it\.|Pull out\.|Do not inject\.", " ".join(parts[:at])):
                    faults.append(f"panel {panel.name()} calls without a reason: {part}")
    return faults[:5]


@point("S5", 2)
def not_empty_nor_full(s):
    """Squares of 6 mm inside the margins, above the foot's line, of a rendering at 100 dots an inch."""
    faults = []
    for number, image in enumerate(s.rendered()[:-1], 1):
        share = empty_share(image)
        if share > 0.45:
            faults.append(f"page {number}: {100 * share:.0f} % empty")
        elif share < 0.15:
            faults.append(f"page {number}: {100 - 100 * share:.0f} % full")
    return faults


def empty_share(image):
    side, edge = SQUARE * DPI / 25.4, MARGIN * DPI / 25.4
    across, down = int((image.width - 2 * edge) / side), int((image.height - 2 * edge) / side)
    empty = sum(image.crop((int(edge + i * side), int(edge + j * side), int(edge + (i + 1) * side), int(edge + (j + 1) * side)))
                .getextrema()[0] >= DARK for i in range(across) for j in range(down))
    return empty / (across * down)


@point("S6", 2, needs=in_order)
def nothing_twice(s):
    """A sentence of four words or more (seven in languages that need more) stands once, but for the minute, the night number and the medicine's
    name; those stand so often at most.  The work of two injections is the same for each; the line that
    says what a thick line means may stand once on each page that has one."""
    faults, seen = [], collections.Counter()
    for node in s.nodes:
        if node.role in ("P", "LBody", "H2", "H3") and not any(c.role == "P" for c in node.walk() if c is not node):
            if says(s, node.text(), "legend_bare"):
                continue
            for part in re.split(r"(?<=[.?!])\s+", re.sub(r"\b([ap])\. ?m\.", r"\1m", node.text())):
                if words_of(part, s.language) >= (4 if s.language == ENGLISH else 7) and not exempt(s, part):
                    seen[squeezed(part), part] += 1
    most = len(s.parts())
    faults += [f"stands {count} times: {part}" for (_, part), count in seen.items() if count > most]
    body = " ".join(n.own for n in s.nodes)
    for part in s.parts():
        name = clean(part.value("medicine"))
        count = sum(len(re.findall(re.escape(squeezed(name)), squeezed(page))) for page in s.layout)
        heads = sum(squeezed(name) in squeezed(f) for f in s.furniture)
        if count - heads > 8:
            faults.append(f"{name} stands {count - heads} times beside the heads")
    number = squeezed(clean(s.value("phone_night")))
    count = squeezed(body).count(number)
    return faults[:6] + ([f"the night number stands {count} times beside the feet"] if count > 3 else [])


def words_of(text, language):
    return len(squeezed(text)) / 2 if language.startswith("zh") else len(re.findall(r"\w[\w'’-]*", text))


def exempt(s, text):
    """What is left without the minute, the number to call and the medicine is less than a sentence; a stop that
    calls the nurse is said wherever it is needed."""
    if squeezed(text) in (squeezed(s.build["phrases"]["call_nurse"]), squeezed(s.build["phrases"]["stop_call"])):
        return True
    for part in s.parts():
        for name in ("phone_night", "medicine", "dose", "content", "diluent"):
            text = text.replace(clean(part.value(name) or "\0"), "")
        text = re.sub(r"[A-Z]\w+day, \w+ \d+, \d+, [\d: apm]+ \([\d: apm]+\)|[A-Z]\w+day \d+ \w+ \d+, [\d: apm]+ \([\d: apm]+\)", "", text)
    return words_of(text, s.language) < 4


@point("S7", 2, each=True)
def few_words(s):
    """Panels are the boxes with a number, halves counted; instruction is what stands in them and in the stop
    box.  No way of giving may have more than a powder."""
    most = 10 if s.build["way"] == "prefilled" else 20
    counts = [p for p in s.whole_panels if says(s, p.text, "count_left", "count_used")] if s.mark else [] # of A, of B
    own = [p for p in s.panels if p not in counts] + counts[ord(s.mark or "A") - ord("A"):][:1]
    faults = [] if own and len(own) <= most else [f"{len(own)} panels, {most} at most"]
    if s.language == ENGLISH:
        facts = " ".join(item.text() for f in facts_of(s) if f.page in s.pages for item in f.children)
        count = len(re.findall(r"[A-Za-z0-9][\w'’:.,-]*", " ".join(p.all() for p in own) + " " + facts))
        faults += [] if count <= 450 else [f"{count} words of instruction"]
    return faults


@point("S8", 3, each=True, needs=in_order)
def in_clean_order(s):
    """Hands are washed first and again before injecting; the syringe is filled and its needle capped before the
    spot is sought; the skin is wiped behind the stop box and dries before the cap comes off."""
    def at(*names):
        return saying(s, s.panels, *names)
    faults = []
    off, again = at("cap_off_now", "small_cap_off"), at("wash_again")
    spot = at("pick_belly", "hands_thigh", "arm_loose", "make_v", "palm_hip_own", "upper_outer")
    wipe = [i for i in at("wipe_ring", "wipe_spot") if off and i < off[0]]
    first = at("wash")
    if not first or first[0] > min(at("cap_straight_off", "fixed_cap_off", "read_pen", "read_box", "read_each") or [99]):
        faults.append(f"hands are not washed first: {first}")
    if not again or not off or not (first and first[0] < again[-1] <= off[0]):
        faults.append(f"hands are not washed again before the cap comes off: washed in {[s.panels[i].name() for i in first + again]}, "
                      f"cap off in {[s.panels[i].name() for i in off]}")
    filled = at("cap_one_hand", "cap_it_one_hand") if s.build["way"] in ("powder", "ready") else []
    if s.build["way"] in ("powder", "ready") and not (filled and spot and filled[-1] < spot[0]):
        faults.append(f"capped in {filled}, the spot is sought in {spot}")
    nodes = {id(node): place for place, node in enumerate(s.nodes)}
    stops = [nodes[id(f)] for f in facts_of(s) if f.page in s.pages]
    if not wipe or not stops or not all(nodes[id(s.panels[i].node)] > stops[0] for i in wipe):
        faults.append("the skin is not wiped behind the stop box")
    if wipe and not says(s, s.panels[wipe[-1]].all(), "dry_minute"):
        faults.append("the skin gets no time to dry")
    return faults


# By what each "page N" of the phrases is known to have begun on that page.
BEGINS = {"fill": ("title_fill", "title_fill_mark", "title_pen"), "mix": ("title_mix", "title_mix_first", "title_mix_new"),
          "kits": ("title_kit", "title_kit_course", "title_kit_mark"),
          "last": ("heading_after_page", "heading_days_page"),
          "inject": ("title_ready", "title_ready_mark", "title_ready_helper", "title_helper_mark", "title_stop")}
BEGINS["work"] = BEGINS["inject"]


def pages_named(s):
    """(phrase, its page counted from 1, page that it names, what begins there): of the phrases that some words
    could be, the longest one."""
    named = {}
    phrases = [n for n, p in s.build["raw"].items() if isinstance(p, str) and "{page:" in p]
    for name in sorted(phrases, key=lambda n: len(s.build["raw"][n])):
        parts = re.split(r"\{page:(\w+)\}", s.build["raw"][name])
        before = [re.escape(squeezed(re.split(r"\{[^}]*\}", part)[-1].replace("*", ""))) for part in parts[::2]]
        for node in s.nodes:
            words = squeezed(node.own)
            if words and says(s, words, name):
                named[id(node)] = [(name, node.page + 1, int(number), target) for at, target in enumerate(parts[1::2])
                                   for number in re.findall(before[at] + r"\W*(\d+)", words)]
    return [place for places in named.values() for place in places]


def lead_elsewhere(s):
    """Words that name a page: what they speak of begins on it; and who is told to go is not there yet."""
    faults = []
    for name, here, number, target in pages_named(s):
        begun = [n.text() for n in s.nodes if re.fullmatch(r"H[1-4]", n.role) and n.page + 1 == number]
        if not any(says(s, text, title) for text in begun for title in BEGINS[target]):
            faults.append(f"page {here} leads to page {number} for {target}, where {begun} begins")
        elif here == number and name in ("done_tick", "go_to_fill", "filled_tick_course", "next_words"):
            faults.append(f"page {here} leads to itself")
    return faults


@point("S9", 2, needs=in_order)
def bands_with_times(s):
    """The heading over the first panel behind a heading, or behind nothing, holds a clock time and names the
    work; the page of the count and of the days has the page's own heading.  Words that name a page lead to
    where that work begins."""
    faults, heading, opened = [], None, set()
    steps = {id(p.node): p for p in s.panels}
    for node in s.nodes:
        if re.fullmatch(r"H[1-4]", node.role):
            heading = node
        elif id(node) in steps and id(heading) not in opened:
            opened.add(id(heading))
            text, panel = heading.text() if heading else "", steps[id(node)]
            if says(s, panel.text, "count_left", "count_used") or says(s, text, "title_stop"):
                if says(s, text, "title_stop") and not re.search(r"\d", go_words(s, panel.page)):
                    faults.append(f"panel {panel.name()}: nothing says when it begins")
            elif not re.match(r"\D{0,20}\d", text) or words_of(text, s.language) < 2:
                faults.append(f"panel {panel.name()} begins under {text!r}")
    if s.language == ENGLISH:
        for node in s.roles("H2", "H3"):
            early = re.match(r"(?:\w+day, )?([\d:]+(?: [ap]m)?) ", node.text())
            minutes = {squeezed(c) for part in s.parts() for c in (clock_text(part),)}
            if early and re.search(r"\binject", node.text(), re.I) and squeezed(early[1]) not in minutes:
                faults.append(f"inject stands beside an earlier time: {node.text()}")
    return (faults + lead_elsewhere(s))[:5] + ([] if opened else ["no band"])


def clock_text(s):
    from points import clock
    return clock(s)


def go_words(s, page):
    """What stands between the facts and the next panel: when to go on."""
    stop = [f for f in facts_of(s) if f.page <= page]
    if not stop:
        return ""
    behind = s.nodes[s.nodes.index(stop[-1]):]
    return " ".join(n.text() for n in behind[:150] if n.role == "P" and (says(s, n.text(), "go_at")
                                                                       or says(s, n.text(), "wait_for", "wait_for_exact")))


@point("S10", 2, needs=in_order)
def told_apart(s):
    """Two needles, syringes or pens of the kits of one sheet differ in words, in a number and in what is drawn."""
    items = []
    for at, node in enumerate(s.nodes):
        count = re.match(r"\d+ ", clean(node.alt or "")) if node.role == "Figure" else None
        if count:
            words = []
            for following in s.nodes[at + 1:]:
                if following.role in ("Figure", "H2", "H3", "L"):
                    break
                if following.role == "P" and following.text():
                    words.append(following.text())
            items.append((node, re.sub(r"^\d+ ", "", clean(node.alt)), " ".join(words[:2])))
    faults = [] if items else ["no kit"]
    for kind in kinds_of(s):
        same = [(node, alt, words) for node, alt, words in items if re.search(kind, squeezed(alt), re.I)]
        same = list({squeezed(words): (node, alt, words) for node, alt, words in same}.values())
        for at, (one, _, first) in enumerate(same):
            for other, _, second in same[at + 1:]:
                numbers = re.findall(r"\d[\d.]*", first)[1:], re.findall(r"\d[\d.]*", second)[1:]
                names = re.sub(r"[\d.,]+", "", first), re.sub(r"[\d.,]+", "", second)
                drawn = [drawing_of(s, node) for node in (one, other)]
                if numbers[0] == numbers[1]:
                    faults.append(f"no number differs: {first!r}, {second!r}")
                if squeezed(names[0]) == squeezed(names[1]):
                    faults.append(f"no word differs: {first!r}")
                if drawn[0] == drawn[1]:
                    faults.append(f"drawn alike: {first!r}, {second!r}")
    return faults


def kinds_of(s):
    """Words of this language for what there may be two of, from the kit's own phrases."""
    found = []
    for names in (("kit_syringe", "kit_mixing_syringe"), ("kit_drawing_needle", "kit_injecting_needle", "kit_mixing_needle"), ("kit_pen",)):
        words = [squeezed(re.sub(r"\{[^}]*\}|[*,\d]", " ", s.build["phrases"][name]).strip()) for name in names]
        found.append("|".join(re.escape(w.rstrip("s")) for w in words if w))
    return found


def drawing_of(s, node):
    """Sizes and colours of what is drawn, without its place.  Two of one page may have the same words: they
    stand in the file as they do in the tree."""
    alike = [n for n in s.nodes if n.role == "Figure" and n.page == node.page and squeezed(n.alt or "") == squeezed(node.alt or "")]
    drawn = [f for f in s.figures if f["page"] == node.page and squeezed(f["alt"]) == squeezed(node.alt or "")]
    at = next(i for i, n in enumerate(alike) if n is node)
    return [(round(p.wide(), 1), round(p.tall(), 1), p.fill) for p in s.in_figure(drawn[at])] if at < len(drawn) else None


assert os.path.isdir("tests/score") and flat and foot_top and label_lines and largest_shapes and squares and figure_words and right_to_left
