#!/usr/bin/env python3
"""Checks a hand-off folder with nothing but the Python standard library, on purpose apart from the program
that wrote it: what it says in plan.json is held against the bytes of the pieces.

usage: verify_hand_off.py DIR

One line per check; exit 0 when all passed, 1 when any failed, 2 when the folder can't be read at all.
"""
import csv
import json
import math
import pathlib
import struct
import sys
import xml.etree.ElementTree as ElementTree
import zipfile

SCHEMA = "seamwright-plan/1"
VOLUME_OF_FILE = 1e-6      # relative: the written file is rounded to float
VOLUME_OF_SUM = 1e-9       # relative: pieces before keys against the wired part
VOLUME_OF_LOOSE = 1e-5     # relative: a thin part, rounded to float
ROOM_SLACK_MM = 1e-3       # a float at 300 mm is good to 3e-5
LARGEST_SHRINK = 0.05      # the scale from file to part may undo a material's shrinkage, no more
FLANGE_MM = 12             # a flange may stand this far over the part's skin
RELIEF_MM = 1              # relief at a seam may take this from an outermost edge
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


class Checks:
    def __init__(self, out=sys.stdout):
        self.passed = self.failed = 0
        self.out = out

    def that(self, holds, what, detail=""):
        """One check: its name, and what was found when it does not hold."""
        if holds:
            self.passed += 1
            print(f"ok    {what}", file=self.out)
        else:
            self.failed += 1
            print(f"FAIL  {what}" + (f": {detail}" if detail else ""), file=self.out)
        return bool(holds)

    def close(self, got, wanted, relative, what):
        scale = max(abs(got), abs(wanted), 1e-300)
        return self.that(abs(got - wanted) <= relative * scale, what,
                         f"{got!r} against {wanted!r}, off by {abs(got - wanted) / scale:.3g}")


# ---------------------------------------------------------------- meshes

def read_binary_stl(data):
    """Points welded by exact float position (-0 = 0) and triangles."""
    if len(data) < 84:
        raise ValueError(f"{len(data)} bytes are fewer than a header")
    count = struct.unpack_from("<I", data, 80)[0]
    if len(data) != 84 + 50 * count:
        raise ValueError(f"{len(data)} bytes, but {count} triangles take {84 + 50 * count}")
    number, points, triangles = {}, [], []
    for record in struct.iter_unpack("<12f2x", memoryview(data)[84:]):
        corners = []
        for k in (3, 6, 9):
            p = (record[k] + 0.0, record[k + 1] + 0.0, record[k + 2] + 0.0)
            if not all(map(math.isfinite, p)):
                raise ValueError(f"triangle {len(triangles) + 1} has a corner that is not finite")
            at = number.setdefault(p, len(points))
            if at == len(points):
                points.append(p)
            corners.append(at)
        triangles.append(tuple(corners))
    return points, triangles


def unbalanced_edges(triangles):
    """Undirected edges whose two directions are not used alike, and collapsed triangles."""
    balance, collapsed = {}, 0
    for t in triangles:
        if len(set(t)) < 3:
            collapsed += 1
        for a, b in ((t[0], t[1]), (t[1], t[2]), (t[2], t[0])):
            if a < b:
                balance[a, b] = balance.get((a, b), 0) + 1
            elif b < a:
                balance[b, a] = balance.get((b, a), 0) - 1
    return sum(1 for v in balance.values() if v), collapsed


def edges_not_shared_by_two(triangles):
    """3MF core: by index, exactly two triangles an edge, in opposite order."""
    uses = {}
    for t in triangles:
        for a, b in ((t[0], t[1]), (t[1], t[2]), (t[2], t[0])):
            uses.setdefault((min(a, b), max(a, b)), []).append(a < b)
    return sum(1 for u in uses.values() if len(u) != 2 or u[0] == u[1])


def volume_of(points, triangles):
    ox, oy, oz = points[0]
    terms = []
    for i, j, k in triangles:
        ax, ay, az = points[i][0] - ox, points[i][1] - oy, points[i][2] - oz
        bx, by, bz = points[j][0] - ox, points[j][1] - oy, points[j][2] - oz
        cx, cy, cz = points[k][0] - ox, points[k][1] - oy, points[k][2] - oz
        terms.append(ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx))
    return math.fsum(terms) / 6


