#!/usr/bin/env python3
"""Start Larkslate, use it from the shell, or check it. Needs nothing but Python 3.11 and a network once.

::

    python3 run.py                      opens the workbench (the first start installs what it needs)
    python3 run.py word catch --json    any command of the command line
    python3 run.py test                 runs every check

On Windows write ``py run.py``. Everything installed stays in ``.venv`` beside this file; delete that folder to undo it.
"""

from __future__ import annotations

import os
import sys

NEEDS_PYTHON = (3, 11)
if sys.version_info < NEEDS_PYTHON:
    sys.exit(
        "Larkslate needs Python {}.{} or newer, and this is Python {}.{}: install a newer one and "
        "start run.py with it.".format(*NEEDS_PYTHON, *sys.version_info[:2])
    )

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
CACHE = ROOT / ".cache"
WINDOWS = os.name == "nt"
PYTHON = VENV / ("Scripts/python.exe" if WINDOWS else "bin/python")
LAYOUT = "1"  # raise it when a change to this file makes an older environment unusable

TYPESCRIPT = "5.9.3"
TYPESCRIPT_INTEGRITY = "sha512-jl1vZzPDinLr9eUt3J/t7V6FgNEw9QjvBPdysz9KfQDD41fQrC2Y4vKQdiaUpFT4bXlb1RHhLpp8wtm6M5TgSw=="
CHROMIUM_NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
)


def say(text: str) -> None:
    """Tell the person at the terminal, leaving standard output to the command's own answer."""
    print(text, file=sys.stderr, flush=True)


def in_ci() -> bool:
    """Whether this run is one that must not skip a check."""
    return os.environ.get("CI", "").lower() not in ("", "0", "false")


# ---- the environment -------------------------------------------------------------------------


def fingerprint(name: str) -> str:
    """What the environment depends on: the lock file, this Python, this place and this layout."""
    parts = [LAYOUT, sys.version, sys.base_prefix, str(ROOT)]
    digest = hashlib.sha256("\n".join(parts).encode())
    digest.update((ROOT / "requirements" / f"{name}.txt").read_bytes())
    return digest.hexdigest()


def stamp(name: str) -> Path:
    """The file that says a set of requirements is installed whole; it is written last."""
    return VENV / f"installed-{name}"


def installed(name: str) -> bool:
    """Whether a set of requirements is installed whole, as the lock file now says."""
    try:
        return stamp(name).read_text(encoding="ascii") == fingerprint(name)
    except OSError:
        return False


def child_environment(extra: Mapping[str, str] | None = None) -> dict[str, str]:
    """The environment for programs we start: ours, less what would mix another Python in."""
    unwanted = ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__", "PIP_USER", "PIP_TARGET")
    environment = {k: v for k, v in os.environ.items() if k not in unwanted}
    environment.update(extra or {})
    return environment


def make_environment() -> None:
    """Make ``.venv`` anew unless there is one that works."""
    import subprocess

    if PYTHON.exists():
        check = [str(PYTHON), "-c", "import pip, sys; print(sys.version)"]
        answer = subprocess.run(
            check, capture_output=True, text=True, check=False, env=child_environment()
        )
        if answer.returncode == 0 and answer.stdout.strip() == sys.version.strip():
            return
    version = "{}.{}".format(*sys.version_info[:2])
    try:
        import ensurepip  # noqa: F401
        import venv
    except ImportError:
        sys.exit(
            "This Python cannot make an environment: its venv module is missing. On Debian or Ubuntu "
            f"run: sudo apt install python{version}-venv (or python3-venv). Then start run.py again."
        )
    say(f"Making an environment in {VENV} ...")
    try:
        venv.EnvBuilder(clear=True, with_pip=True, symlinks=not WINDOWS).create(VENV)
    except subprocess.CalledProcessError as error:
        sys.exit(f"The environment could not be made ({error}). Delete {VENV} and try again.")
    except OSError as error:
        sys.exit(
            f"The environment could not be made: {error}. Put Larkslate in a folder that you may "
            "write to, with 1 GB free, and try again."
        )


