# SPDX-License-Identifier: GPL-3.0-or-later
"""Headless Chromium, told what to do by its DevTools protocol over a pair of pipes."""
import base64
import json
import os
import select
import shutil
import subprocess
import time

NAMES = ("chromium", "chromium-browser")
PATIENCE = 60  # seconds for one answer


def find():
    return next((path for path in map(shutil.which, NAMES) if path), None)


class Browser:
    """One page, shown again and again."""

    def __init__(self, program, folder):
        child_in, self.to = os.pipe()
        self.by, child_out = os.pipe()
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", f"--user-data-dir={folder}", "--remote-debugging-pipe"]
        self.process = subprocess.Popen(
            ["/bin/sh", "-c", f'exec "$0" "$@" 3<&{child_in} 4>&{child_out}', program, *options, "about:blank"],
            pass_fds=(child_in, child_out), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(child_in)
        os.close(child_out)
        self.rest, self.count, self.session = b"", 0, None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.session = None
        self.call("Browser.close")
        os.close(self.to)
        self.process.wait(PATIENCE)
        os.close(self.by)

    def read(self):
        end = time.monotonic() + PATIENCE
        while b"\0" not in self.rest:
            assert select.select([self.by], [], [], max(0, end - time.monotonic()))[0], "the browser does not answer"
            got = os.read(self.by, 1 << 16)
            assert got, "the browser is gone"
            self.rest += got
        message, self.rest = self.rest.split(b"\0", 1)
        return json.loads(message)

    def call(self, method, **parameters):
        self.count += 1
        message = {"id": self.count, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        os.write(self.to, json.dumps(message).encode() + b"\0")
        while True:
            answer = self.read()
            if answer.get("id") == self.count:
                assert "result" in answer, answer
                return answer["result"]

    def tell(self, script):
        """The value of a script, or of its promise."""
        told = self.call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    def show(self, path, width, theme):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=800, deviceScaleFactor=1, mobile=width < 600)
        self.call("Emulation.setEmulatedMedia", media="",
                  features=[{"name": "prefers-color-scheme", "value": theme}])
        self.call("Page.navigate", url=path.as_uri())
        self.tell("new Promise(r => document.readyState === 'complete' ? r() : addEventListener('load', () => r()))")

    def pdf(self):
        return base64.b64decode(self.call("Page.printToPDF", preferCSSPageSize=True)["data"])
