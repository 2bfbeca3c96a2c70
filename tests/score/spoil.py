"""Ways to spoil a finished sheet: its words, its paths, its structure, its dictionaries.
The file that comes out is a PDF like any other, with one fault planted in it."""
import pikepdf

from sheet import Painter


def decoded(text, wide):
    """Letters of a shown string; the two-byte font holds what WinAnsi lacks: the no-break space."""
    return " " * (len(text) // 2) if wide else text.decode("cp1252", "replace")


class Spoiler:
    """A sheet that is open for planting."""

    def __init__(self, path):
        self.pdf = pikepdf.open(path)
        self.wide = [self.wide_fonts(page) for page in self.pdf.pages]
        self.contents = [list(pikepdf.parse_content_stream(page)) for page in self.pdf.pages]

    @staticmethod
    def wide_fonts(page):
        fonts = page.Resources.get("/Font", {})
        return {name for name, font in fonts.items() if font.get("/Subtype") == "/Type0"}

    def save(self, path):
        for page, content in zip(self.pdf.pages, self.contents):
            page.Contents = self.pdf.make_stream(pikepdf.unparse_content_stream(content))
        self.pdf.save(path)

    # ---- words ----

    def blocks(self, page):
        """Each text object as [(index of a showing operator, its letters)]."""
        font, block = None, None
        for at, (operands, operator) in enumerate(self.contents[page]):
            op = str(operator)
            if op == "BT":
                block = []
            elif op == "Tf":
                font = str(operands[0])
            elif op in ("Tj", "TJ") and block is not None:
                pieces = operands[0] if op == "TJ" else operands
                text = b"".join(bytes(p) for p in pieces if isinstance(p, pikepdf.String))
                block.append((at, decoded(text, font in self.wide[page])))
            elif op == "ET" and block:
                yield block
                block = None

    def show(self, page, at, text):
        operands = [pikepdf.String(text.encode("cp1252"))]
        self.contents[page][at] = pikepdf.ContentStreamInstruction(operands, pikepdf.Operator("Tj"))

    def replace(self, page, block, start, size, new):
        for place, (at, text) in enumerate(block):
            end = start + size
            if start < len(text) and end > 0:
                low, high = max(0, start), min(len(text), end)
                changed = text[:low] + new + text[high:]
                self.show(page, at, changed)
                block[place] = (at, changed)
                new = ""
            start -= len(text)

    def say(self, old, new, page=None, only=None, last=False):
        """Puts other words where these stand, over the ends of lines: everywhere, on one page, in the
        only-th place, or the last."""
        places = []
        for number in range(len(self.contents)) if page is None else [page % len(self.contents)]:
            letters = [piece for block in self.blocks(number) for piece in block]
            text = "".join(piece for _, piece in letters)
            start = text.find(old)
            while start >= 0:
                places.append((number, letters, start))
                start = text.find(old, start + len(old))
        assert places, f"{old!r} stands nowhere"
        chosen = [places[only]] if only is not None else [places[-1]] if last else places
        for number, letters, start in reversed(chosen):
            self.replace(number, letters, start, len(old), new)

    def scale(self, words, factor, page=None):
        """Other type for the text objects that hold the words."""
        found = 0
        for number in range(len(self.contents)) if page is None else [page]:
            for block in list(self.blocks(number)):
                if words in "".join(letters for _, letters in block):
                    at = block[0][0]
                    while str(self.contents[number][at].operator) != "Tm":
                        at -= 1
                    matrix = [float(v) for v in self.contents[number][at].operands]
                    matrix[:4] = [v * factor for v in matrix[:4]]
                    self.put(number, at, matrix, "Tm")
                    found += 1
        assert found, f"{words!r} stands nowhere"

    def put(self, page, at, operands, operator):
        self.contents[page][at] = pikepdf.ContentStreamInstruction(operands, pikepdf.Operator(operator))

    def operators(self, name, change):
        """Changes the operands of every operator of this name."""
        for page, content in enumerate(self.contents):
            for at, (operands, operator) in enumerate(content):
                if str(operator) == name:
                    self.put(page, at, change([float(v) for v in operands]), name)

    # ---- paths ----

    def paths(self, wanted):
        """(page, first operator, painting operator, path) of the paths that are wanted."""
        found = []
        for number, page in enumerate(self.pdf.pages):
            follower = Painter(page, number, follow=False)
            start = None
            for at, (operands, operator) in enumerate(self.contents[number]):
                op, before = str(operator), len(follower.paths)
                if op in ("m", "re") and start is None:
                    start = at
                follower.one(op, operands)
                if len(follower.paths) > before:
                    if wanted(follower.paths[-1]):
                        found.append((number, start, at, follower.paths[-1]))
                    start = None
                elif op == "n":
                    start = None
        assert found, "no such path"
        return found

    def erase(self, wanted, only=slice(None)):
        for page, _, last, _ in self.paths(wanted)[only]:
            self.put(page, last, [], "n")

    def shift(self, wanted, right, only=slice(None)):
        """Moves paths by so many millimetres."""
        for page, first, last, _ in reversed(self.paths(wanted)[only]):
            move = [1, 0, 0, 1, right * 72 / 25.4, 0]
            name = pikepdf.Operator
            self.contents[page][last + 1:last + 1] = [pikepdf.ContentStreamInstruction([], name("Q"))]
            self.contents[page][first:first] = [pikepdf.ContentStreamInstruction([], name("q")),
                                                pikepdf.ContentStreamInstruction(move, name("cm"))]

    def repeat(self, wanted, times):
        page, first, last, _ = self.paths(wanted)[0]
        self.contents[page][last + 1:last + 1] = self.contents[page][first:last + 1] * times

    # ---- structure ----

    def elements(self, role):
        return [o for o in self.pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/S") == "/" + role]

    def pick(self, kind, key="/Type"):
        return [o for o in self.pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get(key) == "/" + kind]


def figure_paths(sheet, figure, more=lambda path: True):
    """A test for the paths of one figure."""
    return lambda path: path.page == figure["page"] and path.mark in figure["marks"] and more(path)
