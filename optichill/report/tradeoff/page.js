// The trade-off page at work: narrowing down, sorting, choosing, and drawing the chosen coil. Words go in as text only.
(() => {
"use strict";
const $ = (id) => document.getElementById(id);
const data = JSON.parse($("data").textContent), specs = JSON.parse($("charts").textContent);
const KEYS = ["time", "cost", "water", "work"], PAGE = 100, PALE_MOST = 500, NEAR = 24;
const goal = Object.fromEntries(data.goals.map((g) => [g.key, g]));
const shown = (d, key) => d[key].toFixed(goal[key].decimals);
const designs = data.designs.map(([id, rank, what, layout, band, time, cost, water, work, minutes, used], at) =>
  ({ at, id, rank, what, layout, band, time, cost, water, work, likely: { time: minutes, water: used } }));
for (const d of designs) {
  d.counts = Object.fromEntries(KEYS.map((key) => [key, Number(shown(d, key))]));  // what is read is what is compared
  d.place = data.goals.map(({ key }, i) => (d[key] - data.ends[i][0]) / (data.ends[i][1] - data.ends[i][0] || 1));  // 0 best, 1 worst
}
const byId = new Map(designs.map((d) => [d.id, d]));
const short = data.shortlist.map((id) => byId.get(id)), isShort = new Set(short);
let left = designs, isLeft = new Set(designs), chosen = short[0] || designs[0], pointed = null;
const SVG = "http://www.w3.org/2000/svg";
function dressed(el, looks, inside) {
  for (const [name, value] of Object.entries(looks || {})) el.setAttribute(name, typeof value === "number" ? Number(value.toFixed(1)) : value);
  el.append(...inside);
  return el;
}
const make = (tag, looks, ...inside) => dressed(document.createElement(tag), looks, inside);
const shape = (tag, looks, ...inside) => dressed(document.createElementNS(SVG, tag), looks, inside);
const listed = (items) => make("ul", {}, ...items.map((item) => make("li", {}, item)));
const spanned = (d, key) => (d.likely[key] ? ` (${d.likely[key]})` : "");  // what is likely, beside what is most likely
const numbers = (d) => `${KEYS.map((key) => `${shown(d, key)}${spanned(d, key)} ${goal[key].unit}`).join(", ")} (${data.bands[d.band]})`;

// --- tables ---
function sortable(id, members, page) {
  const table = $(id), body = table.tBodies[0], rows = new Map([...body.rows].map((row, i) => [members[i], row]));
  let key = "rank", down = false, first = 0, inOrder = members;
  const value = (d) => (d[key] === null ? Infinity : d[key]);
  const compare = (a, b) => (key === "what" ? a.what.localeCompare(b.what, "en", { numeric: true }) : value(a) < value(b) ? -1 : Number(value(a) > value(b)));
  function ready(d) {
    const row = rows.get(d);
    if (row.dataset.ready) return row;
    row.dataset.ready = "yes";
    const words = row.cells[1].firstChild, button = make("button", { type: "button", class: "pick" });
    words.replaceWith(button);
    button.append(words);
    button.addEventListener("click", () => choose(d));
    for (const [el, come, go] of [[button, "focus", "blur"], [row, "pointerenter", "pointerleave"]]) {
      el.addEventListener(come, () => point(d));
      el.addEventListener(go, () => point(null));
    }
    mark(d);
    return row;
  }
  function mark(d) {
    const row = d && rows.get(d);
    if (!row || !row.dataset.ready) return;
    row.classList.toggle("chosen", d === chosen);
    row.classList.toggle("pointed", d === pointed && d !== chosen);
    row.cells[1].firstChild.setAttribute("aria-pressed", d === chosen);
  }
  function show() {
    const these = inOrder.filter((d) => isLeft.has(d));
    first = page && first < these.length ? first : 0;
    const now = page ? these.slice(first, first + page) : these;
    body.replaceChildren(...now.map(ready));
    return { first, now: now.length, of: these.length };
  }
  for (const th of table.tHead.rows[0].cells) {
    const button = make("button", { type: "button" }, ...th.childNodes);
    th.append(button);
    button.addEventListener("click", () => {
      down = key === th.dataset.key && !down;
      key = th.dataset.key;
      for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
      th.setAttribute("aria-sort", down ? "descending" : "ascending");
      inOrder = [...members].sort((a, b) => (down ? -1 : 1) * compare(a, b) || a.at - b.at);
      first = 0;
      refreshTables();
    });
  }
  const turn = (to) => { first = Math.max(0, to); };
  function find(d) {
    turn(Math.floor(inOrder.filter((x) => isLeft.has(x)).indexOf(d) / page) * page);
    refreshTables();
    return rows.get(d);
  }
  return { show, mark, turn, find };
}
const shortTable = sortable("short", short, 0), allTable = sortable("all", designs, PAGE);
let seen = { first: 0 };
function refreshTables() {
  $("none-short").hidden = shortTable.show().of > 0;
  seen = allTable.show();
  $("where").textContent = seen.of ? `${seen.first + 1} to ${seen.first + seen.now} of ${seen.of}` : "none";
  $("before").disabled = seen.first === 0;
  $("after").disabled = seen.first + seen.now >= seen.of;
}
for (const [id, step] of [["before", -PAGE], ["after", PAGE]]) $(id).addEventListener("click", () => { allTable.turn(seen.first + step); refreshTables(); });
$("find-row").addEventListener("click", () => {
  const row = allTable.find(chosen);
  row.scrollIntoView({ block: "center" });
  row.querySelector("button").focus({ preventScroll: true });
});

// --- narrowing down ---
const form = $("narrow"), limits = [...form.querySelectorAll("[data-most]")], slides = [...form.querySelectorAll("[data-slide]")];
// A number with a point or a comma; an empty field sets no limit, anything else is marked and sets none.
function read(field) {
  const written = field.value.trim().replace(",", ".");
  const good = /^\d+\.?\d*$|^\.\d+$/.test(written);
  field.toggleAttribute("aria-invalid", false);
  if (written !== "" && !good) field.setAttribute("aria-invalid", "true");
  return good ? Number(written) : Infinity;
}
function narrow() {
  const most = limits.map((field) => [field.dataset.most, read(field)]);
  const ways = new Set([...form.querySelectorAll("[data-layout]")].filter((box) => box.checked).map((box) => Number(box.dataset.layout)));
  left = designs.filter((d) => ways.has(d.layout) && most.every(([key, limit]) => d.counts[key] <= limit));
  isLeft = new Set(left);
  $("left").textContent = `${left.length} of ${designs.length} left`;
  $("best").hidden = !left.length || left.length === designs.length;
  if (left.length) $("best-pick").textContent = left[0].what;
  allTable.turn(0);
  refreshTables();
  tellLeft();
  return Promise.all(Object.keys(charts).map(fill));
}
form.addEventListener("input", ({ target }) => {
  const other = target.dataset.slide ? limits.find((f) => f.dataset.most === target.dataset.slide) : slides.find((f) => f.dataset.slide === target.dataset.most);
  if (other && Number.isFinite(read(target))) other.value = String(read(target));
  page.settled = narrow();
});
$("best-pick").addEventListener("click", () => { if (left.length) choose(left[0]); });
form.addEventListener("submit", (event) => event.preventDefault());
form.addEventListener("reset", () => setTimeout(() => { page.settled = narrow(); }));

// --- charts ---
const charts = {}, page = (window.tradeoff = { charts, settled: null });
const SPOTS = { cost: ["time", "cost"], water: ["time", "water"] };
const tuple = (d, pale) => ({ id: d.id, band: data.bands[d.band], short: isShort.has(d), pale, time: d.time, cost: d.cost, water: d.water, work: d.work,
  n0: d.place[0], n1: d.place[1], n2: d.place[2], n3: d.place[3] });
function fill(name) {
  const step = Math.ceil(left.length / PALE_MOST);
  $("sampled").textContent = step > 1 ? `, one in ${step} of them drawn` : "";
  const view = charts[name];
  return view.data("designs", left.map((d, i) => tuple(d, i % step === 0))).signal("chosen", chosen.id).signal("pointed", pointed ? pointed.id : "").runAsync();
}
function apart(px, py, [ax, ay], [bx, by]) {  // from a point to a stretch of line
  const t = Math.max(0, Math.min(1, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2 || 1)));
  return Math.hypot(px - ax - t * (bx - ax), py - ay - t * (by - ay));
}
function nearest(name, event) {
  const view = charts[name], box = view.container().querySelector("canvas").getBoundingClientRect(), pad = view.padding();
  const px = event.clientX - box.left - view.origin()[0] - pad.left, py = event.clientY - box.top - view.origin()[1] - pad.top;
  const x = view.scale("x"), y = view.scale("y");
  let best = null, least = NEAR;
  for (const d of left) {
    let gap;
    if (SPOTS[name]) gap = Math.hypot(x(d[SPOTS[name][0]]) - px, y(d[SPOTS[name][1]]) - py);
    else {
      const dots = d.place.map((v, i) => [x(i), y(v)]);
      gap = Math.min(...dots.slice(1).map((dot, i) => apart(px, py, dots[i], dot)));
    }
    if (gap < least) [best, least] = [d, gap];
  }
  return best;
}
async function draw(name) {
  const el = document.querySelector(`[data-chart="${name}"]`);
  charts[name] = await embed(el, specs[name]);
  el.addEventListener("pointermove", (event) => point(nearest(name, event)));
  el.addEventListener("pointerleave", () => point(null));
  el.addEventListener("click", (event) => { const d = nearest(name, event); if (d) choose(d); });
  return fill(name);
}
async function embed(el, spec) {
  const { view } = await window.vegaEmbed(el, spec, { actions: false, renderer: "canvas", mode: "vega-lite", tooltip: false });
  for (const name of ["role", "aria-roledescription", "aria-label"]) el.removeAttribute(name);  // the figure round it says it
  return view;
}
const signalled = (name, d) => Promise.all(Object.values(charts).map((view) => view.signal(name, d ? d.id : "").runAsync()));

// --- choosing ---
const told = (word, d) => (d ? [make("strong", {}, `${word}: `), `${d.what}: ${numbers(d)}`, make("br")] : []);
function tell(...changed) {
  for (const d of changed) for (const table of [shortTable, allTable]) table.mark(d);
  $("told").replaceChildren(...told("Chosen", chosen), ...told("Pointed at", pointed !== chosen ? pointed : null));
}
function point(d) {
  if (d === pointed) return;
  const was = pointed;
  pointed = d;
  tell(was, d);
  page.settled = signalled("pointed", d);
}
function choose(d) {
  const was = chosen;
  chosen = d;
  tell(was, d);
  page.settled = Promise.all([signalled("chosen", d), detail(d)]);
}
function tellLeft() {
  const out = !isLeft.has(chosen);
  $("c-left").textContent = out ? "It is not among the coils you have narrowed down to." : "";
  $("find-row").disabled = out;
}
function table(caption, heads, rows) {
  const cells = (row) => row.map((cell, i) =>
    (i ? make("td", heads[i] === "" && cell === "broken" ? { class: "broken" } : {}, String(cell)) : make("th", { scope: "row" }, String(cell))));
  const head = make("tr", {}, ...heads.map((words) => make("th", { scope: "col" }, words || "holds?")));
  return make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": caption },
    make("table", {}, make("caption", {}, caption), make("thead", {}, head), make("tbody", {}, ...rows.map((row) => make("tr", {}, ...cells(row))))));
}
const headed = (words, items) => (items && items.length ? [make("h3", {}, words), listed(items)] : []);
async function detail(d) {
  const full = Object.hasOwn(data.details, d.id) ? data.details[d.id] : null;
  $("c-what").textContent = (d.rank === null ? "" : `Number ${d.rank}: `) + d.what;
  $("c-goals").replaceChildren(...KEYS.map((key) => make("li", {}, goal[key].label, make("strong", {}, `${shown(d, key)} ${goal[key].unit}`), key === "work" ? data.bands[d.band] : d.likely[key] ? `likely ${d.likely[key]}` : "")));
  tellLeft();
  $("c-none").hidden = Boolean(full);
  $("c-full").hidden = !full;
  if (!full) return;
  window.dispatchEvent(new Event("resize"));  // the curve may have been hidden while the window changed
  $("drawing").replaceChildren(...(full.scene ? drawn({ ...full.scene.kettle, ...full.scene.coil }, d.what) : []));
  $("c-cost").replaceChildren(make("h3", {}, "What it costs"), table("To buy, and what is there already", ["what", "how many", "price"], full.cost || []));
  $("c-facts").replaceChildren(make("h3", {}, "In numbers"), table("The coil", ["what", "value"], full.facts || []));
  $("c-warned").replaceChildren(...headed("Mind with this coil", full.warnings));
  $("c-words").replaceChildren(...headed("Why it is hard", full.hard), ...headed(d === chosen && d.rank === 1 ? "Against the others" : "Against the best", full.against));
  $("c-limits").replaceChildren(make("h3", {}, "Limits, and the room left"), table("Limits of this coil", ["limit", "this coil", "asked for", "room left", "holds?"], full.limits || []));
  await cooled(full);
}
let curve = null;
async function cooled(full) {
  curve = curve || embed($("curve").firstElementChild, specs.curve);
  const view = await curve, line = full.curve ? full.curve.minutes.map((m, i) => [m, full.curve.wort[i]]) : [], changes = full.changes || [];
  view.data("curve", line.map(([minutes, temperature]) => ({ minutes, temperature })));
  view.data("changes", changes.map(([minutes, words]) => ({ minutes, words })));
  const [m0, t0] = line[0] || [0, 0], [m1, t1] = line[line.length - 1] || [0, 0], unit = data.temperature_unit;
  const temperatures = [...line.map((p) => p[1]), data.target], floor = Math.min(...temperatures), top = Math.max(...temperatures);
  view.signal("spanned", [m0, m1 > m0 ? m1 : m0 + 1]).signal("fallen", [floor - 0.04 * (top - floor || 1), top]);
  const said = `From ${t0.toFixed(0)} to ${t1.toFixed(0)} ${unit} in ${(m1 - m0).toFixed(0)} minutes, in one run with all that is uncertain at its middle` + changes.map(([m, words]) => `; at ${m.toFixed(0)} min ${words}`).join("") + ".";
  $("curve").setAttribute("aria-label", `Cooling down. ${said}`);
  $("c-curve").textContent = said;
  page.curve = view;
  return view.resize().runAsync();
}

