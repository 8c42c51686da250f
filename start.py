#!/usr/bin/env python3
"""Set up and run loomwright with nothing but Python 3.11 or newer.

python3 start.py            makes .venv, works out the demo job and writes its pack to out/
python3 start.py open       opens the desk in the browser, with the jobs in jobs/
python3 start.py test       adds what the tests need and runs everything
python3 start.py WORDS ...  passes the words on: python3 start.py check my-job
"""

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
OLDEST = (3, 11)
CHROMIUM = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
DEBIAN = ("chromium", "fonts-dejavu-core")  # without any font a page has no text to press


def main() -> int:
    if sys.version_info < OLDEST:
        have = ".".join(map(str, sys.version_info[:3]))
        print(f"This is Python {have}; loomwright needs 3.11 or newer. Install it and run this with it.")
        return 2
    words = sys.argv[1:]
    testing = words[:1] == ["test"]
    if not made_ready("requirements-test.lock" if testing else "requirements.lock"):
        return 2
    if testing:
        return run("-m", "pytest", *(words[1:] or ["-n", "2"])) if found_chromium() else 2
    return run("-m", "loomwright", *(words or ["demo"]))


def run(*words: str) -> int:
    return subprocess.run([str(PYTHON), *words], cwd=HERE, check=False).returncode


def found_chromium() -> bool:
    """Find the browser the tests of the desk need; fetch it where this may be done without asking."""
    if any(map(shutil.which, CHROMIUM)):
        return True
    if shutil.which("apt-get") and getattr(os, "geteuid", lambda: 1)() == 0:
        print("The tests need Chromium; fetching it (once) ...", flush=True)
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        for words in (["update", "-q"], ["install", "-y", "-q", "--no-install-recommends", *DEBIAN]):
            subprocess.run(["apt-get", *words], env=quiet, stdout=subprocess.DEVNULL, check=False)
        if any(map(shutil.which, CHROMIUM)):
            return True
    print("The tests need Chromium and found none. On Debian and Ubuntu: sudo apt install chromium.")
    return False


def made_ready(lock: str) -> bool:
    """Make .venv and install what the lock file lists, if that has not been done for this very file."""
    stamp = VENV / "installed.txt"
    locks = sorted({"requirements.lock", lock})
    wanted = [hashlib.sha256((HERE / name).read_bytes()).hexdigest() for name in locks]
    if PYTHON.exists() and stamp.exists() and set(wanted) <= set(stamp.read_text("utf-8").split()):
        return True
    print("Setting up .venv (once; needs the network for a minute) ...", flush=True)
    if not PYTHON.exists() and not made_venv():
        return False
    quiet = ("--disable-pip-version-check", "--quiet")
    install = ["-m", "pip", "install", *quiet, "--require-hashes", "-r", lock]
    if run(*install):
        print(f"What {lock} lists could not be installed. Check the network and run this again.")
        return False
    site = subprocess.run(
        [str(PYTHON), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"],
        capture_output=True, text=True, check=True,
    ).stdout.strip()
    (Path(site) / "loomwright-src.pth").write_text(str(HERE / "src") + "\n", "utf-8")
    stamp.write_text("\n".join(wanted) + "\n", "utf-8")
    return True


def made_venv() -> bool:
    words = [sys.executable, "-m", "venv", str(VENV)]
    made = subprocess.run(words, capture_output=True, text=True, check=False)
    if made.returncode:
        print(made.stdout + made.stderr)
        print("Python could not make .venv. On Debian and Ubuntu: sudo apt install python3-venv.")
    return made.returncode == 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
