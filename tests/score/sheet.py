"""A finished sheet as real readers see it: poppler's text, pdf.js's structure, mupdf's
type sizes, and the paths of the page's content (read with qpdf's library).  All lengths
are millimetres from the upper left corner of the page, all type sizes points."""
import copy
import functools
import glob
import html
import json
import os
import re
import subprocess
import tempfile
import unicodedata

import pikepdf
from PIL import Image

MM = 25.4 / 72


def output(*command):
    return subprocess.run(command, capture_output=True, timeout=120).stdout.decode("utf-8", "replace")


class Reader:
    """pdf.js in a process of its own, which reads one sheet after another."""
    process = None

    def read(self, path):
        if not self.process or self.owner != os.getpid():
            self.process = subprocess.Popen(["node", "tests/score/read.mjs"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                            text=True, encoding="utf-8")
            self.owner = os.getpid() # a fork has one of its own
        self.process.stdin.write(path + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        if not line:
            raise OSError(f"pdf.js does not read {path}")
        return json.loads(line)


PDF_JS = Reader()


@functools.lru_cache(100000) # of the same few thousand texts each point asks again
def clean(text):
    """No-break spaces as spaces, letters composed, marks of direction gone."""
    return re.sub("[\u200e\u200f\u202a-\u202e\u2066-\u2069]", "", unicodedata.normalize("NFC", text)).replace("\u00a0", " ")


@functools.lru_cache(100000)
def flat(text):
    return re.sub(r"\s+", " ", clean(text)).strip()


class Node:
    """An element of the structure tree."""

    def __init__(self, raw, page):
        self.role, self.alt, self.lang, self.page = raw.get("role", ""), raw.get("alt"), raw.get("lang"), page
        self.children = [Node(child, page) for child in raw.get("children", [])]
        self.own = raw.get("text", "")

    def text(self):
        return flat(self.own + "".join(" " + child.text() for child in self.children if child.role != "Figure"))

    def walk(self):
        yield self
        for child in self.children:
            yield from child.walk()


class Path:
    """A painted path: its subpaths as points, the rectangle round them, how it was painted,
    and the figure or other element that holds it."""

    def __init__(self, page, subpaths, fill, stroke, width, mark, curved):
        self.page, self.subpaths, self.fill, self.stroke = page, subpaths, fill, stroke
        self.width, self.mark, self.curved = width, mark, curved
        points = [point for path in subpaths for point in path] or [(0, 0)]
        self.left, self.right = min(p[0] for p in points), max(p[0] for p in points)
        self.top, self.bottom = min(p[1] for p in points), max(p[1] for p in points)

    def wide(self):
        return self.right - self.left

    def tall(self):
        return self.bottom - self.top


def times(a, b):
    return (a[0] * b[0] + a[1] * b[2], a[0] * b[1] + a[1] * b[3], a[2] * b[0] + a[3] * b[2], a[2] * b[1] + a[3] * b[3],
            a[4] * b[0] + a[5] * b[2] + b[4], a[4] * b[1] + a[5] * b[3] + b[5])


class Painter:
    """Follows a page's content (ISO 32000-1, 8) and keeps what is painted."""

    FOLLOWED = "q Q cm rg g RG G w m l c v y re f F f* S s B B* b b* n Tj TJ BDC BMC EMC"

    def __init__(self, page, number, follow=True):
        self.number, self.height = number, float(page.MediaBox[3])
        self.state = {"ctm": (1, 0, 0, 1, 0, 0), "fill": (0, 0, 0), "stroke": (0, 0, 0), "width": 1.0}
        self.stack, self.marks, self.paths, self.fills_of_text = [], [], [], set()
        self.subpaths, self.curved, self.untagged = [], False, 0
        for operands, operator in pikepdf.parse_content_stream(page, self.FOLLOWED) if follow else ():
            self.one(str(operator), operands)

    def point(self, x, y):
        m = self.state["ctm"]
        x, y = float(x), float(y)
        return ((x * m[0] + y * m[2] + m[4]) * MM, (self.height - (x * m[1] + y * m[3] + m[5])) * MM)

    def mark(self):
        return next((m for m in reversed(self.marks) if m is not None), None)

    def painting(self):
        if not self.marks:
            self.untagged += 1

    def paint(self, fill, stroke):
        self.painting()
        scale = abs(self.state["ctm"][0] * self.state["ctm"][3] - self.state["ctm"][1] * self.state["ctm"][2]) ** 0.5
        self.paths.append(Path(self.number, self.subpaths, self.state["fill"] if fill else None,
                               self.state["stroke"] if stroke else None, self.state["width"] * scale * MM, self.mark(),
                               self.curved))
        self.subpaths, self.curved = [], False

    def one(self, op, args):
        state = self.state
        if op == "q":
            self.stack.append(dict(state))
        elif op == "Q":
            self.state = self.stack.pop()
        elif op == "cm":
            state["ctm"] = times([float(a) for a in args], state["ctm"])
        elif op in ("rg", "g"):
            state["fill"] = tuple(float(a) for a in args) if op == "rg" else (float(args[0]),) * 3
        elif op in ("RG", "G"):
            state["stroke"] = tuple(float(a) for a in args) if op == "RG" else (float(args[0]),) * 3
        elif op == "w":
            state["width"] = float(args[0])
        elif op == "m":
            self.subpaths.append([self.point(*args)])
        elif op == "l":
            self.subpaths[-1].append(self.point(*args))
        elif op in ("c", "v", "y"):
            self.curved = True
            self.subpaths[-1].append(self.point(*args[-2:]))
        elif op == "re":
            x, y, w, h = (float(a) for a in args)
            self.subpaths.append([self.point(x, y), self.point(x + w, y), self.point(x + w, y + h), self.point(x, y + h)])
        elif op in ("f", "F", "f*"):
            self.paint(True, False)
        elif op in ("S", "s"):
            self.paint(False, True)
        elif op in ("B", "B*", "b", "b*"):
            self.paint(True, True)
        elif op == "n":
            self.subpaths, self.curved = [], False
        elif op in ("Tj", "TJ"):
            self.painting()
            self.fills_of_text.add((state["fill"], self.mark() is None))
        elif op == "BDC":
            self.marks.append(int(args[1].MCID) if isinstance(args[1], pikepdf.Dictionary) and "/MCID" in args[1] else None)
        elif op == "BMC":
            self.marks.append(None)
        elif op == "EMC":
            self.marks.pop()


class once:
    """A part of a sheet that is read when it is first asked for, and then kept for all that share it."""

    def __init__(self, read):
        self.read, self.name = read, read.__name__

    def __get__(self, sheet, owner):
        if self.name not in sheet.store:
            sheet.store[self.name] = self.read(sheet)
        return sheet.store[self.name]


class Sheet:
    """plan: the plan as JSON; build: what is known of the order from the clinic's files."""

    def __init__(self, path, plan, build):
        self.path, self.plan, self.build, self.mark = path, plan, build, None
        self.language, self.paper, self.large = build["language"], build["paper"], build["large"]
        self.store = {}

    @once
    def layout(self):
        return clean(output("pdftotext", "-layout", self.path, "-")).split("\f")[:-1]

    @once
    def raw(self):
        return output("pdftotext", "-raw", self.path, "-")

    @once
    def flowing(self):
        if self.language == "ar": # readers give joined letters back one by one and in the order of the eye
            return [flat(self.twin)] * len(self.layout)
        return [flat(page) for page in clean(self.raw).split("\f")[:-1]]

    @once
    def text(self):
        return self.twin if self.language == "ar" else "\n".join(self.layout)

    @once
    def twin(self):
        twin = self.path[:-4] + ".txt"
        return clean(open(twin, encoding="utf-8").read()) if os.path.exists(twin) else ""

    @once
    def pages(self):
        return list(range(len(self.layout)))

    @once
    def read(self):
        return PDF_JS.read(self.path)

    info, xmp, viewer, outline, marked = (property(lambda self, key=key: self.read[key])
                                          for key in ("info", "xmp", "viewer", "outline", "mark"))

    @once
    def links(self):
        return [page["links"] for page in self.read["pages"]]

    @once
    def bare(self):
        return [page["bare"] for page in self.read["pages"]]

    @once
    def furniture(self):
        return [flat(page["artifacts"]) for page in self.read["pages"]]

    @once
    def trees(self):
        return [Node(page["tree"] or {}, number) for number, page in enumerate(self.read["pages"])]

    @once
    def nodes(self):
        return [node for tree in self.trees for node in tree.walk()]

    @once
    def file(self):
        """What is in the file itself: boxes of pages, painters, figures, dictionaries."""
        with pikepdf.open(self.path) as pdf:
            dictionaries = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)]
            return {"boxes": [[float(x) * MM for x in page.MediaBox] for page in pdf.pages],
                    "painters": [Painter(page, number) for number, page in enumerate(pdf.pages)],
                    "figures": self.read_figures(pdf),
                    "tabs": [str(o.get("/Tabs")) for o in dictionaries if o.get("/Type") == "/Page"],
                    "link_names": [str(o.get("/Contents", "")) for o in dictionaries if o.get("/Subtype") == "/Link"],
                    "scripts": ["/JS" in o for o in dictionaries if "/JS" in o],
                    "heads": [repr(o.get("/A", "")) for o in dictionaries if o.get("/S") == "/TH"],
                    "encrypted": pdf.is_encrypted, "version": pdf.pdf_version,
                    "actual_text": sum(b"/ActualText" in page.Contents.read_bytes() for page in pdf.pages)}

    boxes, painters, figures, tabs, link_names, scripts, heads, encrypted, version, actual_text = (
        property(lambda self, key=key: self.file[key])
        for key in "boxes painters figures tabs link_names scripts heads encrypted version actual_text".split())

    @once
    def paths(self):
        return [path for painter in self.painters for path in painter.paths]

    @once
    def work(self):
        return panels.read_panels(self)

    @once
    def panels(self):
        return self.work[0]

    @once
    def rails(self):
        return self.work[1]

    @once
    def lines(self):
        return self.read_lines()

    @once
    def rendered_pages(self):
        images = []
        with tempfile.TemporaryDirectory() as scratch:
            subprocess.run(["pdftoppm", "-r", "100", "-gray", self.path, scratch + "/p"], check=True)
            for name in sorted(glob.glob(scratch + "/p*")):
                with Image.open(name) as image:
                    images.append(image.convert("L"))
        return images

    def read_figures(self, pdf):
        """Each figure: its alternative text, page, and the marks of its content."""
        pages = {page.objgen: number for number, page in enumerate(pdf.pages)}
        figures = []
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/S") == "/Figure":
                kids = item.get("/K", [])
                kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
                marks = {int(k.MCID) if isinstance(k, pikepdf.Dictionary) and "/MCID" in k else k for k in kids
                         if isinstance(k, (int, pikepdf.Dictionary))}
                figures.append({"alt": str(item.get("/Alt", "")), "page": pages.get(item.Pg.objgen) if "/Pg" in item else None,
                                "marks": marks})
        return figures

    def read_lines(self):
        """Lines of text with their place and type, from mupdf."""
        lines = []
        pages = re.split(r"<page ", output("mutool", "draw", "-q", "-F", "stext", self.path))[1:]
        for number, page in enumerate(pages):
            for box, body in re.findall(r'<line bbox="([^"]+)"[^>]*>(.*?)</line>', page, re.S):
                left, top, right, bottom = (float(v) * MM for v in box.split())
                fonts = re.findall(r'<font name="([^"]+)" size="([^"]+)">(.*?)</font>', body, re.S)
                sizes = [(float(size), name, len(re.findall("<char ", chars))) for name, size, chars in fonts]
                runs = [(float(size), re.findall(r'<char [^>]*? x="([^"]+)"[^>]*? c="([^"]*)"', chars)) for _, size, chars in fonts]
                runs = [(size, "".join(html.unescape(c) for _, c in chars), float(chars[0][0]) * MM) for size, chars in runs if chars]
                chars = [(html.unescape(c), float(x) * MM) for x, c in re.findall(r'<char [^>]*? x="([^"]+)"[^>]*? c="([^"]*)"', body)]
                text = "".join(c for c, _ in chars)
                while chars and chars[0][0] == " ":
                    chars.pop(0)
                base = [float(y) * MM for y in re.findall(r'<char [^>]*? y="([^"]+)"', body)]
                if sizes:
                    lines.append({"page": number, "left": left, "right": right, "top": top, "bottom": bottom,
                                  "text": clean(text), "chars": chars, "sizes": sizes, "runs": runs, "base": base[0] if base else bottom})
        return lines

    def says(self, text, page=None):
        """Whether the words stand on the page, or on any; lines may break anywhere."""
        where = " ".join(self.flowing) if page is None else self.flowing[page]
        return re.sub(r"\s+", "", clean(text)) in re.sub(r"\s+", "", where)

    def rendered(self):
        """The pages in grey at 100 dots an inch."""
        return self.rendered_pages

    def in_figure(self, figure):
        return [p for p in self.paths if p.page == figure["page"] and p.mark in figure["marks"]]

    def value(self, name, key="text"):
        scope = self.plan["plan"] if name in self.plan["plan"] else self.plan["injection"]
        return scope[name].get(key) if name in scope else None

    def roles(self, *names):
        return [node for node in self.nodes if node.role in names]

    def parts(self):
        """The sheet once for each of its injections: the plan's and the clinic's values of that one, and
        the pages and panels of its work."""
        each = self.plan.get("injections", [self.plan["injection"]])
        return [self] if len(each) == 1 else [self.part(injection, at) for at, injection in enumerate(each)]

    def part(self, injection, at):
        part, mark = copy.copy(self), chr(ord("A") + at)
        part.plan = {**self.plan, "injection": injection}
        part.build = {**self.build, **self.build["each"][at]}
        part.mark, part.whole_panels = mark, self.panels
        part.pages = [n for n, text in enumerate(self.furniture) if self.headed(text, mark)]
        part.panels = [p for p in self.panels if self.marks_of_panels[id(p)] == mark or
                       not self.marks_of_panels[id(p)] and p.page in part.pages]
        return part

    def headed(self, text, mark):
        """Whether the mark stands at the head of the page's furniture.  Arabic's words are read in the order of
        the eye, so there it is the only mark that stands alone."""
        if self.language == "ar":
            return set(re.findall(r"(?<![A-Za-z])[A-Z](?![A-Za-z.])", text)) & {"A", "B"} == {mark}
        return re.match(rf"({re.escape(flat(self.banner()))} ?)?{mark}\b(?!:)", text)

    def banner(self):
        """What stands white on black on the head of each page of a draft or of an invented clinic."""
        draft = self.build["draft"]
        name = ("invented_draft_mark" if draft else "invented_mark") if self.build["invented"] else "draft_mark"
        return self.build["phrases"][name] if draft or self.build["invented"] else ""

    @once
    def marks_of_panels(self):
        """Which injection a panel belongs to, by the heading that it stands under: "6:40 pm Fill syringe A"; none
        where the heading names no injection: then its page does."""
        panels_of, mark, marks = {id(p.node): p for p in self.panels}, "", {}
        for node in self.nodes:
            if re.fullmatch(r"H[1-4]", node.role):
                named = re.findall(r"(?<![^\s：])([AB])(?![^\s.])", node.text())
                mark = named[0] if len(named) == 1 else ""
            elif id(node) in panels_of:
                marks[id(panels_of[id(node)])] = mark
        return marks

    @once
    def sizes(self):
        counts = {}
        for line in self.lines:
            for size, _, count in line["sizes"]:
                counts[round(size, 1)] = counts.get(round(size, 1), 0) + count
        return counts

    def body_size(self):
        return max(self.sizes, key=self.sizes.get)


import panels  # below, since it needs what stands above
