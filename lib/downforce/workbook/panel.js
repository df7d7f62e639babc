const MOVES = new Set(["ArrowUp", "ArrowDown", "PageUp", "PageDown", "Home", "End"]);
const PATIENCE = 5000;
const AGAIN = "run this workbook again from the top (menu Run, Run All Cells).";
const GONE = "The kernel that moved this picture has ended. What you see is for the values before: " + AGAIN;
const SILENT = "No answer yet; what you see is for the values before. If cells are running, wait for them; "
  + "if the kernel has ended or was started anew, " + AGAIN;

function render({ model, el }) {
  let stopped = false;
  let panel = null;
  let words = null;
  let late = 0;
  el.className += " downforce-late";
  el.setAttribute("role", "status");

  function nameAll() {
    panel = el.closest(".downforce-panel");
    words = panel?.querySelector(".downforce-words .widget-html-content");
    const units = model.get("units");
    const sliders = panel ? [...panel.querySelectorAll(".widget-slider")] : [];
    const handles = sliders.map((slider) => slider.querySelector("[role=slider]"));
    if (!words || sliders.length < units.length || handles.includes(null)) return false;
    panel.setAttribute("role", "group");
    panel.setAttribute("aria-label", model.get("title"));
    words.setAttribute("aria-live", "polite");
    answers.observe(words, { childList: true, subtree: true });
    sliders.forEach((slider, place) => {
      const label = slider.querySelector(".widget-label").textContent.trim();
      handles[place].setAttribute("aria-label", label);
      const readout = slider.querySelector(".widget-readout");
      readout?.setAttribute("role", "textbox");
      readout?.setAttribute("aria-label", label + ", type a number");
      const say = () => {
        const said = (readout.textContent.trim() + " " + units[place]).trim();
        if (handles[place].getAttribute("aria-valuetext") !== said)
          handles[place].setAttribute("aria-valuetext", said);
      };
      say();
      const valued = new MutationObserver((changes) => {
        say();
        if (changes.some((change) => change.attributeName === "aria-valuenow")) moved();
      });
      // The slider's own script writes both at each move; the value before tells a move from a repetition.
      valued.observe(handles[place], { attributeFilter: ["aria-valuetext", "aria-valuenow"] });
      watching.push(valued);
    });
    panel.addEventListener("change", moved);
    panel.addEventListener("click", pressed);
    panel.dataset.named = "yes";
    return true;
  }

  const answered = () => {
    clearTimeout(late);
    el.textContent = "";
  };
  const answers = new MutationObserver(answered);
  const watching = [answers];

  function moved() {
    clearTimeout(late);
    if (panel.querySelector(".jupyter-widgets-disconnected")) el.textContent = GONE;
    else late = setTimeout(() => { el.textContent = SILENT; }, PATIENCE);
  }

  function pressed(event) {
    if (event.target.closest("button")) moved();
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
    clearTimeout(late);
    watching.forEach((one) => one.disconnect());
    window.removeEventListener("keydown", guard, true);
  };
}

export default { render };