def box_of(points):
    return [min(p[k] for p in points) for k in range(3)], [max(p[k] for p in points) for k in range(3)]


def apply(matrix, p):
    return tuple(matrix[4 * r] * p[0] + matrix[4 * r + 1] * p[1] + matrix[4 * r + 2] * p[2] + matrix[4 * r + 3] for r in range(3))


def determinant(m):
    return (m[0] * (m[5] * m[10] - m[6] * m[9]) - m[1] * (m[4] * m[10] - m[6] * m[8]) + m[2] * (m[4] * m[9] - m[5] * m[8]))


# ---------------------------------------------------------------- 3MF

def check_three_mf(checks, name, data_path):
    """Opens as a zip with one model part; every mesh in it is whole by index."""
    try:
        with zipfile.ZipFile(data_path) as package:
            bad = package.testzip()
            models = [n for n in package.namelist() if n.lower().endswith(".model")]
            if not checks.that(bad is None and len(models) == 1, f"{name} is a zip with one model", f"damaged {bad}, models {models}"):
                return
            root = ElementTree.fromstring(package.read(models[0]))
    except (OSError, zipfile.BadZipFile, ElementTree.ParseError, KeyError) as fault:
        checks.that(False, f"{name} opens as 3MF", str(fault))
        return
    checks.that(root.tag == CORE + "model" and root.get("unit", "millimeter") == "millimeter", f"{name} is in millimetres",
                f"{root.tag} {root.get('unit')}")
    check_ids(checks, name, root)
    meshes, worst, outside, inward = 0, 0, 0, 0
    for mesh in root.iter(CORE + "mesh"):
        points = [(float(v.get("x")), float(v.get("y")), float(v.get("z"))) for v in mesh.iter(CORE + "vertex")]
        triangles = [(int(t.get("v1")), int(t.get("v2")), int(t.get("v3"))) for t in mesh.iter(CORE + "triangle")]
        meshes += 1
        outside += sum(1 for t in triangles for v in t if not 0 <= v < len(points))
        if outside == 0 and triangles:
            worst += edges_not_shared_by_two(triangles)
            inward += volume_of(points, triangles) <= 0
    checks.that(meshes >= 1 and outside == 0, f"{name} has meshes whose triangles name their points", f"{meshes} meshes, {outside} bad numbers")
    checks.that(worst == 0, f"{name} has every edge shared by exactly two triangles in opposite order", f"{worst} edges")
    checks.that(inward == 0, f"{name} faces outward", f"{inward} meshes")


def check_ids(checks, name, root):
    ids = [r.get("id") for r in root.iter(CORE + "object")]
    checks.that(len(ids) == len(set(ids)) and all(i and i.isdigit() and 1 <= int(i) < 2 ** 31 for i in ids),
                f"{name} has unique object ids", str(ids[:10]))
    items = [i.get("objectid") for i in root.iter(CORE + "item")] + [c.get("objectid") for c in root.iter(CORE + "component")]
    checks.that(items and all(i in ids for i in items), f"{name} builds objects that it defines", str(items[:10]))
    flips = [m for m in (e.get("transform") for e in root.iter()) if m and flips_volume(m)]
    checks.that(not flips, f"{name} has no mirroring transform", str(flips[:3]))


def flips_volume(text):
    m = [float(v) for v in text.split()]
    return len(m) != 12 or determinant([m[0], m[3], m[6], 0, m[1], m[4], m[7], 0, m[2], m[5], m[8], 0]) <= 0


# ---------------------------------------------------------------- plan

