// Measured sections as a table: one row for the depth and half-width of a section, one for each point of its outline.
// The format stands in docs/figures.md. Fields by commas, or by semicolons or tabs, which allows a decimal comma.
const MEASURED_COLUMNS = ["mode", "specimen", "effect", "depth_mm", "half_width_mm", "part", "r_mm", "z_mm"];
const NEEDED_COLUMNS = ["mode", "specimen", "effect"];

// { rows: [{ line, cells }] } or { fault }. Quoting as in RFC 4180.
function split_table(text) {
  const lines = text.replace(/^\uFEFF/, "");
  const head = lines.split(/\r?\n/).find((l) => l.trim() !== "") ?? "";
  const separator = head.includes("\t") ? "\t" : head.includes(";") ? ";" : ",";
  const rows = [];
  let cells = [],
    cell = "",
    quoted = false,
    line = 1,
    first = 1;
  const end_row = () => {
    cells.push(cell);
    if (cells.some((c) => c.trim() !== "")) rows.push({ line: first, cells: cells.map((c) => c.trim()) });
    cells = [];
    cell = "";
    first = line + 1;
  };
  for (let k = 0; k < lines.length; k++) {
    const c = lines[k];
    if (quoted) {
      if (c === '"' && lines[k + 1] === '"') cell += lines[++k];
      else if (c === '"') quoted = false;
      else cell += c;
    } else if (c === '"' && cell.trim() === "") quoted = true;
    else if (c === separator) {
      cells.push(cell);
      cell = "";
    } else if (c === "\n") end_row();
    else if (c !== "\r") cell += c;
    if (c === "\n") line++;
  }
  if (quoted) return { fault: `Line ${first} opens a quotation mark that nothing closes.` };
  end_row();
  return { rows };
}

// { sections, unread } or { fault }: all lines or none.
function read_sections(run, text) {
  const { rows, fault } = split_table(text);
  if (fault) return { fault };
  if (rows.length < 2) return { fault: "Nothing to read: give the header and at least one line below it." };
  const columns = rows[0].cells.map((c) => c.toLowerCase());
  const missing = NEEDED_COLUMNS.filter((c) => !columns.includes(c));
  if (missing.length) {
    return {
      fault:
        `The header is “${rows[0].cells.join(", ")}”; ${missing.join(", ")} is missing. ` +
        `Columns are ${MEASURED_COLUMNS.join(", ")}.`,
    };
  }
  const sections = [];
  for (const { line, cells } of rows.slice(1)) {
    if (cells.length !== columns.length) {
      return {
        fault:
          `Line ${line} has ${cells.length} fields, the header ${columns.length}. With a decimal comma separate the ` +
          "fields by semicolons.",
      };
    }
    const row = Object.fromEntries(columns.map((c, k) => [c, cells[k]]));
    const wrong = take_row(run, sections, row);
    if (wrong) return { fault: `Line ${line}: ${wrong}` };
  }
  return { sections, unread: columns.filter((c) => !MEASURED_COLUMNS.includes(c)) };
}

// Adds one row to the sections read so far; a sentence where it cannot be taken.
function take_row(run, sections, row) {
  const mode = run.modes.find((m) => m.name === row.mode || m.label === row.mode);
  if (!mode) return `no mode “${row.mode}” in this run; modes are ${run.modes.map((m) => m.name).join(", ")}.`;
  const effect = run.effects.find((e) => e.name === row.effect || e.words === row.effect);
  if (!effect) return `no effect “${row.effect}”; effects are ${run.effects.map((e) => e.name).join(", ")}.`;
  if (row.specimen === "") return "the specimen is empty: give it a number or a name.";
  let section = sections.find(
    (s) => s.mode === mode.name && s.specimen === row.specimen && s.effect === effect.name,
  );
  if (!section) sections.push((section = new_section(mode.name, row.specimen, effect.name)));
  for (const [key, column, words, most] of section_lengths(run)) {
    if (!row[column]) continue;
    if (section[key].text !== "") return `the ${words} of specimen “${row.specimen}” is given twice.`;
    section[key] = read_number(row[column], words, most);
    if (section[key].fault) return section[key].fault;
  }
  if (!row.r_mm && !row.z_mm) return row.part ? "a part needs both r_mm and z_mm." : "";
  if (!row.r_mm || !row.z_mm) return "a point of an outline needs both r_mm and z_mm.";
  const point = [
    read_number(row.r_mm, "distance r_mm", run.question_view.reach),
    read_number(row.z_mm, "depth z_mm", run.question_view.bottom),
  ];
  const fault = point.map((p) => p.fault).find(Boolean);
  if (fault) return fault;
  add_point(section, row.part || "1", point);
  return "";
}

// A row's part is a name; points follow each other within it. A part that ends where it began is closed.
function add_point(section, name, point) {
  let part = section.outline.find((p) => p.name === name);
  if (!part) section.outline.push((part = { name, points: [] }));
  part.points.push(point);
}

const section_lengths = (run) => [
  ["depth", "depth_mm", "depth", run.question_view.bottom],
  ["half_width", "half_width_mm", "half-width", run.question_view.reach],
];

const no_number = () => ({ text: "", value: null, fault: "" });

function new_section(mode, specimen, effect) {
  return { mode, specimen, effect, depth: no_number(), half_width: no_number(), outline: [] };
}

// The same table, digits as they were typed, with a decimal point.
function write_sections(sections) {
  const quoted = (text) => (/[",;\t\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const point = (entered) => (entered.value === null ? "" : entered.text.replace(",", "."));
  const rows = sections.flatMap((s) => {
    const key = [s.mode, s.specimen, s.effect];
    const lengths = [point(s.depth), point(s.half_width)];
    return [
      ...(lengths.some(Boolean) ? [[...key, ...lengths, "", "", ""]] : []),
      ...s.outline.flatMap((part) => part.points.map(([r, z]) => [...key, "", "", part.name, point(r), point(z)])),
    ];
  });
  return [MEASURED_COLUMNS, ...rows].map((cells) => `${cells.map(quoted).join(",")}\n`).join("");
}
