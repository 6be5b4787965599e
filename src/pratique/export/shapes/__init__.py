"""The shape of every JSON answer, as typed dictionaries: `schemas` makes JSON Schemas of them.

One module a command, with its `Result`. What a key means stands in the docstring of the dictionary it is in.
"""
