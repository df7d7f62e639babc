"""A small invisible child of a panel that gives its sliders names a screen reader can say.

The slider of ipywidgets 8 draws a handle with the role of a slider but without a name,
and no trait of it reaches the handle. This child finds the handles of its panel in the
page and names each one after the label beside it. It also makes the sentence a live
region, and it keeps single letters typed on a slider from reaching JupyterLab, where
``d d`` would delete the cell. It is plain text in this file: nothing is fetched.
"""

from __future__ import annotations

import anywidget
import traitlets

_IN_THE_PAGE = """
const MOVES = new Set(["ArrowUp", "ArrowDown", "PageUp", "PageDown", "Home", "End"]);

function render({ model, el }) {
  let stopped = false;
  let panel = null;

  function nameAll() {
    panel = el.closest(".downforce-panel");
    const words = panel?.querySelector(".downforce-words .widget-html-content");
    const sliders = panel ? [...panel.querySelectorAll(".widget-slider")] : [];
    const handles = sliders.map((slider) => slider.querySelector("[role=slider]"));
    if (!words || sliders.length < model.get("sliders") || handles.includes(null)) return false;
    panel.setAttribute("role", "group");
    panel.setAttribute("aria-label", model.get("title"));
    words.setAttribute("aria-live", "polite");
    sliders.forEach((slider, place) => {
      const label = slider.querySelector(".widget-label").textContent.trim();
      handles[place].setAttribute("aria-label", label);
      const readout = slider.querySelector(".widget-readout");
      readout?.setAttribute("role", "textbox");
      readout?.setAttribute("aria-label", label + ", type a number");
    });
    panel.dataset.named = "yes";
    return true;
  }

  function tryAgain() {
    if (!stopped && !nameAll()) requestAnimationFrame(tryAgain);
  }

  // Runs before JupyterLab's own listener, which obeys the attribute set here.
  function guard(event) {
    if (!panel?.contains(event.target)) return;
    const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
    const ours = plain && (event.key.length === 1 || MOVES.has(event.key));
    event.target.toggleAttribute("data-lm-suppress-shortcuts", ours);
  }

  window.addEventListener("keydown", guard, true);
  tryAgain();
  return () => {
    stopped = true;
    window.removeEventListener("keydown", guard, true);
  };
}

export default { render };
"""


class Namer(anywidget.AnyWidget):
    """Names the slider handles of the panel it stands in.

    Parameters
    ----------
    title : str [-]
        Name of the whole panel.
    sliders : int [-]
        How many sliders the panel has.
    """

    _esm = _IN_THE_PAGE
    title = traitlets.Unicode("").tag(sync=True)
    sliders = traitlets.Int(0).tag(sync=True)