def pinned(name: str) -> int:
    """How many packages a lock file names (some are for other systems only)."""
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    return sum("==" in line for line in text.splitlines())


def install(name: str) -> None:
    """Install one lock file, every package checked against its hash. Safe to break off and repeat."""
    import subprocess

    total = pinned(name)
    command = [str(PYTHON), "-m", "pip", "install", "--require-hashes", "--no-deps", "--no-compile"]
    command += ["--only-binary", ":all:", "--no-input", "--progress-bar", "off"]
    command += ["--disable-pip-version-check", "-r", str(ROOT / "requirements" / f"{name}.txt")]
    log: list[str] = []
    done = 0
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
        env=child_environment(),
    ) as pip:
        for line in pip.stdout or ():
            log.append(line.rstrip())
            if line.startswith(("Collecting ", "Requirement already satisfied", "Ignoring ")):
                done += 1
                bar(done, total, "Installing packages")
    if pip.returncode != 0:
        say("")
        say("\n".join(log[-15:]))
        sys.exit(
            "Larkslate could not install what it needs (the lines above say why). Check the network "
            "and the free disk space, then start run.py again: it goes on where it stopped."
        )
    if done < total:
        bar(total, total, "Installing packages")


def bar(done: int, total: int, what: str) -> None:
    """One line of progress on a terminal; elsewhere only the first and the last."""
    if sys.stderr.isatty():
        width = 30
        full = width * min(done, total) // max(total, 1)
        end = "\n" if done >= total else ""
        print(
            f"\r{what} [{'#' * full}{' ' * (width - full)}] {done} of {total}",
            end=end,
            file=sys.stderr,
            flush=True,
        )
    elif done in (1, total):
        say(f"{what}: {done} of {total}")


def site_packages() -> Path:
    """The folder of the environment that packages go into."""
    if WINDOWS:
        return VENV / "Lib" / "site-packages"
    return VENV / "lib" / "python{}.{}".format(*sys.version_info[:2]) / "site-packages"