def check_references(checks, plan):
    seams, pieces, joints = ([x["id"] for x in plan[k]] for k in ("seams", "pieces", "joints"))
    for what, ids in (("seam", seams), ("piece", pieces), ("joint", joints)):
        checks.that(len(ids) == len(set(ids)), f"{what} ids are unique", str(ids[:10]))
    for key in ("mark", "file"):
        values = [p[key] for p in plan["pieces"]]
        checks.that(len(values) == len(set(values)), f"each piece has a {key} of its own", str(values[:10]))
    known = set()
    bad = []
    for seam in plan["seams"]:
        if seam.get("parent") is not None and (seam["parent"] not in known or seam.get("side") not in ("above", "below")):
            bad.append(seam["id"])
        known.add(seam["id"])
    checks.that(not bad, "seams name parents that stand before them, and a side", str(bad))
    checks.that(all(abs(math.hypot(*s["normal"]) - 1) < 1e-9 for s in plan["seams"]), "seams have unit normals")
    bad = [p["id"] for p in plan["pieces"] if p.get("seam") is not None and p["seam"] not in known]
    checks.that(not bad, "pieces name seams that exist", str(bad))
    printers = [p["name"] for p in plan["printers"]]
    bad = [p["id"] for p in plan["pieces"] if not {p["printer"], p["planned_for"]} <= set(printers)]
    checks.that(not bad, "pieces name printers that exist", str(bad))
    bad = [j["id"] for j in plan["joints"] if j["seam"] not in known or len(j["pieces"]) != 2 or j["pieces"][0] == j["pieces"][1]
           or any(p not in pieces for p in j["pieces"])]
    checks.that(not bad, "joints name a seam and two different pieces that exist", str(bad))
    bad = [k for j in plan["joints"] for k in j["keys"] if k.get("male") is not None and k["male"] not in j["pieces"]]
    checks.that(not bad, "a pin grows from a piece of its joint", str(bad[:3]))
    bad = [a for a in plan.get("assembly", []) if a["joint"] not in joints]
    checks.that(not bad, "assembly steps name joints that exist", str(bad[:3]))
    bad = [c["id"] for c in plan.get("channels", []) if any(s not in known for s in c["crosses"])]
    checks.that(not bad, "channels cross seams that exist", str(bad))
    flat = [f"{name} {seam} {angle:.0f}" for name, seam, angle in crossings(plan) if angle < 45 and not is_told(plan, name, seam)]
    checks.that(not flat, "channels cross seams at 45 degrees or more, or are told of", str(flat))


    check_seam_runs(checks, plan)


RUN_BESIDE_MM = 5          # a seam nearer than that to a channel's middle leaves its keys no room
RUN_TOLD_FROM_MM = 15      # what is shorter is no run
RUN_TOLERANCE_MM = 2


def check_seam_runs(checks, plan):
    """Seams that run along channels, measured on the joints' outlines, are told of with their lengths."""
    warnings = [w["message"] for w in plan.get("warnings", []) if w["code"] == "seam-runs-along"]
    untold, wrong = [], []
    for channel in plan.get("channels", []):
        told = {run["seam"]: run["length_mm"] for run in channel.get("seam_runs", [])}
        for seam in plan["seams"]:
            outlines = [j["outline"] for j in plan["joints"] if j["seam"] == seam["id"]]
            length_mm = run_beside(seam, outlines, channel.get("path", []))
            if abs(length_mm - told.get(seam["id"], 0)) > RUN_TOLERANCE_MM and (length_mm > RUN_TOLD_FROM_MM or seam["id"] in told):
                wrong.append(f"{channel['id']} {seam['id']} {length_mm:.1f}, said {told.get(seam['id'], 0):.1f}")
        untold += [f"{channel['id']} {s}" for s in told
                   if not any(w.startswith(f"{s} runs ") and f'"{channel["id"]}"' in w for w in warnings)]
    checks.that(not wrong, "lengths of seams that run along channels", str(wrong))
    checks.that(not untold, "seams that run along channels are warned of", str(untold))


def run_beside(seam, outlines, path):
    """How much of a path makes less than 45 degrees with a seam and lies within RUN_BESIDE_MM of its outlines' insides."""
    normal = seam["normal"]
    axis = min(range(3), key=lambda k: abs(normal[k]))
    u = cross([1.0 if k == axis else 0.0 for k in range(3)], normal)
    u = [x / math.hypot(*u) for x in u]
    v = cross(normal, u)
    flat_outlines = [[[(dot(u, p), dot(v, p)) for p in loop] for loop in outline] for outline in outlines]
    total_mm = 0.0
    for a, b in zip(path, path[1:]):
        step_mm = math.dist(a, b)
        if step_mm == 0 or abs(dot(normal, b) - dot(normal, a)) >= math.sqrt(0.5) * step_mm:
            continue
        steps = math.ceil(step_mm)
        for k in range(steps):
            p = [x + (k + 0.5) / steps * (y - x) for x, y in zip(a, b)]
            off_mm = abs(dot(normal, p) - seam["offset_mm"])
            if off_mm > RUN_BESIDE_MM:
                continue
            at = (dot(u, p), dot(v, p))
            beside_mm = min((distance_to_outline(loops, at) for loops in flat_outlines), default=math.inf)
            if math.hypot(off_mm, beside_mm) <= RUN_BESIDE_MM:
                total_mm += step_mm / steps
    return total_mm


