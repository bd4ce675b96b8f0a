"""Set the project up on a machine that has Python and nothing else, and start it.

    python3 conf/bootstrap.py manual [words for `procedures serve`]
    python3 conf/bootstrap.py test [words for pytest]

`manual` builds the manual and serves it to this machine alone. `test` runs everything that a
change must pass, with pytest in four processes (`-n 0`: in this one). Both first make `.venv` and
install the locked requirements into it. A stamp left there lets the next run skip that.

Standard library only. The grammar stays that of Python 3.7, so that an older Python ends in a
message and not in a syntax error.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
OLDEST = (3, 11)
PYTHON = f"{sys.version_info[0]}.{sys.version_info[1]}"
LOCKS = {
    "manual": ("conf/requirements-manual.txt",),
    "test": ("conf/requirements-manual.txt", "conf/requirements-test.txt"),
}
STAGES = (
    ("format", ("ruff", "format", "--check", ".")),
    ("lint", ("ruff", "check", ".")),
    ("types", ("mypy",)),
    ("pages", ("procedures_lib", "check")),
    ("tests", ("pytest", "-n", "4", "--dist", "loadfile", "--no-loadscope-reorder")),
)
PIP_FAILURES = (  # what pip's output holds, in small letters, and what that means
    (
        ("do not match the hashes",),
        "a download is not the file that was locked (its hash differs), so it was refused.",
    ),
    (("no space left",), "the disk is full."),
    (
        ("connection", "name resolution", "timed out", "from versions: none", "proxy"),
        "pip could not reach a package index. The first run needs the network, or the mirror or\n"
        "proxy that pip is set up for on this machine.",
    ),
)


class Stopped(Exception):  # noqa: N818 - not an error of the program
    """The run can't go on; the message says why and what to do."""


def say(line: str) -> None:
    """Print one line of progress ahead of what a child process will print."""
    print(line, flush=True)


def check_python(version: tuple[int, int]) -> None:
    """Refuse a Python that is older than the project supports."""
    if version < OLDEST:
        raise Stopped(
            f"this is Python {version[0]}.{version[1]}, "
            f"and the project needs {OLDEST[0]}.{OLDEST[1]} or newer.\n"
            "Install a newer Python and start this script with it, for example:\n"
            "  python3.13 conf/bootstrap.py ..."
        )


def venv_python(venv: Path, windows: bool = os.name == "nt") -> Path:
    """Return the path of the interpreter inside a virtual environment."""
    return venv / "Scripts" / "python.exe" if windows else venv / "bin" / "python"


def run(command: Sequence[str], quiet: bool = False) -> subprocess.CompletedProcess[str]:
    """Run a command in the project's folder; `quiet` keeps its output for the caller.

    What Python compiles is kept, whatever this shell says: the tests start the library hundreds
    of times.
    """
    pipe = subprocess.PIPE if quiet else None
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return subprocess.run(  # noqa: S603
        command,
        cwd=ROOT,
        env=dict(environment, PYTHONUTF8="1"),
        stdout=pipe,
        stderr=pipe,
        encoding="utf-8",
        errors="replace",
        check=False,
    )


def fingerprint(target: str, root: Path = ROOT, venv: Path = VENV) -> str:
    """Return a hash of all that an installation for `target` was made from."""
    digest = hashlib.sha256(str(root).encode())
    for path in (venv / "pyvenv.cfg", root / "pyproject.toml", *(root / p for p in LOCKS[target])):
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def stamp(target: str, venv: Path = VENV) -> Path:
    """Return the file that says for which fingerprint `target` was last installed in full."""
    return venv / f"installed-{target}"


def is_installed(target: str, root: Path = ROOT, venv: Path = VENV) -> bool:
    """Tell whether `.venv` already holds what `target` needs; `test` holds all of `manual`."""
    return venv_python(venv).exists() and any(
        stamp(name, venv).is_file()
        and stamp(name, venv).read_text("utf-8") == fingerprint(name, root, venv)
        for name in {target, "test"}
    )


