"""The hand-off checker on a cube cut in two, whole and damaged in every way it must notice."""
import copy
import csv
import importlib.util
import io
import json
import pathlib
import shutil
import struct
import tempfile
import unittest
import zipfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
spec = importlib.util.spec_from_file_location("verify_hand_off", ROOT / "scripts" / "verify_hand_off.py")
verify_hand_off = importlib.util.module_from_spec(spec)
spec.loader.exec_module(verify_hand_off)

QUADS = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))


def box(low, high):
    points = [tuple((high if i >> k & 1 else low)[k] for k in range(3)) for i in range(8)]
    triangles = [t for a, b, c, d in QUADS for t in ((a, b, c), (a, c, d))]
    return points, triangles


def stl(points, triangles):
    data = bytearray(80) + struct.pack("<I", len(triangles))
    for t in triangles:
        data += struct.pack("<12fH", 0, 0, 0, *(x for v in t for x in points[v]), 0)
    return bytes(data)


def three_mf(path, points, triangles):
    vertices = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in points)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in triangles)
    model = ('<?xml version="1.0" encoding="UTF-8"?><model unit="millimeter" '
             'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1" type="model"><mesh>'
             f'<vertices>{vertices}</vertices><triangles>{faces}</triangles></mesh></object></resources>'
             '<build><item objectid="1"/></build></model>')
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("3D/3dmodel.model", model)


def piece(mark, side, shift):
    return {"id": f"S1{'+' if side == 'above' else '-'}", "mark": mark, "file": f"pieces/{mark}.stl", "seam": "S1", "side": side,
            "volume_mm3": 500000.0, "volume_before_keys_mm3": 500000.0, "printer": "cube", "planned_for": "cube", "pose": "joint face down",
            "part_from_file": [1, 0, 0, -5, 0, 1, 0, -5, 0, 0, 1, shift, 0, 0, 0, 1], "size_mm": [100, 100, 50],
            "print_s": 3600.0, "filament_mm": 1000.0, "mass_g": 3.0, "support_g": 0.0}


def good_plan():
    return {"schema": "seamwright-plan/1", "program": "0", "seed": 1, "complete": True,
            "part": {"file": "cube.stl", "sha256": "", "unit": "mm", "scale_ratio": 1, "size_mm": [100, 100, 100], "volume_mm3": 1e6,
                     "wired_volume_mm3": 1e6, "area_mm2": 6e4, "face_count": 12, "worn_side": "", "mended": []},
            "printers": [{"name": "cube", "room_mm": [120, 120, 80], "margin_mm": 5, "nozzle_mm": 0.4}],
            "seams": [{"id": "S1", "parent": None, "side": None, "normal": [0, 0, 1], "offset_mm": 50, "shown_mm": 300.0, "hidden_mm": 100.0,
                       "maker_h": 1.0}],
            "pieces": [piece("A1", "above", 50), piece("A2", "below", 0)],
            "joints": [{"id": "J1", "seam": "S1", "pieces": ["S1+", "S1-"], "kind": "dowel", "glued": True, "area_mm2": 1e4, "outline": [],
                        "keys": [{"kind": "dowel", "at": [50, 50, 50], "axis": [0, 0, 1], "diameter_mm": 3, "depth_mm": 6, "clearance_mm": 0.15,
                                  "male": None}]}],
            "channels": [], "pockets": [], "assembly": [{"step": 1, "joint": "J1"}],
            "totals": {"piece_count": 2, "piece_lower_bound": 2, "shown_mm": 300.0, "hidden_mm": 100.0, "maker_h": 1.0, "print_s": 7200.0,
                       "filament_mm": 2000.0, "mass_g": 6.0},
            "assumptions": [], "warnings": []}


