"""Names of things, and the names that a text says."""
import functools
import re

WORDS = ["front", "rear", "dock", "yard", "office", "store", "lobby", "hall", "cellar", "roof", "vault", "shop",
         "gate", "stair", "attic", "north", "south", "tür", "склад", "αυλή"]


def pick(site, rng, stem):
    """A free name for a thing, which nobody else is given."""
    given = site.__dict__.setdefault("given_names", set())
    word = rng.choice(WORDS)
    name = f"{word}-{stem}" if word.isascii() else word
    taken = {item.name for item in site.items} | set(site.place.names) | given
    for n in range(2, 200):
        if name not in taken:
            given.add(name)
            return name
        name = f"{name.rstrip('0123456789').rstrip('-')}-{n}"
    raise ValueError


def title(rng, text):
    return rng.choice(("", f' "{text}"', f' "The {text}, \\"as built\\""'))


def names_in(item):
    """Every word of an item that could be a name, and what stands before the dots in it."""
    return words_in(item.text())


@functools.lru_cache(10_000)
def words_in(text):
    out = set()
    for word in re.findall(r"\w[\w.-]*", text):
        out.add(word)
        while "." in word:
            word = word[:word.rindex(".")]
            out.add(word)
    return out
