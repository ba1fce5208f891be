# SPDX-License-Identifier: GPL-3.0-or-later
"""What the binding's reader of headers makes of C: what it knows as it stands, all else an error and never left out."""
import importlib.util
import pathlib
import tempfile
import unittest

ROOT = pathlib.Path(__file__).resolve().parents[2]
SPEC = importlib.util.spec_from_file_location("reader", ROOT / "bindings/python/declare.py")
reader = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(reader)

KNOWN = """
/** \\file jetwright.h
 * A file. */
#ifndef GUARD
#define GUARD
#include <stddef.h>
#ifdef __cplusplus
extern "C" {
#endif
/** Most. */
#define JW_MOST (2 * 3)
#define JW_COLOUR_LIST(X) \\
	X(JW_RED, 1, "red") \\
	X(JW_BLUE, 4, "blue")
/** Colours. */
enum jw_colour {
	JW_NONE,
#define JW_X(name, value, text) name = value,
	JW_COLOUR_LIST(JW_X)
#undef JW_X
	JW_NEXT /**< after blue */
};
/* not a doc block */
/** A box. */
typedef struct jw_box {
	double wide_m, high_m; /**< inside */
	/** Its labels,
	 * several. */
	const char *label[JW_MOST + 1];
	int grid[2][JW_MOST];
} jw_box;
typedef struct jw_owned jw_owned;
/** Fills it. */
JW_API int jw_fill(const jw_box *box, jw_owned **owned, double part[3]);
JW_API void jw_rest(void);
#ifdef __cplusplus
}
#endif
#endif
"""


def read(text):
    with tempfile.TemporaryDirectory() as folder:
        header = pathlib.Path(folder, "jetwright", "jetwright.h")
        header.parent.mkdir()
        header.write_text(text)
        return reader.declarations(pathlib.Path(folder))


class Reading(unittest.TestCase):
    def test_what_is_known(self):
        found = read(KNOWN)
        self.assertEqual(found["CONSTANTS"], [("JW_MOST", 6, "Most.")])
        self.assertEqual(found["ENUMS"], [("jw_colour", [("JW_NONE", 0, ""), ("JW_RED", 1, ""), ("JW_BLUE", 4, ""),
                                                         ("JW_NEXT", 5, "after blue")], "Colours.")])
        double, label = ("double", 0, False, ()), ("char", 1, True, (7,))
        members = [("wide_m", double, "inside"), ("high_m", double, "inside"), ("label", label, "Its labels,\nseveral."),
                   ("grid", ("int", 0, False, (2, 6)), "")]
        self.assertEqual(found["STRUCTS"], [("jw_box", members, "A box.")])
        self.assertEqual(found["HANDLES"], [("jw_owned", "")])
        parameters = [("box", ("jw_box", 1, True, ())), ("owned", ("jw_owned", 2, False, ())),
                      ("part", ("double", 0, False, (3,)))]
        self.assertEqual(found["FUNCTIONS"], [("jw_fill", ("int", 0, False, ()), parameters, "Fills it."),
                                              ("jw_rest", ("void", 0, False, ()), [], "")])

    def test_what_is_not_is_an_error(self):
        for text in ("typedef union jw_u { int a; } jw_u;", "typedef struct jw_s { int a : 3; } jw_s;",
                     "typedef struct jw_s { int (*call)(void); } jw_s;", "typedef struct jw_s { long a; } jw_s;",
                     "typedef struct jw_s { unsigned int a; } jw_s;", "typedef struct jw_s { jw_other a; } jw_s;",
                     "JW_API int jw_f(int a, ...);", "JW_API long jw_f(void);", "int jw_f(void);", "extern int jw_x;",
                     "typedef enum jw_e { JW_A = 1 << 2 } jw_e;", "typedef struct jw_s { int a } jw_s;", "typedef enum jw_e { JW_A = 1",
                     "typedef struct jw_s {", "JW_API int jw_f("):
            with self.assertRaises(SystemExit, msg=text) as caught:
                read(text)
            self.assertIn("declare.py: ", str(caught.exception))


if __name__ == "__main__":
    unittest.main()
