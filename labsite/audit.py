"""What is installed, held against what is pinned, and under which licences it stands.

``python -m labsite.audit`` needs no network: every package is the one that
``constraints.txt`` pins, they fit together, and what the site runs on may be passed on.
``python -m labsite.audit advisories`` asks for known weaknesses with pip-audit, and
says so if nobody could be asked.
"""

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, distributions
from pathlib import Path
from shutil import which

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
# Comes with every environment, or is the checkout itself.
_NOT_PINNED = {"pip", "setuptools", "wheel", "benchwide"}
# Licences under which a package may be used by a site that is under MIT.
_FINE = re.compile(
    r"MIT(-0|-CMU)?|0?BSD(-[23]-Clause)?|Apache-2\.0|ISC|PSF-2\.0|Python-2\.0"
    r"|MPL-2\.0|LGPL-3\.0-(only|or-later)|Zlib|Unlicense|CC0-1\.0|HPND"
)
# Names of licences in older descriptions, by what they are called there.
_CALLED = {
    "MIT License": "MIT",
    "MIT": "MIT",
    "BSD License": "BSD",
    "BSD": "BSD",
    "BSD-3-Clause": "BSD-3-Clause",
    "Apache Software License": "Apache-2.0",
    "Apache 2.0": "Apache-2.0",
    "BSD 3-Clause OR Apache-2.0": "BSD-3-Clause OR Apache-2.0",
    "ISC License (ISCL)": "ISC",
    "Python Software Foundation License": "PSF-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL-3.0-only",
}
NOT_ASKED = 3
_UNKNOWN = "could not be audited"


def pinned(lines: str) -> tuple[dict[str, str], list[str]]:
    """Return versions by name where they hold here, and the lines that pin nothing."""
    found: dict[str, str] = {}
    loose = []
    for line in filter(None, map(str.strip, lines.splitlines())):
        wanted = Requirement(line)
        (one, *others) = [*wanted.specifier] or [None]
        if others or one is None or one.operator != "==" or "*" in one.version:
            loose.append(f"constraints.txt: “{line}” names no exact version.")
        elif wanted.marker is None or wanted.marker.evaluate():
            found[canonicalize_name(wanted.name)] = one.version
    return found, loose


def installed() -> dict[str, Distribution]:
    """Return what is installed, by name."""
    return {canonicalize_name(one.name): one for one in distributions()}


def differences(have: dict[str, str], pins: dict[str, str]) -> Iterator[str]:
    """Yield a sentence for each package that is not the pinned one."""
    for name, version in sorted(have.items()):
        if name in _NOT_PINNED:
            continue
        if name not in pins:
            yield f"{name} {version} is installed, and pinned nowhere."
        elif pins[name] != version:
            yield f"{name} {version} is installed, {pins[name]} is pinned."
    for name in sorted(pins.keys() - have.keys()):
        yield f"{name} {pins[name]} is pinned, and not installed."


def licence_of(package: Distribution) -> str:
    """Return a package's licence as an SPDX expression; as it is called if unknown."""
    said = package.metadata
    if "License-Expression" in said:
        return said["License-Expression"]
    mark = "License :: OSI Approved :: "
    classed = [
        one.removeprefix(mark)
        for one in said.get_all("Classifier") or ()
        if one.startswith(mark)
    ]
    names = classed or [one.partition("\n")[0] for one in said.get_all("License") or ()]
    return " AND ".join(_CALLED.get(name, name) for name in names)


def is_fine(licence: str) -> bool:
    """Whether every part of a licence is one that may be used.

    Examples
    --------
    >>> is_fine("MPL-2.0 AND MIT"), is_fine("GPL-3.0-only"), is_fine("")
    (True, False, False)
    """
    parts = re.split(r"[()\s]+|\bAND\b|\bOR\b|\bWITH\b", licence)
    named = [part for part in parts if part]
    return bool(named) and all(_FINE.fullmatch(part) for part in named)


def run_on(wanted: list[str], have: dict[str, Distribution]) -> set[str]:
    """Return the names of all packages that some requirements need, and theirs."""
    needed: set[str] = set()
    waiting = [(Requirement(line), "") for line in wanted]
    while waiting:
        one, extra = waiting.pop()
        if one.marker and not one.marker.evaluate({"extra": extra}):
            continue
        name = canonicalize_name(one.name)
        if name not in have:
            continue
        inner = [Requirement(line) for line in have[name].requires or ()]
        extras = ("", *one.extras)
        if name not in needed or one.extras:
            waiting += [(each, of) for each in inner for of in extras]
        needed.add(name)
    return needed


def problems() -> Iterator[str]:
    """Yield everything that is not as it should be."""
    have = installed()
    pins, loose = pinned((ROOT / "constraints.txt").read_text(encoding="utf-8"))
    yield from loose
    yield from differences({name: one.version for name, one in have.items()}, pins)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    for name in sorted(run_on(project["project"]["dependencies"], have)):
        if not is_fine(licence := licence_of(have[name])):
            yield f"{name} is under “{licence}”: see whether the site may run on it."


def fit_together() -> int:
    """Say whether packages fit each other; 0 if they do."""
    command = [sys.executable, "-m", "pip", "check"]
    return subprocess.run(command, check=False).returncode  # noqa: S603 - no shell


def advisories(program: str | None) -> int:
    """Ask for known weaknesses of what is pinned; 0 only if told that there is none.

    Parameters
    ----------
    program : str or None
        Where pip-audit is.
    """
    if program is None:
        sys.stdout.write("Nothing was checked: install pip-audit first, anywhere.\n")
        return NOT_ASKED
    file = str(ROOT / "constraints.txt")
    command = [program, "--no-deps", "--disable-pip", "-r", file]
    done = subprocess.run(  # noqa: S603 - no shell
        command, capture_output=True, text=True, check=False
    )
    sys.stdout.write(done.stdout)
    if "Found " in done.stderr:
        sys.stdout.write(done.stderr)
        return done.returncode
    if unknown := done.stdout.count(_UNKNOWN):
        # The program itself would call that sound.
        sys.stdout.write(f"{unknown} packages were not checked: nobody knew them.\n")
        return NOT_ASKED
    if done.returncode == 0:
        sys.stdout.write(done.stderr)
        return 0
    reason = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
    sys.stdout.write(f"Nothing was checked: nobody could be asked ({reason[:200]}).\n")
    return NOT_ASKED


def main(arguments: list[str]) -> int:
    """Do one of both; 0 if nothing is wrong."""
    if arguments == ["advisories"]:
        return advisories(which("pip-audit"))
    found = list(problems())
    sys.stdout.writelines(f"{line}\n" for line in found)
    sys.stdout.flush()
    return fit_together() or (1 if found else 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
