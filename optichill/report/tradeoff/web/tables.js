
// --- tables: a row a coil, made ready when it is first seen ---
const numbered = new Map(short.map((d) => [d.coil, d.rank]));  // as every other paper numbers them
const most = Object.fromEntries(KEYS.map((key) => [key, Math.max(...designs.map((d) => d.counts[key]), 1e-9)]));
function sortable(id, members, page) {
  const table = $(id), body = table.tBodies[0], rows = new Map([...body.rows].map((row, i) => [members[i].coil, row]));
  const standing = new Map();  // the setting that a row shows
  let key = "rank", down = false, first = 0, inOrder = [];
  const value = (d) => (key === "rank" ? d.at : d[key]);
  const compare = (a, b) => (key === "what" ? a.what.localeCompare(b.what, "en", { numeric: true }) : value(a) - value(b));
  function fill(row, d) {
    if (standing.get(d.coil) === d) return;
    standing.set(d.coil, d);
    const [, what, ...figures] = row.cells, sub = make("span", { class: "sub" });
    const number = numbered.get(d.coil), told = [number && `number ${number}`, d.told].filter(Boolean).join(", ");
    if (told) sub.append(make("span", { class: "role" }, told), " · ");
    sub.append([data.layouts[Object.keys(data.layouts)[d.layout]], d.setting].filter(Boolean).join(" · "), " · ", make("code", {}, d.id));
    const button = make("button", { type: "button", class: "pick" }, d.what);
    button.addEventListener("click", (event) => { event.stopPropagation(); choose(d); });
    button.addEventListener("focus", () => point(d));
    button.addEventListener("blur", () => point(null));
    row.onclick = () => choose(d);
    row.onpointerenter = () => point(d);
    row.onpointerleave = () => point(null);
    what.replaceChildren(button, sub);
    KEYS.forEach((k, i) => {
      const likely = d.likely[k] ? [" ", make("span", { class: "likely" }, `(${d.likely[k]})`)] : [];
      const bar = page ? [] : [make("span", { class: "bar", "aria-hidden": "true" }, make("i", { style: `width:${((100 * d.counts[k]) / most[k]).toFixed(1)}%` }))];
      figures[i].replaceChildren(make("span", k === "work" ? {} : { class: "value", "data-unit": goal[k].unit }, shown(d, k)), ...(k === "work" ? [`, ${data.bands[d.band]}`] : likely), ...bar);
    });
  }
  function mark(coil) {
    const row = rows.get(coil), d = standing.get(coil);
    if (!row || !d) return;
    row.classList.toggle("chosen", coil === chosen.coil);
    row.classList.toggle("beside", Boolean(beside) && coil === beside.coil && coil !== chosen.coil);
    row.classList.toggle("pointed", Boolean(pointed) && coil === pointed.coil && coil !== chosen.coil);
    row.querySelector(".pick").setAttribute("aria-pressed", coil === chosen.coil);
  }
  function show() {
    const here = page ? left.filter(sought) : left.filter((d) => members.some((m) => m.coil === d.coil));
    inOrder = [...here].sort((a, b) => (down ? -1 : 1) * compare(a, b) || a.at - b.at);
    first = page && first < inOrder.length ? first : 0;
    const now = page ? inOrder.slice(first, first + page) : inOrder;
    body.replaceChildren(...now.map((d) => {
      const row = rows.get(d.coil);
      fill(row, d);
      row.cells[0].textContent = row.cells[1].dataset.order = page ? place.get(d.coil) : numbered.get(d.coil);  // anew among what is left; the best keep theirs
      mark(d.coil);
      return row;
    }));
    return { first, now: now.length, of: inOrder.length };
  }
  for (const th of table.tHead.rows[0].cells) {
    const button = make("button", { type: "button" }, ...th.childNodes);
    th.append(button);
    button.addEventListener("click", () => sort(th.dataset.key, key === th.dataset.key && !down));
  }
  function sort(by, falling) {
    [key, down, first] = [by, falling, 0];
    for (const th of table.tHead.rows[0].cells) {
      if (th.dataset.key === key) th.setAttribute("aria-sort", down ? "descending" : "ascending");
      else th.removeAttribute("aria-sort");
    }
    refreshTables();
    remember();
  }
  const turn = (to) => { first = Math.max(0, to); };
  function find(d) {
    turn(Math.floor(inOrder.findIndex((x) => x.coil === d.coil) / page) * page);
    refreshTables();
    return rows.get(d.coil);
  }
  return { show, mark, turn, find, sort, order: () => [key, down] };
}
let seek = [];  // words that a row of the long table must have
const sought = (d) => seek.every((word) => `${d.id} ${d.what} ${d.setting} ${data.layouts[Object.keys(data.layouts)[d.layout]]} ${d.told}`.toLowerCase().includes(word));
const place = new Map();  // among what is left, anew
const shortTable = sortable("short", short, 0), allTable = sortable("all", coils, PAGE);
let seen = { first: 0 };
function refreshTables() {
  place.clear();
  left.forEach((d, i) => place.set(d.coil, i + 1));
  $("none-short").hidden = shortTable.show().of > 0;
  seen = allTable.show();
  $("where").textContent = seen.of ? `${seen.first + 1} to ${seen.first + seen.now} of ${seen.of}` : "none";
  $("before").disabled = seen.first === 0;
  $("after").disabled = seen.first + seen.now >= seen.of;
}
for (const [id, step] of [["before", -PAGE], ["after", PAGE]]) $(id).addEventListener("click", () => { allTable.turn(seen.first + step); refreshTables(); });
$("find").addEventListener("input", ({ target }) => {
  seek = target.value.toLowerCase().split(/\s+/).filter(Boolean);
  allTable.turn(0);
  refreshTables();
});
$("find-row").addEventListener("click", () => {
  [seek, $("find").value] = [[], ""];
  refreshTables();
  const row = allTable.find(chosen);
  row.scrollIntoView({ block: "center" });
  row.querySelector("button").focus({ preventScroll: true });
});
