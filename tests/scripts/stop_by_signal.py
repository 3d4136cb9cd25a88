#!/usr/bin/env python3
"""Stops a split by each signal, twice: the first is answered at once, the second ends it with 3, and nothing is written.

Commands without a search say of the first signal that they stop.
"""

import os
import pathlib
import signal
import subprocess
import sys
import tempfile


def stopped_by(program: str, which: signal.Signals) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        job = folder / "job.toml"
        os.mkfifo(job)
        words = [program, "split", "--job", str(job), "--out", str(folder / "out"), "--records", str(folder / "records")]
        split = subprocess.Popen(words, stderr=subprocess.PIPE, text=True)
        # Opens only when the program waits for its job: by then it listens to signals.
        with open(job, "w") as told:
            for wanted in ("finishing with the best plan so far", "stopping"):
                split.send_signal(which)
                assert split.stderr.readline() == "\n"
                line = split.stderr.readline()
                assert line.startswith(wanted), line
            part = pathlib.Path(__file__).parents[2] / "meshes" / "tail_fan.stl"
            told.write(f'[part]\nfile = "{part}"\nunit = "mm"\n')
        rest = split.stderr.read()
        assert split.wait() == 3, (which, split.returncode, rest)
        assert "nothing is half written" in rest, rest
        assert not (folder / "out").exists()


def answered_by(program: str, words: list[str], pipe: pathlib.Path, wanted: str) -> None:
    """The first line said to a signal while the command waits for what it reads."""
    os.mkfifo(pipe)
    command = subprocess.Popen([program, *words], stderr=subprocess.PIPE, text=True)
    with open(pipe, "w"):
        command.send_signal(signal.SIGINT)
        assert command.stderr.readline() == "\n"
        line = command.stderr.readline()
        assert line.startswith(wanted), (words, line)
    command.stderr.read()
    command.wait()


def answers(program: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        job, plan = folder / "job.toml", folder / "plan.json"
        records = ["--records", str(folder / "records")]
        answered_by(program, ["days", str(job), *records], job, "finishing with the best days so far")
        answered_by(program, ["sample", "J1", str(folder)], plan, "stopping")


if __name__ == "__main__":
    answers(sys.argv[1])
    for signal_sent in (signal.SIGINT, signal.SIGTERM):
        stopped_by(sys.argv[1], signal_sent)
