# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py BUILD_DIR VERSION CC

Makes the Debian packages and lets dpkg install them into a root that holds what they depend on and nothing else: a
dependency that is not declared is not there. Runs the program there, a stranger's program, and a point in Python; then
removes all. Where lintian is installed it must find nothing to warn of.
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ESSENTIAL = {"dash", "libc-bin"}  # that every root has, of what maintainer scripts may call
POINT = """
import jetwright as jw
import sys
with jw.profile_load(sys.argv[1]) as profile:
    setup = jw.profile_setup(profile)
mixture = jw.mixture_at(setup, jw.air_from_humidity(101325.0, 288.15, 0.5), setup.range[jw.HALF])
print(mixture.phi)
"""
ROOT = pathlib.Path(__file__).resolve().parents[2]
CONSUMER = ROOT / "tests/consumers/main.c"
ENGINE = "profiles/engines/courier-150.yaml"


def as_root():
    """Goes on as root, if need be of a namespace of its own."""
    if os.geteuid() == 0:
        return
    if subprocess.run(["unshare", "--map-root-user", "true"], stderr=subprocess.DEVNULL).returncode:
        print("SKIP: neither root nor allowed to be root of a namespace")
        sys.exit(77)
    os.execvp("unshare", ["unshare", "--map-root-user", sys.executable, *sys.argv])


def run(*command, **options):
    done = subprocess.run([*map(str, command)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **options)
    if done.returncode:
        sys.exit(f"FAILED: {' '.join(map(str, command))}\n{done.stdout}")
    return done.stdout


def names(depends):
    """Of a Depends field; of alternatives the first."""
    return set(re.findall(r"(?:^|,)\s*([a-z0-9][a-z0-9.+-]+)", depends))


def with_theirs(packages):
    """These packages of this machine with all that they depend on."""
    known, new = set(), packages
    while new:
        known |= new
        fields = [run("dpkg-query", "-W", "-f", "${Pre-Depends}\n${Depends}", name) for name in new]
        new = set().union(*(names(line) for field in fields for line in field.splitlines())) - known
    return known


def make_root(root, packages):
    """A root with the files of packages of this machine, and dpkg's word that they are installed."""
    state = root / "var/lib/dpkg"
    for folder in (state / "info", state / "updates"):
        folder.mkdir(parents=True)
    for name in ("bin", "lib", "lib64", "sbin"):  # one with those of usr/, where they are here
        (root / "usr" / name).mkdir(parents=True)
        if pathlib.Path("/", name).is_symlink():
            (root / name).symlink_to(f"usr/{name}")
    (state / "status").write_text("\n".join(run("dpkg-query", "-s", name) for name in sorted(packages)))
    owned = alternatives()
    owned |= {path for name in packages for path in run("dpkg-query", "-L", name).splitlines() if os.path.lexists(path)}
    archive = subprocess.run(["tar", "-C", "/", "--no-recursion", "-cf", "-", "-T", "-"], check=True,
                             input="\n".join(path.lstrip("/") for path in sorted(owned - {"/."})).encode(),
                             stdout=subprocess.PIPE).stdout
    subprocess.run(["tar", "-C", root, "-xf", "-"], check=True, input=archive)


def alternatives():
    """The links that maintainer scripts have set among what several packages offer."""
    links = set()
    for path in pathlib.Path("/var/lib/dpkg/alternatives").iterdir():
        links |= {f"/etc/alternatives/{path.name}", path.read_text().splitlines()[1]}
    return {link for link in links if os.path.lexists(link)}


def contents(root):
    """All but what dpkg notes for itself, and what Python keeps of the modules of others."""
    return {path for path in (path.relative_to(root) for path in root.rglob("*"))
            if path.parts[0] != "var" and ("__pycache__" not in path.parts or "jetwright" in path.parts)}


def expect(what, is_so):
    print("passed" if is_so else "FAILED", what, sep=": ")
    if not is_so:
        sys.exit(1)


def main():
    as_root()
    build, version, compiler = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        work = pathlib.Path(folder)
        run("cpack", "--config", f"{build}/CPackConfig.cmake", "-B", work / "packages", cwd=work)
        packages = {run("dpkg-deb", "-f", path, "Package").strip(): path for path in work.glob("packages/*.deb")}
        depends = {name: run("dpkg-deb", "-f", path, "Depends").strip() for name, path in packages.items()}
        if shutil.which("lintian"):
            told = subprocess.run(["lintian", "--allow-root", *packages.values()], stdout=subprocess.PIPE, text=True).stdout
            expect(f"lintian finds nothing to warn of\n{told}".rstrip(), not re.search("^[EW]: ", told, re.M))
        expect("CHANGELOG begins with this version", (ROOT / "CHANGELOG").read_text().startswith(f"jetwright ({version}) "))
        development = packages.pop("libjetwright-dev")
        library = next(name for name in packages if name.startswith("libjetwright"))

        root = work / "root"
        make_root(root, with_theirs(ESSENTIAL.union(*(names(depends[name]) for name in packages)) - set(packages)))
        dpkg = ["dpkg", f"--root={root}", "--log=/dev/null"]
        inside = ["env", "-i", "PATH=/usr/bin:/usr/sbin", "/usr/sbin/chroot", root]
        (root / "proc/self").mkdir(parents=True)  # what the kernel would say, which may not be mounted here
        (root / "proc/self/exe").symlink_to("/usr/bin/jetwright")
        run(*inside, "ldconfig")
        before = contents(root)
        run(*dpkg, "--install", *packages.values())
        expect("the program runs", run(*inside, "jetwright", "--version") == f"jetwright {version}\n")
        expect("it finds its profiles", "Pilot jet partly blocked" in run(*inside, "jetwright", "explain", "stood-five-months"))

        here = run(sys.executable, "-B", "-c", POINT, ROOT / ENGINE, env={"PYTHONPATH": f"{build}/bindings/python"})
        expect("Python runs a point", run(*inside, "python3", "-B", "-c", POINT, f"/usr/share/jetwright/{ENGINE}") == here)
        modules = root / "usr/lib/python3/dist-packages/jetwright"
        expect("its modules are compiled", len(list(modules.rglob("*.pyc"))) == len(list(modules.glob("*.py"))))

        # What is built against the library is unpacked over the root, as no compiler is in there.
        with_library = contents(root)
        run("dpkg-deb", "--extract", development, root)
        paths = {**os.environ, "PKG_CONFIG_PATH": str(next(root.rglob("jetwright.pc")).parent)}
        flags = run("pkg-config", "--cflags", "--libs", "jetwright", env=paths).split()
        run(compiler, CONSUMER, *flags, "-o", root / "usr/bin/stranger")
        expect("a stranger's program runs", run(*inside, "stranger") == f"{version} 1.225 kg/m3\n")
        expect("it asks for the library of that package",
               library in run("readelf", "-d", root / "usr/bin/stranger").replace(".so.", ""))
        for path in sorted(contents(root) - with_library, reverse=True):
            (root / path).rmdir() if (root / path).is_dir() else (root / path).unlink()

        run(*dpkg, "--purge", *packages)
        left = contents(root) ^ before
        expect(f"nothing is left of it{''.join(f' {path}' for path in sorted(left))}", not left)
        for name, field in depends.items():
            print(f"{name} depends on {field}")


main()
