"""A real JupyterLab on a loopback port and a real Chromium, for tests, screenshots and timings.

The server works on a copy of the notebooks and the data, so nothing in the repository
can change, and with configuration folders of its own, so the reader's settings neither
help nor hurt.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

REPOSITORY = Path(__file__).resolve().parents[2]
KERNEL = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def chromium_path() -> str | None:
    """Where the system's Chromium or Chrome is, or None."""
    for name in ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"):
        found = shutil.which(name)
        if found:
            return found
    return None


def copy_workbooks(folder: Path, notebooks: list[Path] | None = None) -> Path:
    """Copy notebooks and data into `folder`, laid out as in the repository; return the notebook folder."""
    (folder / "notebooks").mkdir(parents=True, exist_ok=True)
    wanted = sorted((REPOSITORY / "notebooks").glob("*.ipynb")) if notebooks is None else notebooks
    for notebook in wanted:
        shutil.copy2(notebook, folder / "notebooks" / notebook.name)
    if (REPOSITORY / "data").is_dir():
        shutil.copytree(REPOSITORY / "data", folder / "data", dirs_exist_ok=True)
    return folder / "notebooks"


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _quiet_settings(folder: Path) -> dict[str, str]:
    """Environment with empty configuration folders and without news, update checks or autosave."""
    home = folder / "home"
    settings = {
        "apputils-extension": ("notification", {"checkForUpdates": False, "fetchNews": "false"}),
        "docmanager-extension": ("plugin", {"autosave": False}),
        # Cells that are scrolled away stay in the page, so that a test sees every prompt.
        "notebook-extension": ("tracker", {"windowingMode": "none"}),
    }
    for extension, (plugin, values) in settings.items():
        place = home / "settings" / "@jupyterlab" / extension
        place.mkdir(parents=True)
        (place / f"{plugin}.jupyterlab-settings").write_text(json.dumps(values), encoding="utf-8")
    return {
        **os.environ,
        "HOME": str(home),
        "USERPROFILE": str(home),
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "IPYTHONDIR": str(home / "ipython"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
        "MPLCONFIGDIR": str(home / "matplotlib"),
    }


@contextmanager
def jupyter_server(folder: Path) -> Iterator[str]:
    """Run JupyterLab over `folder`; give its address; end it and its kernels afterwards."""
    port = _free_port()
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        "--allow-root",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={folder}",
        "--IdentityProvider.token=",
        "--ServerApp.password=",
        "--LabApp.news_url=",
        "--LabApp.expose_app_in_browser=True",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    ]
    address = f"http://127.0.0.1:{port}"
    log_path = folder / "server.log"
    with log_path.open("w", encoding="utf-8") as log:
        server = subprocess.Popen(
            command, cwd=folder, env=_quiet_settings(folder), stdout=log, stderr=subprocess.STDOUT
        )
        try:
            _wait_until_up(address, server, log_path)
            yield address
        finally:
            server.terminate()
            try:
                server.wait(20)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def _wait_until_up(address: str, server: subprocess.Popen[Any], log_path: Path) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{address}/api/status", timeout=2):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("JupyterLab did not start:\n" + log_path.read_text(encoding="utf-8")[-3000:])


def timeout_error() -> type[Exception]:
    """Error that a wait raises when its time is up; playwright need not be installed to import this file."""
    from playwright.sync_api import TimeoutError as WaitedTooLong

    return WaitedTooLong


