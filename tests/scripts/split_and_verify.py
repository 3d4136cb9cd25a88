#!/usr/bin/env python3
"""Splits a part with the built program and lets the independent checker judge what it hands over.

usage: split_and_verify.py PROGRAM PART [OPTIONS OF SPLIT …]

Exit 0 when the program ends with 0 and every check of scripts/verify_hand_off.py passes.
"""
import pathlib
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]


def main():
    program, part, *options = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder) / "hand-off"
        given = [part] if part.endswith((".stl", ".obj", ".ply")) else ["--job", part]
        done = subprocess.run([program, "split", *given, "--out", str(out), *options], cwd=ROOT)
        if done.returncode != 0:
            return f"split ended with {done.returncode}"
        return subprocess.run([sys.executable, "-B", str(ROOT / "scripts" / "verify_hand_off.py"), str(out)]).returncode


if __name__ == "__main__":
    sys.exit(main())
