"""policy.py POLICY FILE...: rego-cpp (regopy from PyPI) over JSON files."""
import sys

from regopy import Interpreter

rego = Interpreter()
with open(sys.argv[1]) as file:
    rego.add_module("policy", file.read())
wrong = 0
for path in sys.argv[2:]:
    with open(path) as file:
        rego.set_input_term(file.read())
    wrong += '"rule"' in str(rego.query("data.site.deny"))
sys.exit(wrong > 0)