@contextmanager
def browser() -> Iterator[Any]:
    """A headless Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=chromium_path(), args=list(QUIET))
        try:
            yield chromium
        finally:
            chromium.close()


def nameless(root: Any) -> list[str]:
    """Controls and pictures in a part of the page that a screen reader cannot name."""
    roles = "button|checkbox|combobox|img|listbox|option|progressbar|slider|spinbutton|textbox"
    lines = [line.strip() for line in root.aria_snapshot().splitlines()]
    return [line for line in lines if re.match(rf'- ({roles})(?! ")\b(?!s)', line)]


def faint(root: Any) -> list[str]:
    """Words in a part of the page that stand out from what is behind them by less than 4.5 to 1."""
    return root.evaluate(_FAINT)


class OpenNotebook:
    """One notebook in a browser page: what it complained of, its panels and their controls."""

    def __init__(self, chromium: Any, address: str, path: str) -> None:
        self.complaints: list[str] = []
        self._context = chromium.new_context(viewport={"width": 1366, "height": 768})
        self.page = self._context.new_page()
        self.page.set_default_timeout(30_000)
        self.page.on("pageerror", lambda error: self.complaints.append(f"page error: {error}"))
        self.page.on("console", self._hear)
        self.page.goto(f"{address}/doc/tree/{path}")
        self.page.wait_for_selector(".jp-Notebook .jp-Cell")
        self._wait_for_kernel()

    def turn_to(self, path: str) -> None:
        """Close the notebook with its kernel and open another: JupyterLab itself is slow to load."""
        self.page.evaluate(
            """async (path) => {
                const app = window.jupyterapp;
                const old = app.shell.currentWidget;
                await old.sessionContext.shutdown();
                old.dispose();
                const next = await app.commands.execute("docmanager:open", { path, factory: "Notebook" });
                app.shell.activateById(next.id);
            }""",
            path,
        )
        self.complaints.clear()
        self._wait_for_kernel()

    def _wait_for_kernel(self) -> None:
        """Wait until every cell is on the page and its kernel is idle; earlier, a run would be lost."""
        self.page.wait_for_function(
            """() => {
                const panel = window.jupyterapp?.shell.currentWidget;
                const cells = panel?.content?.model?.cells.length ?? 0;
                return cells > 0 && document.querySelectorAll(".jp-Notebook .jp-Cell").length === cells
                    && panel.sessionContext.isReady
                    && panel.sessionContext.session?.kernel?.status === "idle";
            }""",
            timeout=60_000,
            polling=200,
        )

    def _hear(self, message: Any) -> None:
        # A resource that JupyterLab itself asks for and does not find is not ours.
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.complaints.append(f"console: {message.text}")

    def close(self) -> None:
        """Close the page."""
        self._context.close()

    def run_all(self) -> None:
        """Clear what is stored, run every cell, and wait until each has run and the kernel is idle."""
        self.page.evaluate("() => window.jupyterapp.commands.execute('notebook:clear-all-cell-outputs')")
        outcome = self.page.evaluate(
            """() => Promise.race([
                window.jupyterapp.commands.execute("notebook:run-all-cells").then(() => "has run"),
                new Promise((done) => setTimeout(() => done("is still running"), 180000)),
            ])"""
        )
        if outcome != "has run":
            raise RuntimeError(f"The notebook {outcome} after three minutes. {self._dialog_text()}")
        self.wait_idle()

    def _dialog_text(self) -> str:
        return " ".join(self.page.locator(".jp-Dialog").all_text_contents())

    def resize(self, width: int, height: int) -> None:
        """Give the window another size and wait until the page has taken it."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.evaluate("() => new Promise((done) => setTimeout(() => requestAnimationFrame(done), 150))")

    def wait_idle(self) -> None:
        """Wait until no cell waits or runs and the kernel is idle."""
        self.page.wait_for_function(
            """() => {
                const sign = document.querySelector(".jp-Notebook-ExecutionIndicator");
                const prompts = [...document.querySelectorAll(".jp-CodeCell .jp-InputPrompt")];
                const waiting = prompts.some((prompt) => prompt.textContent.includes("*"));
                return !waiting && sign?.dataset.status === "idle";
            }""",
            timeout=180_000,
        )

    def cell_errors(self) -> list[str]:
        """Text of each error output in the page."""
        return self.page.locator(_ERROR).all_text_contents()

    def panels(self) -> list[OpenPanel]:
        """Every panel of the notebook that is on the page, ready for use."""
        found = self.page.locator(".downforce-panel")
        panels = [OpenPanel(self.page, found.nth(place)) for place in range(found.count())]
        for panel in panels:
            panel.wait_ready()
        return panels