def distance_to_outline(loops, at):
    """0 inside (even-odd over all loops), else to the nearest edge."""
    inside, nearest = False, math.inf
    for loop in loops:
        for (ax, ay), (bx, by) in zip(loop, loop[1:] + loop[:1]):
            if (ay > at[1]) != (by > at[1]) and at[0] < ax + (bx - ax) * (at[1] - ay) / (by - ay):
                inside = not inside
            along = (bx - ax) ** 2 + (by - ay) ** 2
            share = 0.0 if along == 0 else max(0.0, min(1.0, ((at[0] - ax) * (bx - ax) + (at[1] - ay) * (by - ay)) / along))
            nearest = min(nearest, math.hypot(at[0] - ax - share * (bx - ax), at[1] - ay - share * (by - ay)))
    return 0.0 if inside else nearest


def dot(a, b):
    return math.fsum(x * y for x, y in zip(a, b))


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def is_told(plan, name, seam):
    words = [w["message"] for w in plan.get("warnings", []) if w["code"] == "wire-crosses-askew"]
    return any(f'"{name}"' in text and f" {seam} " in text for text in words)


def crossings(plan):
    """Name, seam and angle of each place where a channel's path passes a seam within the half that it cuts."""
    seams = {seam["id"]: seam for seam in plan["seams"]}

    def above(seam, p):
        return math.fsum(n * x for n, x in zip(seam["normal"], p)) - seam["offset_mm"]

    def is_cut(seam, p):
        while seam.get("parent") is not None:
            parent = seams[seam["parent"]]
            if (above(parent, p) >= 0) != (seam["side"] == "above"):
                return False
            seam = parent
        return True

    for channel in plan.get("channels", []):
        path = channel.get("path", [])
        for a, b in zip(path, path[1:]):
            for seam in plan["seams"]:
                from_mm, to_mm = above(seam, a), above(seam, b)
                if (from_mm >= 0) == (to_mm >= 0):
                    continue
                share = from_mm / (from_mm - to_mm)
                if seam["id"] in channel["crosses"] and is_cut(seam, [x + share * (y - x) for x, y in zip(a, b)]):
                    sine = min(1.0, abs(from_mm - to_mm) / math.dist(a, b))
                    yield channel["id"], seam["id"], math.degrees(math.asin(sine))


def check_totals(checks, plan):
    totals, pieces, seams = plan["totals"], plan["pieces"], plan["seams"]
    checks.that(totals["piece_count"] == len(pieces), "total piece_count", f"{totals['piece_count']} against {len(pieces)}")
    checks.that(1 <= totals["piece_lower_bound"] <= len(pieces), "piece_lower_bound is no more than the pieces")
    printed = pieces + plan.get("loose_parts", [])
    for key, rows in (("print_s", printed), ("filament_mm", printed), ("mass_g", printed), ("shown_mm", seams), ("hidden_mm", seams)):
        total = math.fsum(row[key] for row in rows)
        checks.that(abs(total - totals[key]) <= 1e-6 * max(1, abs(total)), f"total {key} adds up", f"{totals[key]} against {total}")
    checks.close(math.fsum(p["volume_before_keys_mm3"] for p in pieces), plan["part"]["wired_volume_mm3"], VOLUME_OF_SUM,
                 "pieces before keys add up to the wired part")


def number_like(text):
    try:
        return float(text)
    except ValueError:
        return None


