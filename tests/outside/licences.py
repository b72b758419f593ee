"""The licences of everything the program is built from, and where it comes from.

Source: the list in DEVELOPERS.md; the expressions are SPDX, as each package declares them to cargo.

usage: licences.py [--self-test]
"""

import json
import subprocess
import sys

from world import ROOT

ALLOWED = {
    "MIT", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "Unlicense", "BSD-2-Clause", "BSD-3-Clause", "Zlib",
    "Unicode-3.0", "BSL-1.0", "CC0-1.0", "0BSD",
}


def allowed(expression):
    """Any alternative will do if all its parts are on the list. Old manifests write `/` for OR."""
    alternatives = expression.replace("/", " OR ").split(" OR ")
    if "(" in expression and " AND " in expression:
        return all(allowed(part.strip("() ")) for part in expression.split(" AND "))
    parts = lambda one: [part.strip("() ") for part in one.split(" AND ")]
    return any(all(part in ALLOWED for part in parts(one)) for one in alternatives)


def faults(packages):
    found, sources = [], set()
    for package in packages:
        name = f"{package['name']} {package['version']}"
        if not allowed(package.get("license") or ""):
            found.append(f"{name}: {package.get('license')}")
        source = package.get("source")
        if source is not None:
            sources.add(source)
            if not source.startswith("registry+"):
                found.append(f"{name} comes from {source}")
    if len(sources) > 1:
        found.append(f"packages come from {len(sources)} places")
    for dependency in packages[0].get("dependencies", []) if packages else []:
        if dependency["req"] == "*":
            found.append(f"{dependency['name']} is asked for in any version")
    return found


def self_test():
    registry = "registry+somewhere"
    good = {"name": "x", "version": "1", "license": "MIT OR GPL-3.0", "source": registry}
    bad = [good | {"license": "GPL-3.0"}, good | {"license": "MIT AND GPL-3.0"}, good | {"license": None},
           good | {"source": "git+elsewhere"}, good | {"dependencies": [{"name": "y", "req": "*"}]},
           good | {"license": "(MIT OR Apache-2.0) AND GPL-3.0"}]
    for expression in ("(MIT OR Apache-2.0) AND Unicode-3.0", "Unlicense/MIT", "Apache-2.0 OR MIT"):
        if faults([good | {"license": expression}]):
            sys.exit(f"self-test: {expression} is refused")
    for package in bad:
        if not faults([package]):
            sys.exit(f"self-test: not seen: {package}")
    print(f"licences: self-test saw {len(bad)} packages fail")


def main():
    command = ["cargo", "metadata", "--locked", "--format-version", "1", "--manifest-path", ROOT / "Cargo.toml"]
    metadata = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    # The project itself first: its own dependencies may not be wildcards.
    packages = sorted(metadata["packages"], key=lambda package: package["source"] is not None)
    found = faults(packages)
    for fault in found:
        print(f"FAILED licences: {fault}")
    if not found:
        print(f"passed licences: {len(packages)} packages")
    return bool(found)


if __name__ == "__main__":
    sys.exit(self_test() if sys.argv[1:] == ["--self-test"] else main())
