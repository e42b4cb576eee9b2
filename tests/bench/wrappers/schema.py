"""schema.py SCHEMA FILE...: jsonschema-rs from PyPI over JSON files."""
import json
import sys

import jsonschema_rs

with open(sys.argv[1], "rb") as file:
    validator = jsonschema_rs.validator_for(json.load(file))
wrong = 0
for path in sys.argv[2:]:
    with open(path, "rb") as file:
        wrong += not validator.is_valid(json.load(file))
sys.exit(wrong > 0)
