// Hides the plain value of a control that is alive, and what a front end says of
// those that are not. The control and its label are the two outputs before.
(function () {
  "use strict";
  const dead = /^(Loading widget|Error displaying widget)/;

  // outputs returns what holds the plain value, and the two outputs before it.
  function outputs(e) {
    const mine = e.closest(".jp-OutputArea-child"), before = [];
    for (let o = mine && mine.previousElementSibling; o && before.length < 2; o = o.previousElementSibling) before.push(o);
    return { mine, before };
  }

  function gone(o) {
    const out = o.querySelector(".jp-OutputArea-output");
    return !!out && dead.test(out.textContent);
  }

  function alive(o) {
    const out = o.querySelector(".jp-OutputArea-output");
    return !!out && !out.classList.contains("lm-mod-hidden") && out.childElementCount > 0 && !gone(o);
  }

  function look(e) {
    const { mine, before } = outputs(e);
    if (mine) {
      const live = before.length > 0 && before.every(alive);
      mine.style.display = live ? "none" : "";
      for (const o of mine.parentElement.children) if (o !== mine && !o.querySelector(".bb-plain")) o.style.display = gone(o) ? "none" : "";
      return;
    }
    const cell = e.closest(".cell"), own = e.closest(".output_area");
    if (cell && own) own.style.display = cell.querySelector(".widget-area .widget-subarea > *") ? "none" : "";
  }

  for (const e of document.querySelectorAll(".bb-plain:not([data-seen])")) {
    e.dataset.seen = "1";
    const around = e.closest(".jp-OutputArea") || e.closest(".cell");
    if (!around) continue;
    new MutationObserver((_, o) => e.isConnected ? look(e) : o.disconnect()).observe(around, { childList: true, subtree: true });
    look(e);
  }
})();