class HandOff(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.folder)
        (self.folder / "pieces").mkdir()
        self.plan = good_plan()
        self.mesh = box((5, 5, 0), (105, 105, 50))
        for mark in ("A1", "A2"):
            self.put_mesh(mark, *self.mesh)
            three_mf(self.folder / "pieces" / f"{mark}.3mf", *self.mesh)
        self.put_csv()

    def put_mesh(self, mark, points, triangles):
        (self.folder / "pieces" / f"{mark}.stl").write_bytes(stl(points, triangles))

    def put_csv(self, **changes):
        with open(self.folder / "pieces.csv", "w", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(["mark", "printer", "print_s", "mass_g"])
            for p in self.plan["pieces"]:
                p = {**p, **changes}
                writer.writerow([p["mark"], p["printer"], f"{p['print_s']:.0f}", f"{p['mass_g']:.2f}"])

    def verdict(self):
        (self.folder / "plan.json").write_text(json.dumps(self.plan))
        out = io.StringIO()
        checks = verify_hand_off.verify(self.folder, out)
        return checks, out.getvalue()

    def expect_failure(self, words):
        checks, text = self.verdict()
        failures = [line for line in text.splitlines() if line.startswith("FAIL")]
        self.assertGreater(checks.failed, 0, "damage was not noticed")
        self.assertTrue(any(words in line for line in failures), f"no failure says {words!r}:\n" + "\n".join(failures))
        self.assertRegex(text.splitlines()[-1], r"^\d+ passed, [1-9]\d* failed$")

    def lay_channel(self, z_mm):
        """A channel of 80 mm in the seam's joint face, that far from its plane at z = 50."""
        self.plan["joints"][0]["outline"] = [[[0, 0, 50], [100, 0, 50], [100, 100, 50], [0, 100, 50]]]
        self.plan["channels"] = [{"id": "glow", "crosses": [], "path": [[10, 50, z_mm], [90, 50, z_mm]]}]

    def test_notices_a_seam_that_runs_along_a_channel_untold(self):
        self.lay_channel(47)
        self.expect_failure("lengths of seams that run along channels")

    def test_notices_a_run_that_is_not_warned_of(self):
        self.lay_channel(47)
        self.plan["channels"][0]["seam_runs"] = [{"seam": "S1", "length_mm": 80.0, "nearest_mm": 3.0}]
        self.expect_failure("seams that run along channels are warned of")
        self.plan["warnings"] = [{"code": "seam-runs-along", "message": 'S1 runs 80 mm beside bore "glow"'}]
        self.assertEqual(self.verdict()[0].failed, 0)

    def test_takes_no_seam_six_millimetres_off_for_a_run(self):
        self.lay_channel(44)
        self.assertEqual(self.verdict()[0].failed, 0)

    def test_accepts_a_whole_hand_off(self):
        checks, text = self.verdict()
        self.assertEqual(checks.failed, 0, text)
        self.assertGreater(checks.passed, 50)
        self.assertEqual(text.splitlines()[-1], f"{checks.passed} passed, 0 failed")

    def test_exit_codes(self):
        self.verdict()
        self.assertEqual(verify_hand_off.main([str(self.folder)]), 0)
        self.plan["totals"]["piece_count"] = 3
        self.verdict()
        self.assertEqual(verify_hand_off.main([str(self.folder)]), 1)
        self.assertEqual(verify_hand_off.main([str(self.folder / "none")]), 2)

    def test_refuses_a_missing_triangle(self):
        self.put_mesh("A1", self.mesh[0], self.mesh[1][1:])
        self.expect_failure("every directed edge has its opposite")

    def test_refuses_a_flipped_triangle(self):
        a, b, c = self.mesh[1][0]
        self.put_mesh("A1", self.mesh[0], [(a, c, b)] + self.mesh[1][1:])
        self.expect_failure("every directed edge has its opposite")

    def test_refuses_a_crack_of_one_bit(self):
        points = list(self.mesh[0])
        nearly = struct.unpack("<f", struct.pack("<I", struct.unpack("<I", struct.pack("<f", points[0][0]))[0] + 1))[0]
        points.append((nearly, points[0][1], points[0][2]))
        a, b, c = self.mesh[1][0]
        self.put_mesh("A1", points, [(8, b, c)] + self.mesh[1][1:])
        self.expect_failure("every directed edge has its opposite")

    def test_refuses_a_collapsed_triangle(self):
        self.put_mesh("A1", self.mesh[0], self.mesh[1] + [(0, 1, 1)])
        self.expect_failure("no triangle repeats a corner")

    def test_refuses_a_truncated_file(self):
        path = self.folder / "pieces" / "A1.stl"
        path.write_bytes(path.read_bytes()[:-1])
        self.expect_failure("is a binary STL")

    def test_refuses_a_corner_that_is_not_finite(self):
        points = [(float("nan"), 0, 0)] + self.mesh[0][1:]
        self.put_mesh("A1", points, self.mesh[1])
        self.expect_failure("is a binary STL")

    def test_refuses_a_header_that_reads_as_text(self):
        path = self.folder / "pieces" / "A1.stl"
        path.write_bytes(b"solid" + path.read_bytes()[5:])
        self.expect_failure("a header that is no text")

    def test_refuses_a_wrong_volume(self):
        self.plan["pieces"][0]["volume_mm3"] *= 1 + 3e-6
        self.expect_failure("has the volume")

    def test_refuses_an_inside_out_piece(self):
        self.put_mesh("A1", self.mesh[0], [(a, c, b) for a, b, c in self.mesh[1]])
        self.expect_failure("has the volume")

    def test_refuses_a_piece_outside_its_room(self):
        self.plan["printers"][0]["room_mm"] = [109, 120, 80]
        self.expect_failure("lies in the printer's room")

    def test_refuses_a_piece_too_tall(self):
        self.plan["printers"][0]["room_mm"] = [120, 120, 49]
        self.expect_failure("lies in the printer's room")

    def test_refuses_a_piece_below_or_above_the_bed(self):
        for z in (-1, 1):
            self.put_mesh("A1", *box((5, 5, z), (105, 105, 50 + z)))
            self.expect_failure("bed")

    def test_refuses_a_mirroring_transform(self):
        self.plan["pieces"][0]["part_from_file"][0] = -1
        self.expect_failure("does not mirror")

    def test_refuses_a_shearing_transform(self):
        self.plan["pieces"][0]["part_from_file"][1] = 1e-6
        self.expect_failure("rigid motion")

    def test_refuses_a_scale_beyond_shrinkage(self):
        for scale in (0.9, 1.001):
            for k in (0, 5, 10):
                self.plan["pieces"][0]["part_from_file"][k] = scale
            self.expect_failure("at most the shrinkage")

    def test_accepts_shrinkage(self):
        for mark, low in (("A1", 50), ("A2", 0)):
            scaled = [tuple(5 + (x - 5) * 1.003 if k < 2 else x * 1.003 for k, x in enumerate(p)) for p in self.mesh[0]]
            self.put_mesh(mark, scaled, self.mesh[1])
        for p in self.plan["pieces"]:
            m = p["part_from_file"]
            for k in (0, 5, 10):
                m[k] = 1 / 1.003
            m[3] = m[7] = -5 / 1.003
        checks, text = self.verdict()
        self.assertEqual(checks.failed, 0, text)

    def test_refuses_pieces_that_do_not_make_the_part(self):
        self.plan["pieces"][0]["part_from_file"][11] = 60
        self.expect_failure("within the part's box")
        self.plan["pieces"][0]["part_from_file"][11] = 40
        self.expect_failure("fill the part's box")

    def test_refuses_volumes_that_do_not_add_up(self):
        self.plan["pieces"][0]["volume_before_keys_mm3"] += 0.01
        self.expect_failure("add up to the wired part")

    def test_refuses_totals_that_do_not_add_up(self):
        for key in ("print_s", "filament_mm", "mass_g", "shown_mm", "hidden_mm", "piece_count"):
            before = self.plan["totals"][key]
            self.plan["totals"][key] = before + 1
            self.expect_failure(f"total {key}")
            self.plan["totals"][key] = before

    def test_refuses_ids_used_twice(self):
        self.plan["pieces"][1]["id"] = "S1+"
        self.expect_failure("piece ids are unique")

    def test_refuses_references_to_nothing(self):
        for change, words in (
                (lambda p: p["pieces"][0].update(seam="S9"), "pieces name seams"),
                (lambda p: p["pieces"][0].update(printer="big"), "pieces name printers"),
                (lambda p: p["joints"][0].update(pieces=["S1+", "S9"]), "joints name"),
                (lambda p: p["joints"][0].update(seam="S9"), "joints name"),
                (lambda p: p["seams"][0].update(parent="S7", side="above"), "seams name parents"),
                (lambda p: p["assembly"][0].update(joint="J9"), "assembly steps"),
                (lambda p: p["joints"][0]["keys"][0].update(male="S9"), "a pin grows")):
            whole = copy.deepcopy(self.plan)
            change(self.plan)
            self.expect_failure(words)
            self.plan = whole

    def test_refuses_a_missing_key_of_the_contract(self):
        del self.plan["pieces"][0]["volume_mm3"]
        self.expect_failure("contract's keys")

    def test_refuses_another_schema(self):
        self.plan["schema"] = "other/1"
        self.expect_failure("plan.json is")

    def test_refuses_a_file_outside_the_folder(self):
        self.plan["pieces"][0]["file"] = "../A1.stl"
        self.expect_failure("lies in the folder")

    def test_refuses_a_csv_that_differs(self):
        self.put_csv(mass_g=3.1)
        self.expect_failure("pieces.csv agrees")

    def test_refuses_a_missing_3mf(self):
        (self.folder / "pieces" / "A1.3mf").unlink()
        self.expect_failure("has a 3MF")

    def test_refuses_a_damaged_3mf(self):
        path = self.folder / "pieces" / "A1.3mf"
        path.write_bytes(path.read_bytes()[:-30])
        self.expect_failure("opens as 3MF")

    def test_refuses_a_3mf_with_four_faces_at_an_edge(self):
        points, triangles = self.mesh
        three_mf(self.folder / "pieces" / "A1.3mf", points, triangles + [(0, 1, 7), (0, 7, 1)])
        self.expect_failure("exactly two triangles")

    def test_refuses_a_3mf_inside_out(self):
        points, triangles = self.mesh
        three_mf(self.folder / "pieces" / "A1.3mf", points, [(a, c, b) for a, b, c in triangles])
        self.expect_failure("faces outward")


if __name__ == "__main__":
    unittest.main()
