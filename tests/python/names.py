# SPDX-License-Identifier: GPL-3.0-or-later
"""Every exported function is bound, or listed as not bound with its reason; each says what it does; and the tables of
the binding name functions and parameters that there are."""
import builtins
import inspect
import re
import unittest

import support

import jetwright
from jetwright import _declared, _functions, _library, _roles, _structures
from jetwright._names import plain


class Names(unittest.TestCase):
    def test_every_exported_function_is_bound_or_listed(self):
        exported = set((support.ROOT / "tests/exports/symbols.txt").read_text().split())
        bound = {row[0] for row in _declared.FUNCTIONS if plain(row[0]) in _functions.FUNCTIONS}
        self.assertGreater(len(exported), 200)
        self.assertEqual(exported, bound | set(jetwright.NOT_BOUND))
        self.assertFalse(bound & set(jetwright.NOT_BOUND))
        self.assertTrue(all(jetwright.NOT_BOUND.values()), "a reason each")

    def test_docstrings_speak_of_python(self):
        for name in _functions.FUNCTIONS:
            doc = getattr(jetwright, name).__doc__
            self.assertFalse(re.search(r"\bjw_|\bJW_|\\\w|::", doc), f"{name}: {doc}")
        for kind in {**_structures.STRUCTS, **_structures.ENUMS, **_library.HANDLES}.values():
            self.assertFalse(re.search(r"\bjw_|\bJW_|\\\w|::", kind.__doc__), f"{kind.__name__}: {kind.__doc__}")

    def test_what_has_a_doc_block_has_a_docstring(self):
        for name, _, _, doc in _declared.FUNCTIONS:
            if len(doc) > 40:
                words = getattr(jetwright, plain(name)).__doc__ or ""
                self.assertGreater(len(words), 0.5 * len(doc) if not name.endswith("_free") else 0, name)

    def test_tables_name_what_there_is(self):
        there = {name: {parameter for parameter, _ in parameters} for name, _, parameters, _ in _declared.FUNCTIONS}
        for name, counts in _roles.COUNTS.items():
            self.assertLessEqual({*counts, *sum(counts.values(), [])}, there[name], name)
        for name, parameter in _roles.OPTIONAL:
            self.assertIn(parameter, there[name], name)

    def test_every_count_is_known(self):
        """A number that counts an array, by its name or by its place behind one, stands in the table."""
        for name, _, parameters, _ in _declared.FUNCTIONS:
            known = _roles.COUNTS.get(name, {})
            for (before, kind), (after, counter) in zip(parameters, parameters[1:]):
                named = after in ("n", "m", "count", before + "s", before.rstrip("s") + "s")
                if named and counter[0] in ("int", "size_t") and not counter[1] and name not in _functions.OWN:
                    self.assertIn(after, known, name)
            for parameter, (base, stars, const, dimensions) in parameters:
                if base == "double" and stars and const and not dimensions and name not in _functions.OWN:
                    self.assertIn(parameter, sum(known.values(), []), name)

    def test_every_count_beside_its_array_is_known(self):
        for name, members, _ in _declared.STRUCTS:
            arrays = {member for member, kind, _ in members if kind[3]}
            for member, (base, stars, _, dimensions), _ in members:
                counts = base == "int" and not dimensions and (
                    member == "count" or member[:-1] in arrays or member.endswith(("_points", "nodes")))
                if counts and arrays:
                    self.assertIn((name, member), _structures.FILLED)
        there = {(name, member) for name, members, _ in _declared.STRUCTS for member, *_ in members}
        self.assertLessEqual({(name, array) for (name, _), array in _structures.FILLED.items()}, there)
        self.assertLessEqual({*_structures.FILLED, *_structures.COUNTED}, there)

    def test_what_is_changed_is_marked(self):
        """Outputs come last: a struct that is not constant ahead of an input is changed, and its doc block says so."""
        for name, _, parameters, doc in _declared.FUNCTIONS:
            last = max((i for i, (_, kind) in enumerate(parameters) if kind[2] or not (kind[1] or kind[3])), default=-1)
            for parameter, (base, stars, const, _) in parameters[:last]:
                array = any(parameter in arrays for arrays in _roles.COUNTS.get(name, {}).values())
                if base in _structures.STRUCTS and stars and not const and not array and name not in _functions.OWN:
                    if base not in ("jw_fuel", "jw_jet_set"):  # written ahead of the room for a text
                        self.assertIsNotNone(_roles.changed(parameter, doc), f"{name}: {parameter}")

    def test_a_star_import_hides_no_builtin(self):
        self.assertFalse(set(jetwright.__all__) & set(dir(builtins)))
        self.assertTrue(issubclass(jetwright.MemoryError, builtins.MemoryError))

    def test_signatures_are_those_of_the_headers(self):
        self.assertEqual(str(inspect.signature(jetwright.mixture_near)), "(setup, air, point, neighbour=None)")
        self.assertEqual(str(inspect.signature(jetwright.posterior)), "(prior, likelihood)")
        self.assertEqual(str(inspect.signature(jetwright.profile_load)), "(path, library=None)")


if __name__ == "__main__":
    unittest.main()