def ready(*names: str) -> None:
    """See that the sets of requirements are installed; does next to nothing when they are."""
    if all(installed(name) for name in names):
        return
    with alone(CACHE / "setup.lock"):
        wanted = [name for name in names if not installed(name)]
        if not wanted:  # another start did it while this one waited
            return
        make_environment()
        for name in wanted:
            install(name)
        (site_packages() / "larkslate.pth").write_text(f"{ROOT / 'src'}\n", encoding="utf-8")
        import subprocess

        say("Preparing the packages for a quick start ...")
        compile_all = [str(PYTHON), "-m", "compileall", "-q", "-j", "0"]
        subprocess.run(  # files of other Python versions inside packages may not compile
            [*compile_all, str(site_packages()), str(ROOT / "src")],
            check=False,
            env=child_environment(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for name in wanted:
            stamp(name).write_text(fingerprint(name), encoding="ascii")


class alone:  # noqa: N801 - reads as the statement it is: with alone(file)
    """Hold a file so that two starts at once do not install over each other."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.handle: int | None = None

    def __enter__(self) -> None:
        """Wait until no other start holds the file."""
        try:
            self.path.parent.mkdir(exist_ok=True)
            self.handle = os.open(self.path, os.O_RDWR | os.O_CREAT)
        except OSError as error:
            sys.exit(
                f"Larkslate cannot write in its own folder: {error}. Move the folder to a place that "
                "you may write to (your home folder, for example) and start run.py again."
            )
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(self.handle, msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            try:
                fcntl.flock(self.handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                say("Waiting for another start of Larkslate to finish installing ...")
                fcntl.flock(self.handle, fcntl.LOCK_EX)

    def __exit__(self, *reason: object) -> None:
        """Let the next one in; closing the file releases it."""
        if self.handle is not None:
            os.close(self.handle)


# ---- the product -----------------------------------------------------------------------------


def hand_over(arguments: Sequence[str]) -> NoReturn:
    """Go on as the command line tool; its exit code is ours."""
    command = [str(PYTHON), "-m", "larkslate", *arguments]
    environment = child_environment({"LARKSLATE_LAUNCHER": str(ROOT / "run.py")})
    if not WINDOWS:
        os.execve(PYTHON, command, environment)  # noqa: S606 - our own program, no shell
    import subprocess

    with subprocess.Popen(command, env=environment) as child:
        while True:
            try:
                sys.exit(child.wait())
            except KeyboardInterrupt:  # the child hears it too, and ends by itself
                continue


# ---- the checks ------------------------------------------------------------------------------


class Checks:
    """Runs the checks one after another and remembers which failed or could not run."""

    def __init__(self) -> None:
        self.failed: list[str] = []
        self.environment = child_environment({"LARKSLATE_ROOT": str(ROOT)})
        if in_ci():  # a build that the checks made themselves, not one left by another
            self.environment.setdefault("LARKSLATE_CACHE", str(CACHE / "larkslate"))

    def run(self, title: str, *command: str | Path) -> bool:
        """Run one check and show its output; remember it if it fails."""
        import subprocess

        say(f"== {title}")
        code = subprocess.run(
            [str(part) for part in command], check=False, cwd=ROOT, env=self.environment
        ).returncode
        if code != 0:
            say(f"-- {title}: failed (exit code {code})")
            self.failed.append(title)
        return code == 0

    def cannot(self, title: str, why: str) -> None:
        """A check that cannot run here: a failure in CI, a plain notice elsewhere."""
        if in_ci():
            say(f"-- {title}: FAILED, because {why}")
            self.failed.append(title)
        else:
            say(f"-- {title}: NOT RUN, because {why}")

    def word_list(self) -> None:
        """Build the word list that the tests read, if it is missing or old."""
        self.environment["LARKSLATE_LAUNCHER"] = str(ROOT / "run.py")
        self.run("installation and word list", PYTHON, "-m", "larkslate", "doctor")
        del self.environment["LARKSLATE_LAUNCHER"]

    def javascript(self) -> None:
        """Check the types in the scripts of the pages with npm's typescript, if npm is here."""
        import shutil

        title = "types of the page scripts"
        npm, node = shutil.which("npm"), shutil.which("node")
        if npm is None or node is None:
            self.cannot(title, "npm is not installed")
            return
        compiler = self.typescript(npm)
        if compiler is None:
            self.cannot(title, f"npm could not install typescript {TYPESCRIPT}")
            return
        self.run(title, node, compiler, "--project", ROOT / "src/larkslate/web/jsconfig.json")

    def typescript(self, npm: str) -> Path | None:
        """The compiler in a cache outside the tree, its content checked; None if it cannot be had."""
        import json
        import subprocess

        folder = user_cache() / f"typescript-{TYPESCRIPT}"
        compiler = folder / "node_modules" / "typescript" / "bin" / "tsc"
        done = folder / "checked"
        if done.exists() and compiler.exists():
            return compiler
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "package.json").write_text('{"private": true}\n', encoding="utf-8")
        quiet = ("--no-audit", "--no-fund", "--ignore-scripts", "--loglevel=error")
        got = subprocess.run(
            [npm, "install", *quiet, f"typescript@{TYPESCRIPT}"],
            cwd=folder,
            check=False,
            env=self.environment,
            stdout=sys.stderr,
        )
        if got.returncode != 0 or not compiler.exists():
            return None
        lock = json.loads((folder / "package-lock.json").read_text(encoding="utf-8"))
        if lock["packages"]["node_modules/typescript"]["integrity"] != TYPESCRIPT_INTEGRITY:
            say("The typescript that npm brought is not the one that was pinned.")
            return None
        done.touch()
        return compiler

    def chromium(self) -> None:
        """Find a Chromium, or install one, and tell the tests where it is."""
        path = find_chromium() or self.install_chromium()
        if path is None:
            self.cannot("browser checks", "no Chromium was found and none could be installed")
        else:
            self.environment["LARKSLATE_CHROMIUM"] = path

    def install_chromium(self) -> str | None:
        """Install Chromium by apt (as root) or by playwright; the path, or None."""
        import shutil
        import subprocess

        if shutil.which("apt-get") and is_root():
            say("Installing Chromium for the browser checks ...")
            apt_install(["chromium"])
            if found := find_chromium():
                return found
        subprocess.run(
            [str(PYTHON), "-m", "playwright", "install", "chromium"],
            check=False,
            env=self.environment,
            stdout=sys.stderr,
        )
        ask = (
            "from playwright.sync_api import sync_playwright as s\n"
            "with s() as p: print(p.chromium.executable_path)"
        )
        answer = subprocess.run(
            [str(PYTHON), "-c", ask],
            check=False,
            capture_output=True,
            text=True,
            env=self.environment,
        )
        path = answer.stdout.strip()
        return path if path and Path(path).exists() else None


def is_root() -> bool:
    """Whether system packages may be installed."""
    return not WINDOWS and os.geteuid() == 0


def apt_install(packages: Sequence[str]) -> bool:
    """Install Debian packages; only root can."""
    import subprocess

    environment = child_environment({"DEBIAN_FRONTEND": "noninteractive"})
    for command in (
        ["apt-get", "update", "-qq"],
        ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages],
    ):
        done = subprocess.run(
            command,
            check=False,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            env=environment,
        )
        if done.returncode != 0:
            say("\n".join((done.stdout + done.stderr).splitlines()[-8:]))
            return False
    return True