// --- the coil in its kettle, to scale ---
function fitted(s) {  // units a metre, and where the kettle's axis stands, so that risers and words have room
  const W = 400, ends = s.risers.map((riser) => riser.reach), half = s.D / 2;
  const over = [Math.max(0, -half - Math.min(0, ...ends)), Math.max(0, Math.max(0, ...ends) - half)];
  const sides = (k) => [Math.max(74, over[0] * k + 16), Math.max(78, over[1] * k + 16)];
  const top = Math.max(s.H, s.hot, ...s.risers.map((riser) => riser.top + s.d_o));
  const wide = (k) => sides(k)[0] + s.D * k + sides(k)[1];
  let k = 440 / top;
  while (wide(k) > W && k > 1) k *= 0.99;
  return { W, k, x0: sides(k)[0] + half * k + (W - wide(k)) / 2, y0: top * k + 30 };
}
function drawn(s, what) {
  const { W, k, x0, y0 } = fitted(s), X = (x) => x0 + x * k, Y = (h) => y0 - h * k, half = s.D / 2, tube = Math.max(2, s.d_o * k);
  const svg = shape("svg", { viewBox: `0 0 ${W} ${(y0 + 48).toFixed(0)}`, role: "img", "font-size": "13", "font-family": "inherit", fill: "none" });
  const add = (tag, looks, ...text) => svg.appendChild(shape(tag, looks, ...text));
  const line = (x1, y1, x2, y2, looks) => add("line", { x1, y1, x2, y2, stroke: "#4d5a61", ...looks });
  const say = (x, y, text, anchor = "middle", looks = {}) => add("text", { x, y, "text-anchor": anchor, fill: "#1d2529", stroke: "#fff", "stroke-width": 3, "paint-order": "stroke", ...looks }, text);
  const pipe = (d, inside, edge) => { add("path", { d, stroke: edge, "stroke-width": tube }); add("path", { d, stroke: inside, "stroke-width": Math.max(1, tube - 1.6) }); };
  add("rect", { x: X(-half), y: Y(s.cold), width: s.D * k, height: s.cold * k, fill: "#f0f5f7" });
  line(X(-half), Y(s.hot), X(half) + 4, Y(s.hot), { stroke: "#8c2318", "stroke-dasharray": "6 4", "stroke-width": 1.5 });
  line(X(-half), Y(s.cold), X(half) + 4, Y(s.cold), { stroke: "#155e75", "stroke-width": 1.5 });
  say(X(half) + 7, Y(s.hot) - 1, "hot wort", "start");
  say(X(half) + 7, Y(s.cold) + 13, "chilled", "start");
  const names = (s.parts || []).map(fixed);
  function fixed(part, i) {
    const size = Math.max(part.size || 0, 0.008), low = part.where === "wall" ? Math.max(0, part.height - 0.025) : 0;
    const wide = part.where === "floor" && part.size < 0.05 ? s.D * 0.6 : size, from = part.where === "wall" ? half - size : -wide / 2;
    add("rect", { x: X(from), y: Y(part.height), width: wide * k, height: Math.max(3, (part.height - low) * k), fill: "#d8dee1", stroke: "#4d5a61" });
    const x = part.where === "wall" ? X(half) + 14 : X(from + wide / 2);
    return { text: `${i + 1}: ${part.what}`, x, y: Y((part.height + low) / 2), n: i + 1 };
  }
  for (const layer of [...s.layers].sort((a, b) => b.D - a.D)) {
    const ring = (j) => [X(((j % 2 ? -1 : 1) * layer.D) / 2), Y(layer.low + (layer.p * j) / 2)], halves = Math.min(400, Math.floor(2 * layer.N + 0.01));
    for (let j = 1; j < halves; j += 2) pipe(`M${ring(j).map((v) => v.toFixed(1))}L${ring(j + 1).map((v) => v.toFixed(1))}`, "#ecd2bf", "#c19a7d");
    if (s.rests === "feet") for (const j of [0, 1]) line(ring(j)[0], Y(layer.low - s.d_o / 2), ring(j)[0], Y(0), { "stroke-width": 3 });
    for (let j = 0; j <= halves; j++) add("circle", { cx: ring(j)[0], cy: ring(j)[1], r: tube / 2 - 0.4, fill: "#b8693a", stroke: "#5d2f14", "stroke-width": 0.8 });
  }
  add("path", { d: `M${X(-half)},${Y(s.H)}V${Y(0)}H${X(half)}V${Y(s.H)}`, stroke: "#1d2529", "stroke-width": 3 });
  if (s.mouth && s.mouth < s.D - 0.002) for (const side of [-1, 1]) line(X(side * half), Y(s.H), X((side * s.mouth) / 2), Y(s.H), { stroke: "#1d2529", "stroke-width": 3 });
  const taken = [];
  for (const riser of s.risers) {
    const way = Math.sign(riser.reach - riser.x) || 1, bend = Math.min(riser.bend || 0, Math.abs(riser.reach - riser.x), riser.top - riser.foot);
    pipe(`M${X(riser.x)},${Y(riser.foot)}V${Y(riser.top - bend)}A${bend * k},${bend * k} 0 0 ${way > 0 ? 1 : 0} ${X(riser.x + way * bend)},${Y(riser.top)}H${X(riser.reach)}`, "#cf8350", "#5d2f14");
    let y = Y(riser.top) - tube / 2 - 5, x = Math.min(W - 14, Math.max(14, X(riser.reach) - way * 10));
    while (taken.some(([tx, ty]) => Math.abs(tx - x) < 40 && Math.abs(ty - y) < 14)) y = y < Y(riser.top) ? Y(riser.top) + tube / 2 + 14 : y + 15;
    taken.push([x, y]);
    say(x, y, riser.name, "middle", { "font-weight": "bold" });
  }
  for (const { x, y, n } of names) { add("circle", { cx: x, cy: y, r: 9, fill: "#fff", stroke: "#1d2529" }); say(x, y + 4.5, n, "middle", { "stroke-width": 0 }); }
  const outer = Math.max(...s.layers.map((a) => a.D)) / 2 + s.d_o / 2, dim = y0 + 14, ticks = (x) => line(x, dim - 4, x, dim + 4);
  const bottom = Math.min(...s.layers.map((a) => a.low)) - s.d_o / 2, crest = Math.max(...s.layers.map((a) => a.low + a.p * a.N)) + s.d_o / 2;
  for (const [a, b] of [[-outer, outer], [outer, half]]) { line(X(a), dim, X(b), dim); ticks(X(a)); ticks(X(b)); }
  say(X(0) - 34, dim + 19, `${s.labels.across} across`);
  say(W - 3, dim + 19, `${s.labels.wall} to the wall`, "end");
  const post = X(-half) - 12;
  line(post, Y(bottom), post, Y(crest));
  for (const h of [bottom, crest]) line(post - 4, Y(h), post + 4, Y(h));
  say(post - 6, (Y(bottom) + Y(crest)) / 2 + 4, s.labels.height, "end");
  svg.setAttribute("aria-label", `The coil in its kettle from the side, to scale: ${what}; ${s.labels.across} across, ${s.labels.height} high, ${s.labels.wall} to the wall.`);
  const words = ["The kettle cut through the middle. Dashed: the wort while hot. Solid: when chilled.", data.rests[s.rests] || "", names.map((p) => p.text).join("; ")];
  return [svg, make("p", { class: "note" }, words.filter(Boolean).join(" "))];
}

document.documentElement.classList.add("on");
refreshTables();
tell();
page.settled = Promise.all([...Object.keys(specs).filter((name) => name !== "curve").map(draw), detail(chosen)]);
})();
