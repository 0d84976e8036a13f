// Three stages of the page: the question with an empty specimen, the run playing, the answer. The address's #show goes
// to the answer at once and is all that is remembered.
const SHOW = "#show";

function show_stage(view, stage) {
  view.stage = stage;
  document.body.dataset.stage = stage;
  document.querySelectorAll("[data-stages]").forEach((part) => {
    part.hidden = !part.dataset.stages.split(" ").includes(stage);
  });
}

function ask_again(set_stage) {
  history.replaceState(null, "", location.pathname + location.search);
  element("show-at-once").checked = false;
  set_stage("question");
}

function stage_switch(set_stage) {
  const asked_to_show = () => location.hash === SHOW;
  const follow = () => {
    if (!asked_to_show()) return ask_again(set_stage);
    element("show-at-once").checked = true;
    set_stage("answer");
  };
  element("show-at-once").addEventListener("change", (event) => {
    history.replaceState(null, "", event.target.checked ? SHOW : location.pathname + location.search);
    follow();
  });
  window.addEventListener("hashchange", follow);
  return asked_to_show() ? "answer" : "question";
}
