# SPDX-License-Identifier: GPL-3.0-or-later
"""What pip asks to build a wheel (PEP 517): CMake builds library and package, and this packs them.

It needs a compiler, CMake and the library's own packages, nothing from elsewhere.
`--config-settings build-dir=DIR` keeps the build there, or takes one that is there as it was configured.
"""
import base64
import hashlib
import pathlib
import subprocess
import sys
import sysconfig
import tempfile
import tomllib
import zipfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]


def _built(folder):
    """The files of the package by their names in the wheel, and the version."""
    if not pathlib.Path(folder, "CMakeCache.txt").exists():
        options = ["-DJETWRIGHT_TESTS=OFF", "-DCMAKE_COMPILE_WARNING_AS_ERROR=OFF", f"-DPython3_EXECUTABLE={sys.executable}"]
        subprocess.run(["cmake", "-S", ROOT, "-B", folder, *options], check=True)
    subprocess.run(["cmake", "--build", folder, "--target", "jetwright_python"], check=True)
    made = pathlib.Path(folder, "bindings", "python")
    files = {f"jetwright/{path.name}": path for path in sorted((made / "jetwright").glob("*.py"))}
    files["jetwright/_built.py"] = made / "wheel" / "_built.py"
    facts = {}
    exec(files["jetwright/_built.py"].read_text(), facts)
    files[f"jetwright/{facts['LIBRARY']}"] = pathlib.Path(folder, "lib", facts["LIBRARY"])
    return files, facts["VERSION"]


def _metadata(version):
    project = tomllib.loads((HERE / "pyproject.toml").read_text())["project"]
    lines = ["Metadata-Version: 2.1", f"Name: {project['name']}", f"Version: {version}",
             f"Summary: {project['description']}", "Description-Content-Type: text/markdown",
             f"License: {project['license']['text']}", f"Requires-Python: {project['requires-python']}"]
    lines += [f"Requires-Dist: {name}" for name in project["dependencies"]]
    return "\n".join(lines) + "\n\n" + (HERE / "README.md").read_text()


def _packed(path, contents, info):
    """Writes a wheel; its RECORD holds the digest of each file."""
    record = ""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as wheel:
        for name, data in contents.items():
            digest = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()
            record += f"{name},sha256={digest},{len(data)}\n"
            wheel.writestr(name, data)
        wheel.writestr(f"{info}/RECORD", record + f"{info}/RECORD,,\n")


def build_wheel(wheel_directory, config_settings=None, metadata_directory=None):
    with tempfile.TemporaryDirectory() as folder:
        files, version = _built((config_settings or {}).get("build-dir", folder))
        contents = {name: path.read_bytes() for name, path in files.items()}
    tag, info = f"py3-none-{sysconfig.get_platform().replace('-', '_')}", f"jetwright-{version}.dist-info"
    contents[f"{info}/METADATA"] = _metadata(version).encode()
    contents[f"{info}/WHEEL"] = (f"Wheel-Version: 1.0\nGenerator: jetwright\nRoot-Is-Purelib: false\n"
                                 f"Tag: {tag}\n").encode()
    contents[f"{info}/licenses/LICENSE"] = (ROOT / "LICENSE").read_bytes()
    name = f"jetwright-{version}-{tag}.whl"
    _packed(pathlib.Path(wheel_directory, name), contents, info)
    return name


def build_sdist(sdist_directory, config_settings=None):
    raise NotImplementedError("the package is built from the project's own folder")
