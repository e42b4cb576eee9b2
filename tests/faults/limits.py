"""The policy of a clean site."""
from names import title
from site_data import Item

SOUND_LIMIT = 20 * 60_000


def policy(site, rng):
    site.limits = {}
    site.policy = None
    if rng.random() < 0.15:
        return
    lines, limits = [], site.limits

    def maybe(word, share, make_one):
        if rng.random() < share:
            lines.append(make_one())

    def limit(word, value, text):
        limits[word] = value
        return f"{word} {text}" + rng.choice(("", f' from "clause {rng.randrange(1, 9)}"'))
    standby = rng.choice((12, 24, 36))
    maybe("standby", 0.8, lambda: limit("standby", standby, f"at least {standby} h"))
    maybe("alarm-time", 0.8, lambda: limit("alarm-time", 0.5, "at least 30 min"))
    maybe("sounder-run", 0.8, lambda: limit("sounder-run", SOUND_LIMIT, "at most 20 min"))
    maybe("recharge", 0.8, lambda: limit("recharge", 48, "at most 2 d"))
    maybe("retention", 0.8, lambda: limit("retention", 14, "at least 14 d"))
    spare = rng.choice((10, 20, 25))
    maybe("spare", 0.8, lambda: limit("spare", spare, f"at least {spare} % of every supply"))
    maybe("ageing", 0.6, lambda: limit("ageing", 1.25, "1.25"))
    maybe("peukert", 0.6, lambda: limit("peukert", 1.2, "1.2"))
    maybe("plain-sum", 0.6, lambda: limit("plain-sum", 1.25, "factor 1.25"))
    maybe("waste", 0.6, lambda: limit("waste", 10, "10 %"))
    maybe("joint", 0.6, lambda: limit("joint", 0.02, "20 mohm"))
    maybe("panic", 0.7, lambda: limit("panic", 1, "supervised, armed always"))
    maybe("tamper", 0.7, lambda: limit("tamper", 1, "supervised, armed always"))
    maybe("level", 0.5, lambda: f"level {rng.choice(('idle-output', 'never-armed'))} {rng.choice(('hint', 'warning', 'error'))}")
    maybe("level", 0.3, lambda: f"level end-resistor-not-preferred {rng.choice(('hint', 'off'))}")
    if lines:
        site.policy = site.add(Item("policy", "house", "policy house" + title(rng, "House rules"), *lines))
