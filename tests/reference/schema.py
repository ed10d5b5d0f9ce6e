"""Holds values against JSON Schemas by an independent library, and prints the cases that come out otherwise than they should."""

import json
import sys

from jsonschema import Draft202012Validator

for case in json.load(sys.stdin):
    Draft202012Validator.check_schema(case["schema"])
    errors = list(Draft202012Validator(case["schema"]).iter_errors(case["value"]))
    if (not errors) != case["fits"]:
        print(case["what"], [error.message[:300] for error in errors][:3])
