"""What outputs come to, and what follows them: never in a ring."""
from fitted import zone
from site_data import Item


def reaches(site, rng):
    """What light and sound come to, and contacts that follow an output: never in a ring."""
    after = {}
    for one in site.effects:
        for cause in one.causes:
            after.setdefault(cause.name, set()).update(e[1].name for e in one.effects if e[0] in ("close", "open", "pulse"))
    for one in site.all("zone"):
        if one.confirmed:
            after.setdefault(one.confirmed.name, set()).update(after.get(one.name, ()))
    moves = {}

    def leads(start, goal, seen):
        if start == goal:
            return True
        if start in seen:
            return False
        seen.add(start)
        return any(leads(nxt, goal, seen) for nxt in list(after.get(start, ())) + list(moves.get(start, ())))
    for one in site.all("output"):
        gives = {word for _, load in one.loads for word in load.gives} | ({"sound"} if one.loud else set())
        choices = []
        for area in site.areas:
            hit = [eye for eye in site.all("zone") if eye.area == area]
            choices.append((area, [eye for eye in hit if gives & set(eye.part.disturbed)]))
        for eye in site.all("zone"):
            choices.append((eye.name, [eye]))  # a zone that is named is said to be disturbed
        latched = any(e[0] == "close" and e[1] is one and not e[2] for answer in site.effects for e in answer.effects)
        if one.side == "opening" or one.mode == "forced on" or latched:
            # What shines by day and night may come only to what it does not disturb.
            choices = [(word, hit) for word, hit in choices if not hit]
        good = [(word, hit) for word, hit in choices if not any(leads(eye.name, one.name, set()) for eye in hit)]
        if good and rng.random() < 0.5:
            word, hit = rng.choice(good)
            moves.setdefault(one.name, set()).update(eye.name for eye in hit)
            one.add(f"reaches {word}")
    site.moves = moves
    site.reached = {name for names in moves.values() for name in names}
    site.movers = {name for name, hit in moves.items() if hit}
    # A contact that proves that an output has current only tells of it.
    for controller in site.all("controller"):
        driven = [one for one in site.all("output") if one.used and one.mode in (None, "automatic")]
        if controller.part.family in ("plain", "four") and controller.inputs and driven and rng.random() < 0.4:
            terminal, common = controller.inputs[0]
            one = zone(site, rng, controller, terminal, common, "echo")
            one.follows = rng.choice(driven)
            site.movers.add(one.follows.name)
            one.add(f"follows {one.follows.name}")
            item = Item("response", f"response-{one.name}", f"response to {one.name}", f"tell {site.people[0]}",
                        causes=[one], during=None, after=0, effects=[("tell", [site.people[0]])], words=one.name, named=False)
            site.effects.append(site.add(item))
