"""Runs functions of the report page's own script in node: which seam lines the turnable picture draws."""

import json
import pathlib
import re
import shutil
import subprocess
import unittest

SOURCE = (pathlib.Path(__file__).parents[2] / "src/handoff/report_script.cpp").read_text()
SCRIPT = re.search(r'R"js\((.*)\)js"', SOURCE, re.S).group(1)
NODE = shutil.which("node") or shutil.which("nodejs")


def function(name):
    """The text of one function of the script, by its braces."""
    start = SCRIPT.index(f"function {name}(")
    depth = 0
    for end in range(SCRIPT.index("{", start), len(SCRIPT)):
        depth += {"{": 1, "}": -1}.get(SCRIPT[end], 0)
        if depth == 0:
            return SCRIPT[start : end + 1]
    raise AssertionError(name)


def run(body):
    done = subprocess.run([NODE, "-e", body], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def box(low, high):
    """Corners and quads, outward, of a box: -z, +z, -y, +y, -x, +x."""
    points = [[(high if i >> k & 1 else low)[k] for k in range(3)] for i in range(8)]
    return points, [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]


def faces(quads):
    return [face for a, b, c, d in quads for face in ([a, b, c], [a, c, d])]


def shown(lines, eye):
    """What the line shader keeps: the middles of the lines of which a face looks at the eye."""
    kept = []
    for i in range(0, len(lines), 18):
        p, n, m, q = lines[i : i + 3], lines[i + 3 : i + 6], lines[i + 6 : i + 9], lines[i + 9 : i + 12]
        facing = max(sum(f[k] * (eye[k] - p[k]) for k in range(3)) for f in (n, m))
        if facing >= 0:
            kept.append([(p[k] + q[k]) / 2 for k in range(3)])
    return kept


@unittest.skipUnless(NODE, "node is not installed")
class SeamLines(unittest.TestCase):
    def lines(self, points, skin, caps, rest):
        corners = sum(skin + caps + rest, [])
        helpers = "\n".join(function(name) for name in ("sub", "cross", "dot", "unit", "seamEdges"))
        call = f"seamEdges({json.dumps(points)}, {corners}, {len(skin)}, {len(caps)})"
        return run(f"{helpers}\nconsole.log(JSON.stringify(Array.from({call})));")

    def plate(self):
        """A plate 100 × 100 × 3 whose end at x = 100 is a joint face, with a pit engraved in its underside."""
        points, quads = box([0, 0, 0], [100, 100, 3])
        pit, walls = box([40, 40, 0], [60, 60, 0.4])
        points += pit
        turned = [[8 + v for v in reversed(quad)] for quad in walls[1:]]  # no face on its open side, walls inward
        rim = [[0, 8, 9, 1], [1, 9, 11, 3], [3, 11, 10, 2], [2, 10, 8, 0]]
        return points, faces(rim + quads[1:5]), faces([quads[5]]), faces(turned)

    def test_a_mark_behind_the_wall_is_not_drawn_through_it(self):
        lines = self.lines(*self.plate())
        self.assertEqual(len(lines) // 18, 8)  # four round the joint face, four round the pit
        pit = [m for m in shown(lines, [50, 50, 900]) if 35 < m[0] < 65]
        self.assertEqual(pit, [])

    def test_it_is_drawn_from_its_own_side(self):
        pit = [m for m in shown(self.lines(*self.plate()), [50, 50, -900]) if 35 < m[0] < 65]
        self.assertEqual(len(pit), 4)

    def test_a_joint_face_keeps_its_whole_rim(self):
        rim = [m for m in shown(self.lines(*self.plate()), [900, 50, 1]) if m[0] == 100]
        self.assertEqual(len(rim), 4)

    def test_faces_are_not_pushed_back_by_their_slope(self):
        # The slope of a face thinner than a pixel is anything, and what lies behind shone through it.
        self.assertNotIn("polygonOffset", SCRIPT)

    def test_the_whole_script_parses(self):
        done = subprocess.run([NODE, "--check", "-"], input=SCRIPT, capture_output=True, text=True)
        self.assertEqual(done.returncode, 0, done.stderr)


@unittest.skipUnless(NODE, "node is not installed")
class Names(unittest.TestCase):
    def spots(self, rows, count):
        pixels = [v for row in rows for n in row for v in (n % 256, n // 256, 0, 255)]
        call = f"spotsIn({pixels}, {len(rows[0])}, {count})"
        return run(f"{function('spotsIn')}\nconsole.log(JSON.stringify({call}));")

    def test_a_mark_stands_on_a_spot_that_shows_its_piece(self):
        # Piece 1 lies round piece 2: the middle of what is seen of it is not its own.
        spot = self.spots([[1, 1, 1], [1, 2, 1], [1, 1, 1]], 2)[0]
        self.assertEqual(spot["seen"], 8)
        self.assertNotEqual((spot["left"], spot["top"]), (1, 1))

    def test_a_piece_behind_others_is_not_seen(self):
        self.assertEqual([s["seen"] for s in self.spots([[1, 1], [0, 3]], 3)], [2, 0, 1])

    def test_more_pieces_than_a_byte_counts_are_told_apart(self):
        self.assertEqual(self.spots([[300, 44]], 300)[299]["seen"], 1)


if __name__ == "__main__":
    unittest.main()