def make_venv() -> None:
    """Make `.venv`, unless one with a new enough Python and pip is there."""
    python = venv_python(VENV)
    probe = f"import pip, sys; sys.exit(sys.version_info < {OLDEST})"
    if python.exists() and run([str(python), "-c", probe], quiet=True).returncode == 0:
        return
    check_venv_module(importlib.util.find_spec("ensurepip") is not None)
    say(f"Making .venv with Python {PYTHON}")
    made = run([sys.executable, "-m", "venv", "--clear", str(VENV)], quiet=True)
    if made.returncode:
        raise Stopped(last_lines(made.stdout + made.stderr) + "\n.venv could not be made.")


def check_venv_module(has_ensurepip: bool) -> None:
    """Say what to install where the system's Python comes without what `venv` needs."""
    if not has_ensurepip:
        raise Stopped(
            "this Python can't make virtual environments: its module ensurepip is missing.\n"
            "On Debian and Ubuntu, install it and start again:\n"
            f"  sudo apt install python{PYTHON}-venv"
        )


def pip_install(*words: str) -> None:
    """Run `pip install` in `.venv`, and turn a failure into a message.

    Nothing is compiled ahead: most of what comes along is never imported.
    """
    command = [str(venv_python(VENV)), "-m", "pip", "install", "--quiet", "--no-input"]
    options = ["--no-compile", "--disable-pip-version-check"]
    result = run([*command, *options, *words], quiet=True)
    if result.returncode:
        raise Stopped(last_lines(result.stderr) + "\n" + explain_pip(result.stderr))


def last_lines(text: str, count: int = 8) -> str:
    """Return the end of what a tool printed, set apart from our own words."""
    return "\n".join(["", *("  | " + line for line in text.splitlines()[-count:])])


def explain_pip(output: str) -> str:
    """Say in plain words why pip failed, going by what it printed."""
    for signs, reason in PIP_FAILURES:
        if any(sign in output.lower() for sign in signs):
            return "Nothing was started: " + reason + "\nThen give the same command again."
    return "Nothing was started: pip failed, and its own words stand above."


def prepare(target: str) -> None:
    """Bring `.venv` up to date for `target`. A run cut short leaves no stamp behind."""
    if is_installed(target):
        say(f"Installed already: {LOCKS[target][-1]}")
        return
    for name in LOCKS:
        if stamp(name).exists():
            stamp(name).unlink()
    make_venv()
    say(f"Installing {LOCKS[target][-1]}: takes a while the first time")
    pip_install("--require-hashes", "--requirement", LOCKS[target][-1])
    say("Installing the project itself")
    pip_install("--no-deps", "--no-build-isolation", "--editable", ".")
    stamp(target).write_text(fingerprint(target), "utf-8")


def serve(words: Sequence[str]) -> int:
    """Build and serve the manual until it is stopped; return the exit code."""
    say("Building the manual and serving it to this machine; Ctrl-C stops it")
    command = [str(venv_python(VENV)), "-m", "procedures_lib", "serve", *words]
    if os.name != "nt":  # become the server, so that a signal reaches it
        os.chdir(ROOT)
        os.execv(command[0], command)  # noqa: S606
    return run(command).returncode


def test(words: Sequence[str]) -> int:
    """Run each stage of the test, pytest last; stop at the first that fails."""
    names = [name for name, _ in STAGES]
    for number, (name, command) in enumerate(STAGES):
        say(f"\nStage {number + 1} of {len(STAGES)}: {name}")
        extra = words if name == "tests" else ()
        code = run([str(venv_python(VENV)), "-m", *command, *extra]).returncode
        if code:
            raise Stopped(
                f"the stage '{name}' failed ({command[0]} gave exit code {code}).\n"
                f"Passed before it: {', '.join(names[:number]) or 'none'}.\n"
                f"Not run: {', '.join(names[number + 1 :]) or 'none'}."
            )
    say(f"In order: {', '.join(names)}.")
    return 0


def main(words: Sequence[str]) -> int:
    """Carry out one command line; return the exit code."""
    try:
        check_python(sys.version_info[:2])
        if not words or words[0] not in LOCKS:
            print(__doc__)
            return 0 if words and words[0] in {"-h", "--help"} else 2
        prepare(words[0])
        return serve(words[1:]) if words[0] == "manual" else test(words[1:])
    except Stopped as stopped:
        print(f"\nStopped: {stopped}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped by hand.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