class OpenPanel:
    """One panel in the page."""

    def __init__(self, page: Any, root: Any) -> None:
        self.page = page
        self.root = root

    def wait_ready(self) -> None:
        """Wait until its sliders have names and its picture and sentence stand."""
        self.root.scroll_into_view_if_needed()
        self.page.wait_for_function(
            f"""(panel) => panel.dataset.named === "yes" && ({_AT_REST})(panel)""",
            arg=self.root.element_handle(),
        )

    @property
    def title(self) -> str:
        """Name of the panel for a screen reader."""
        return self.root.get_attribute("aria-label") or ""

    def boxes(self) -> dict[str, Any]:
        """Its height, that of the window it must stand in, and what each slider measures and says."""
        return self.root.evaluate(_BOXES)

    def sliders(self) -> list[Any]:
        """Handles of the sliders, in order."""
        return self.root.locator("[role=slider]").all()

    def sentence(self) -> str:
        """The sentence under the picture."""
        return self.root.locator(".downforce-sentence").text_content() or ""

    def state(self) -> str:
        """``ready``, ``busy`` or ``error``."""
        return self.root.locator(".downforce-sentence").get_attribute("data-state") or ""

    def at_rest(self) -> bool:
        """Whether picture and sentence stand and belong together."""
        return self.root.evaluate(_AT_REST)

    def shown(self) -> list[str]:
        """Picture and sentence as they stand, to be compared with later ones."""
        return self.root.evaluate(_SHOWN)

    def wait_for_change(self, before: list[str], timeout: float = 20_000) -> None:
        """Wait until picture or sentence differ from `before` and the panel is at rest."""
        self.page.wait_for_function(
            f"""([panel, before]) => {{
                const now = ({_SHOWN})(panel);
                return ({_AT_REST})(panel) && (now[0] !== before[0] || now[1] !== before[1]);
            }}""",
            arg=[self.root.element_handle(), before],
            timeout=timeout,
        )

    def press(self, slider: Any, key: str) -> None:
        """Press a key on a slider's handle and wait until the panel has answered."""
        before = self.shown()
        slider.focus()
        slider.press(key)
        self.wait_for_change(before)


_ERROR = '.jp-RenderedText[data-mime-type="application/vnd.jupyter.error"]'
# Picture and sentence come in two messages: between them the panel shows one of each turn.
_AT_REST = """(panel) => {
    const picture = panel.querySelector(".downforce-picture, .downforce-no-picture");
    const sentence = panel.querySelector(".downforce-sentence");
    return picture !== null && sentence !== null && sentence.dataset.state !== "busy"
        && sentence.dataset.moving !== "yes" && picture.dataset.turn === sentence.dataset.turn;
}"""
# Contrast as the Web Content Accessibility Guidelines 2.2 define it. A colour of the page may be written in
# any way, so a canvas reads it; what is hidden or switched off is not seen.
_FAINT = """(root) => {
    const paper = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
    const read = (colour, under) => {
        paper.fillStyle = `rgb(${under.join()})`;
        paper.fillRect(0, 0, 1, 1);
        paper.fillStyle = colour;
        paper.fillRect(0, 0, 1, 1);
        return [...paper.getImageData(0, 0, 1, 1).data].slice(0, 3);
    };
    const light = (rgb) => rgb
        .map((part) => part / 255)
        .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4))
        .reduce((sum, part, place) => sum + part * [0.2126, 0.7152, 0.0722][place], 0);
    const behind = (element) => {
        const under = element.parentElement ? behind(element.parentElement) : [255, 255, 255];
        return read(getComputedStyle(element).backgroundColor, under);
    };
    const words = (element) => [...element.childNodes]
        .filter((node) => node.nodeType === 3).map((node) => node.textContent.trim()).join(" ").trim();
    return [...root.querySelectorAll("*")]
        .filter((element) => words(element) && element.checkVisibility() && !element.closest(":disabled"))
        .map((element) => {
            const back = behind(element);
            const [dark, bright] = [light(back), light(read(getComputedStyle(element).color, back))]
                .sort((one, other) => one - other);
            return [words(element), (bright + 0.05) / (dark + 0.05)];
        })
        .filter(([_, contrast]) => contrast < 4.5)
        .map(([text, contrast]) => `${contrast.toFixed(1)} to 1: ${text}`);
}"""
_BOXES = """(panel) => {
    const scroller = document.querySelector(".jp-WindowedPanel-outer, .jp-NotebookPanel-notebook");
    const picture = panel.querySelector(".downforce-view").getBoundingClientRect();
    const side = panel.querySelector(".downforce-side").getBoundingClientRect();
    return {
        height: panel.getBoundingClientRect().height,
        window: scroller.clientHeight,
        beside: side.right <= picture.left + 1,
        above: side.bottom <= picture.top + 1,
        tracks: [...panel.querySelectorAll(".noUi-base")].map((one) => one.getBoundingClientRect().width),
        said: [...panel.querySelectorAll("[role=slider]")].map((one) => one.getAttribute("aria-valuetext")),
        read: [...panel.querySelectorAll(".widget-readout")].map((one) => one.textContent),
        labels: [...panel.querySelectorAll(".widget-slider .widget-label")].map((one) => one.textContent),
    };
}"""
_SHOWN = """(panel) => [
    panel.querySelector(".downforce-picture")?.src ?? "no picture",
    panel.querySelector(".downforce-sentence").textContent,
]"""