def check_csv(checks, folder, plan):
    path = folder / "pieces.csv"
    try:
        with open(path, newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
    except OSError as fault:
        checks.that(False, "pieces.csv can be read", str(fault))
        return
    checks.that(len(rows) == len(plan["pieces"]), "pieces.csv has a row for each piece", f"{len(rows)} rows")
    bad, compared = [], 0
    by_mark = {p["mark"]: p for p in plan["pieces"]}
    for row in rows:
        piece = by_mark.get(row.get("mark"))
        if piece is None:
            bad.append(f"no piece {row.get('mark')}")
            continue
        for key, text in row.items():
            if key not in piece or isinstance(piece[key], (list, dict)):
                continue
            compared += 1
            if not agrees(piece[key], text):
                bad.append(f"{row['mark']} {key}: {text} against {piece[key]}")
    checks.that(not bad and compared >= 2 * len(rows), "pieces.csv agrees with plan.json", "; ".join(bad[:3]) or f"only {compared} cells compared")


def agrees(value, text):
    """Numbers agree when they are the same to the digits that the text shows."""
    if value is None:
        return text == ""
    if isinstance(value, bool) or isinstance(value, str):
        return str(value) == text
    shown = number_like(text)
    if shown is None:
        return False
    decimals = len(text.split(".")[1]) if "." in text and "e" not in text.lower() else 0
    return abs(shown - value) <= max(0.5000001 * 10 ** -decimals, 1e-5 * abs(value) if "e" in text.lower() else 0)


# ---------------------------------------------------------------- pieces

def check_transform(checks, mark, matrix):
    """A rigid motion times a scale, at most the shrinkage."""
    if not checks.that(len(matrix) == 16 and matrix[12:] == [0, 0, 0, 1] and all(map(math.isfinite, matrix)),
                       f"{mark}: part_from_file is 16 numbers, the last row 0 0 0 1", str(matrix)):
        return None
    det = determinant(matrix)
    if not checks.that(det > 0, f"{mark}: part_from_file does not mirror", f"determinant {det}"):
        return None
    scale = det ** (1 / 3)
    rows = [[matrix[4 * r + c] / scale for c in range(3)] for r in range(3)]
    worst = max(abs(sum(rows[i][k] * rows[j][k] for k in range(3)) - (i == j)) for i in range(3) for j in range(3))
    checks.that(worst < 1e-9, f"{mark}: part_from_file is a rigid motion times a scale", f"off by {worst:.3g}")
    checks.that(1 - LARGEST_SHRINK <= scale <= 1 + 1e-9, f"{mark}: its scale is at most the shrinkage", f"scale {scale}")
    return scale


def check_fit(checks, mark, points, printer, size_mm):
    low, high = box_of(points)
    room, margin = printer["room_mm"], printer["margin_mm"]
    checks.that(low[2] >= -ROOM_SLACK_MM, f"{mark}: stands on or above the bed", f"lowest z {low[2]}")
    checks.that(low[2] <= 0.05, f"{mark}: reaches the bed", f"lowest z {low[2]}")
    inside = all(low[k] >= margin - ROOM_SLACK_MM and high[k] <= room[k] - margin + ROOM_SLACK_MM for k in (0, 1))
    checks.that(inside and high[2] <= room[2] + ROOM_SLACK_MM, f"{mark}: lies in the printer's room less its margin", f"{low} … {high} in {room} less {margin}")
    checks.that(all(abs(high[k] - low[k] - size_mm[k]) <= 1e-3 + LARGEST_SHRINK * size_mm[k] for k in range(3)),
                f"{mark}: has the size that the plan says", f"{[high[k] - low[k] for k in range(3)]} against {size_mm}")


def check_piece(checks, folder, plan, piece, part_box):
    mark = piece["mark"]
    path = folder / piece["file"]
    if not checks.that(path.resolve().is_relative_to(folder.resolve()), f"{mark}: its file lies in the folder", piece["file"]):
        return
    try:
        data = path.read_bytes()
        points, triangles = read_binary_stl(data)
    except (OSError, ValueError) as fault:
        checks.that(False, f"{mark}: {piece['file']} is a binary STL", str(fault))
        return
    checks.that(triangles and not data[:80].lower().startswith(b"solid"), f"{mark}: has triangles and a header that is no text")
    if not triangles:
        return
    open_edges, collapsed = unbalanced_edges(triangles)
    checks.that(open_edges == 0, f"{mark}: every directed edge has its opposite", f"{open_edges} edges")
    checks.that(collapsed == 0, f"{mark}: no triangle repeats a corner", f"{collapsed} triangles")
    scale = check_transform(checks, mark, piece["part_from_file"])
    printer = next((p for p in plan["printers"] if p["name"] == piece["planned_for"]), None)
    if printer is not None:
        check_fit(checks, mark, points, printer, piece["size_mm"])
    if scale is not None:
        checks.close(volume_of(points, triangles) * scale ** 3, piece["volume_mm3"], VOLUME_OF_FILE, f"{mark}: has the volume that the plan says")
        back = [apply(piece["part_from_file"], p) for p in points]
        low, high = box_of(back)
        for k in range(3):
            part_box[0][k] = min(part_box[0][k], low[k])
            part_box[1][k] = max(part_box[1][k], high[k])
    three_mf = path.with_suffix(".3mf")
    if checks.that(three_mf.is_file(), f"{mark}: has a 3MF beside its STL", str(three_mf.name)):
        check_three_mf(checks, f"{mark}: {three_mf.name}", three_mf)


def check_loose_part(checks, folder, plan, part):
    """A strap or the like: closed, on its bed, of the volume and size that the plan says."""
    mark = part["mark"]
    try:
        points, triangles = read_binary_stl((folder / part["file"]).read_bytes())
    except (OSError, ValueError) as fault:
        checks.that(False, f"{mark}: {part['file']} is a binary STL", str(fault))
        return
    open_edges, collapsed = unbalanced_edges(triangles)
    checks.that(open_edges == 0 and collapsed == 0, f"{mark}: every directed edge has its opposite", f"{open_edges} edges")
    checks.that(part["joint"] in [j["id"] for j in plan["joints"]], f"{mark}: belongs to a joint that exists", part["joint"])
    scale = check_transform(checks, mark, part["part_from_file"])
    if scale is None or not triangles:
        return
    checks.close(volume_of(points, triangles) * scale ** 3, part["volume_mm3"], VOLUME_OF_LOOSE, f"{mark}: has the volume that the plan says")
    low, high = box_of(points)
    checks.that(abs(low[2]) <= 1e-3 and all(abs((high[k] - low[k]) * scale - part["size_mm"][k]) <= 1e-3 for k in range(3)),
                f"{mark}: stands on the bed in its size", f"{low} … {high} against {part['size_mm']}")


def check_part_box(checks, plan, part_box):
    """Put back, the pieces lie within the part's box and fill it, relief along the seams aside."""
    size = plan["part"]["size_mm"]
    got = [part_box[1][k] - part_box[0][k] for k in range(3)]
    over = FLANGE_MM if any(joint["kind"] == "flange" for joint in plan["joints"]) else 0
    checks.that(all(got[k] <= size[k] + 2 * over + 1e-3 + 1e-6 * size[k] for k in range(3)), "pieces put back lie within the part's box",
                f"{got} against {size}")
    checks.that(all(got[k] >= size[k] - 2 * RELIEF_MM for k in range(3)), "pieces put back fill the part's box", f"{got} against {size}")


def verify(folder, out=sys.stdout):
    folder = pathlib.Path(folder)
    checks = Checks(out)
    with open(folder / "plan.json", encoding="utf-8") as file:
        plan = json.load(file)
    checks.that(plan.get("schema") == SCHEMA, f"plan.json is {SCHEMA}", str(plan.get("schema")))
    try:
        check_references(checks, plan)
        check_totals(checks, plan)
        check_csv(checks, folder, plan)
        part_box = ([math.inf] * 3, [-math.inf] * 3)
        for piece in plan["pieces"]:
            check_piece(checks, folder, plan, piece, part_box)
        for part in plan.get("loose_parts", []):
            check_loose_part(checks, folder, plan, part)
        if plan["pieces"]:
            check_part_box(checks, plan, part_box)
        if (folder / "assembled.3mf").is_file():
            check_three_mf(checks, "assembled.3mf", folder / "assembled.3mf")
    except (KeyError, TypeError, IndexError, ValueError) as fault:
        checks.that(False, "plan.json holds the contract's keys", f"{type(fault).__name__} {fault}")
    print(f"{checks.passed} passed, {checks.failed} failed", file=out)
    return checks


def main(arguments):
    if len(arguments) != 1 or arguments[0] in ("-h", "--help"):
        print(__doc__, file=sys.stderr)
        return 2
    try:
        return 1 if verify(arguments[0]).failed else 0
    except (OSError, json.JSONDecodeError) as fault:
        print(f"verify_hand_off.py: {arguments[0]}: {fault}", file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
