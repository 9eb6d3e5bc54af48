"""What a person wrote: the line of each key."""

from __future__ import annotations

import tomllib

from prepkit.files import lines


def test_lines_of_all_that_toml_can_write() -> None:
    text = """
"quoted key" = 1
a.b = 2 # [c]
[ x . "y.z" ]
k = \"\"\"one \\\"\"\" two
[no]
\"\"\"
l = '''
m = 4
'''
n = [ # comment ]
  "]", '[',
  { o = 1 },
]
p = { q = [
 1 ] }
[[row]]
r = 1
[row.sub]
s = 2
[[row]]
r = 3
[[row.deep]]
t = 4
[[row.deep]]
t = 5
"""
    tomllib.loads(text)
    assert lines(text) == {
        ("quoted key",): 2, ("a",): 3, ("a", "b"): 3, ("x", "y.z"): 4, ("x", "y.z", "k"): 5,
        ("x", "y.z", "l"): 8, ("x", "y.z", "n"): 11, ("x", "y.z", "p"): 15, ("row",): 17,
        ("row", 0): 17, ("row", 0, "r"): 18, ("row", 0, "sub"): 19, ("row", 0, "sub", "s"): 20,
        ("row", 1): 21, ("row", 1, "r"): 22, ("row", 1, "deep"): 23, ("row", 1, "deep", 0): 23,
        ("row", 1, "deep", 0, "t"): 24, ("row", 1, "deep", 1): 25,
        ("row", 1, "deep", 1, "t"): 26,
    }  # fmt: skip
