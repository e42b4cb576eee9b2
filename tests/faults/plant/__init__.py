"""Planters: each puts one fault of one rule into a clean site, and says where it has to be found."""
from plant import arming, behaviour, contact, language, loop, recording, supply, wires
from plant.base import PLANTERS, Fault, planter

__all__ = ["PLANTERS", "Fault", "planter", "arming", "behaviour", "contact", "language", "loop", "recording", "supply",
           "wires"]
