// Hides the plain value of a control that is alive, and what a front end says of
// those that are not. The control and its label are the two outputs before. On a
// page that was loaded anew, hides the picture of the page before where the
// controls have one of their own, and the note about it.
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

  // older hides the outputs that were saved with the page, in their places below
  // the pictures that the controls draw now.
  function older(around) {
    const notes = [...around.querySelectorAll(".bb-late")];
    const saved = notes.map(n => n.closest(".jp-OutputArea-child")?.nextElementSibling).filter(o => o);
    if (around.matches(".cell"))
      for (const o of around.querySelectorAll(".output_area"))
        if (!o.querySelector(".bb-plain") && o.previousElementSibling?.querySelector(".bb-plain")) saved.push(o);
    if (notes.length !== saved.length) return;
    for (const o of [...saved, ...notes]) o.style.display = "none";
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
    const see = () => { look(e); older(around); };
    new MutationObserver((_, o) => e.isConnected ? see() : o.disconnect()).observe(around, { childList: true, subtree: true });
    see();
  }
})();