def chromium_places() -> Iterator[str]:
    """Where a Chromium may be, best first."""
    import shutil

    if chosen := os.environ.get("LARKSLATE_CHROMIUM"):
        yield chosen
    for name in CHROMIUM_NAMES:
        if found := shutil.which(name):
            yield found
    if sys.platform == "darwin":
        for app in ("Chromium", "Google Chrome", "Microsoft Edge"):
            yield f"/Applications/{app}.app/Contents/MacOS/{app}"
    for variable in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
        if base := os.environ.get(variable):
            yield str(Path(base, "Google", "Chrome", "Application", "chrome.exe"))
            yield str(Path(base, "Microsoft", "Edge", "Application", "msedge.exe"))


def find_chromium() -> str | None:
    """The first Chromium that is there."""
    return next((place for place in chromium_places() if Path(place).is_file()), None)


def user_cache() -> Path:
    """The folder for things that can be fetched again: LARKSLATE_CACHE or the system's own place."""
    if chosen := os.environ.get("LARKSLATE_CACHE"):
        return Path(chosen)
    if WINDOWS:
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        return base / "larkslate" / "Cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "larkslate"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "larkslate"


def test(arguments: Sequence[str]) -> int:
    """Run every check; 0 when all passed. Arguments go to pytest."""
    ready("run", "test")
    checks = Checks()
    python = PYTHON
    checks.run("lint", python, "-m", "ruff", "check", ".")
    checks.run("format", python, "-m", "ruff", "format", "--check", ".")
    checks.run("types", python, "-m", "mypy")
    checks.javascript()
    checks.chromium()
    checks.word_list()
    if checks.failed:
        say(f"-- failed so far: {', '.join(checks.failed)}; the tests follow")
    parallel = () if any(a.startswith("-n") for a in arguments) else ("-n", "2")
    checks.run("tests", python, "-m", "pytest", *parallel, *arguments)
    return 1 if checks.failed else 0


def main(arguments: Sequence[str]) -> int:
    """Do what was asked; see the top of this file."""
    if arguments[:1] == ["test"]:
        return test(arguments[1:])
    ready("run")
    if arguments and arguments[0] in ("-h", "--help"):
        say(f"{__doc__}\nThe commands:\n")
    if not arguments or (
        arguments[0].startswith("-") and arguments[0] not in ("-h", "--help", "--version")
    ):
        # Without a word it opens the invented class; `serve` opens the teacher's own folder.
        arguments = ["serve", *([] if "--data" in arguments else ["--demo"]), *arguments]
    hand_over(arguments)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
