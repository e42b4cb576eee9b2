"""A site as data that can be changed before it is written: items, their lines, what they amount to."""
import copy


class Item:
    """One item of a file: its head, its lines, and whatever figures the maker keeps beside it."""

    def __init__(self, kind, name, head, *lines, **facts):
        self.kind, self.name, self.head, self.lines = kind, name, head, list(lines)
        self.shared = False
        self.touched = False
        self.is_open = False
        for key, value in facts.items():
            setattr(self, key, value)

    def get(self, word):
        return next((line for line in self.lines if line.split()[0] == word), None)

    def put(self, line):
        """Says a fact, in the place of what was said of it before."""
        word = line.split()[0]
        for at, old in enumerate(self.lines):
            if old.split()[0] == word:
                self.lines[at] = line
                return
        self.lines.append(line)

    def add(self, line):
        self.lines.append(line)

    def drop(self, word):
        self.lines = [line for line in self.lines if line.split()[0] != word]

    def swap(self, old, new):
        """Changes words of the head."""
        assert old in self.head, (old, self.head)
        self.head = self.head.replace(old, new)

    def text(self):
        if not self.lines:
            return self.head + "\n"
        end = "" if self.is_open else "}\n"
        return self.head + " {\n" + "".join(f"    {line}\n" for line in self.lines) + end


class Site:
    """All files of one site. The items of `items` are written in their order, shared ones elsewhere."""

    def __init__(self, rng):
        self.rng = rng
        self.items = []
        self.uses = []
        self.files = {}
        self.tail = ""
        self.touched = set()

    def copy(self):
        return copy.deepcopy(self)

    def add(self, item):
        self.items.append(item)
        return item

    def all(self, kind):
        return [item for item in self.items if item.kind == kind]

    def own(self, kind):
        """Items of a kind that stand in the root file, as against a shared one."""
        return [item for item in self.all(kind) if not item.shared]

    def parts(self, part_kind):
        return [item for item in self.all("part") if item.part_kind == part_kind]

    def named(self, name):
        return next(item for item in self.items if item.name == name)

    def free(self, kind, test=lambda item: True):
        """Those that no planter has touched yet."""
        return [item for item in self.all(kind) if not item.touched and test(item)]

    def touch(self, *items):
        """Notes things, or words, that a planter has to itself."""
        for item in items:
            if isinstance(item, str):
                self.touched.add(item)
            else:
                item.touched = True

    def fresh(self, stem):
        """A name that nothing has yet."""
        taken = {item.name for item in self.items} | {name for item in self.all("site") for name in item.names}
        return next(name for name in (f"{stem}-{n}" for n in range(21, 999)) if name not in taken)

    def write(self, folder):
        """Writes the files, and gives the lines of each item of the root file."""
        folder.mkdir(parents=True, exist_ok=True)
        texts = {"site.site": "".join(f'use "{path}"\n' for path in self.uses)}
        places = {}
        for item in self.items:
            path = item.shared or "site.site"
            before = texts.get(path, "")
            if before and item.lines:
                before += "\n"
            first = before.count("\n") + 1
            texts[path] = before + item.text()
            places.setdefault(item.name or item.head, []).append((path, first, texts[path].count("\n")))
        texts["site.site"] += self.tail
        for path, text in {**self.files, **texts}.items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            raw = text if isinstance(text, bytes) else text.encode()
            (folder / path).write_bytes(raw)
        return places, texts["site.site"].count("\n")
