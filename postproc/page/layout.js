// How the page lies on a projector, a phone and on paper: the layout's switches, tables as cards, the printed table.
const PRINTED_SECTION_PX = 270;
const LEAST_PROJECTED_PX = 260;
const PRINTED_PAGE_PX = 960; // of A4 and of letter paper within the margins

// Width that the section may take [px]; on a phone its parts lie in the page's own column.
const section_width = () => element("section-part").clientWidth || element("main").clientWidth;

// Height that the section may take with its axes [px].
function section_room() {
  if (printing()) return PRINTED_SECTION_PX;
  if (projected()) {
    const top = element("section-frame").getBoundingClientRect().top + window.scrollY,
      below = element("controls").offsetHeight + element("markers").offsetHeight + base_size();
    return Math.max(window.innerHeight - top - below, LEAST_PROJECTED_PX);
  }
  return Math.max(0.56 * window.innerHeight, 240);
}

function fill_table(table, words, head, rows) {
  const top = make("thead"),
    body = make("tbody"),
    line = make("tr");
  line.append(...head.map((text) => make("th", text, { scope: "col" })));
  top.append(line);
  rows.forEach(([first, ...cells]) => {
    const row = make("tr");
    row.append(make("th", first, { scope: "row" }), ...cells.map((text) => make("td", text)));
    body.append(row);
  });
  table.replaceChildren(make("caption", words, { class: "unseen" }), top, body);
  name_cells(table);
}

// As cards every cell stands below its heading; the roles keep what a changed display takes from a table.
function name_cells(table) {
  const heads = [...table.tHead.rows[0].cells].map((cell) => cell.textContent);
  table.setAttribute("role", "table");
  [...table.tBodies[0].rows].forEach((row) => {
    row.setAttribute("role", "row");
    [...row.cells].forEach((cell, k) => {
      cell.dataset.label = heads[k];
      cell.setAttribute("role", k === 0 ? "rowheader" : "cell");
    });
  });
}

// On paper the modes stand side by side: a row for each number fits every width.
function print_table(table, printed) {
  const rows = [table.tHead.rows[0], ...table.tBodies[0].rows].map((row) => [...row.cells].map((c) => c.textContent));
  const [head, ...lines] = rows[0].map((_, column) => rows.map((row) => row[column]));
  fill_table(printed, "Results of every mode", head, lines);
}

// On a projector the measured panel ends with the window and scrolls in itself.
function fit_projected() {
  const panel = element("measured");
  panel.style.maxHeight = "";
  if (!projected()) return;
  const top = panel.getBoundingClientRect().top + window.scrollY;
  panel.style.maxHeight = `${Math.max(window.innerHeight - top - 6, 8 * base_size())}px`;
}

// Two pages hold everything, the second from the histories on: what is longer is printed smaller.
function fit_paper() {
  const whole = document.body.getBoundingClientRect(),
    second = element(element("history-part").hidden ? "waveform-part" : "history-part").getBoundingClientRect();
  const longest = Math.max(second.top - whole.top, whole.bottom - second.top);
  document.body.style.zoom = longest > PRINTED_PAGE_PX ? PRINTED_PAGE_PX / longest : "";
}

function layout_controls(page) {
  const root = document.documentElement;
  function set(name, button, on) {
    root.classList.toggle(name, on);
    element(button).setAttribute("aria-pressed", String(on));
    page.draw_all();
  }
  const look = (on) => set("dark", "look", on);
  const project = (on) => {
    if (on && page.view.stage === "answer") element("measured").open = true;
    set("projector", "projector", on);
    if (on) window.scrollTo(0, 0);
  };
  element("look").addEventListener("click", () => look(!dark()));
  element("projector").addEventListener("click", () => project(!projected()));
  element("print").addEventListener("click", () => window.print());

  let before = null;
  window.addEventListener("beforeprint", () => {
    before = { dark: dark(), projector: projected() };
    document.body.classList.add("printing");
    root.classList.remove("dark", "projector");
    page.draw_all();
    fit_paper();
  });
  window.addEventListener("afterprint", () => {
    document.body.style.zoom = "";
    document.body.classList.remove("printing");
    Object.entries(before).forEach(([name, on]) => root.classList.toggle(name, on));
    page.draw_all();
  });
  let resized = null;
  window.addEventListener("resize", () => {
    clearTimeout(resized);
    resized = setTimeout(page.draw_all, 150);
  });
  return { look, project };
}

// Single keys, whatever has the focus except a field that takes text; they can be switched off.
function key_controls(actions) {
  const takes_text = (target) => target.matches('textarea, input[type="text"], input[type="number"]');
  const takes_space = (target) => target.matches("button, select, summary, input:not([type=range])");
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || takes_text(event.target)) return;
    if (!element("single-keys").checked) return;
    const action = event.key === " " ? !takes_space(event.target) && actions.k : actions[event.key.toLowerCase()];
    if (!action) return;
    event.preventDefault();
    action();
  });
}
