
// --- choosing ---
const told = (word, d) => (d ? [make("strong", {}, `${word}: `), `${named(d)}: ${numbers(d)}`, make("br")] : []);
const announce = make("span", { class: "quiet", "aria-live": "polite", id: "announce" });
document.querySelector("main").append(announce);
function tell(...changed) {
  for (const d of changed) if (d) for (const table of [shortTable, allTable]) table.mark(d.coil);
  $("told").replaceChildren(...told("Chosen", chosen), ...told("Pointed at", pointed && pointed !== chosen ? pointed : null));
}
function point(d) {
  if (d === pointed) return;
  document.querySelector(".told").classList.toggle("pointing", Boolean(d));  // in sight only while it is wanted
  const was = pointed;
  pointed = d;
  tell(was, d);
  for (const one of fields) one.stand();
  if (d) announce.textContent = `${named(d)}: ${numbers(d)}`;
}
const choose = (d) => set(d, beside);
function set(d, other) {
  const was = [chosen, beside];
  [chosen, beside] = [d, other];
  tell(...was, d, other);
  for (const one of fields) one.stand();
  detail(d);
  announce.textContent = `Chosen: ${named(d)}: ${numbers(d)}`;
  remember();
}
function tellLeft() {
  const out = !isLeft.has(chosen.coil) || !fits.has(chosen);
  $("c-left").textContent = out ? "It is not among the coils you have narrowed down to." : "";
  $("find-row").disabled = !isLeft.has(chosen.coil);
}
function table(caption, heads, rows) {
  const cells = (row) => row.map((cell, i) => (i ? make("td", cell === "broken" && i === row.length - 1 ? { class: "broken" } : {}, String(cell)) : make("th", { scope: "row" }, String(cell))));
  return make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": caption },
    make("table", {}, make("caption", {}, caption), make("thead", {}, make("tr", {}, ...heads.map((words) => make("th", { scope: "col" }, words)))), make("tbody", {}, ...rows.map((row) => make("tr", {}, ...cells(row))))));
}
const headed = (words, items) => (items && items.length ? [make("h3", {}, words), listed(items)] : []);
// The settings of the valve in which the same coil stands on this page.
function valves(d) {
  const several = settings.get(d.coil);
  if (several.length < 2) return [];
  return [make("p", { class: "note" }, "The same coil with the valve set otherwise:"), make("div", { class: "row" }, ...several.map((s) => {
    const b = button(`${s.setting || "fully open"}: ${KEYS.filter((k) => k === "time" || k === "water").map((k) => figure(s[k], k)).join(", ")}`, () => choose(s));
    b.setAttribute("aria-pressed", s === d);
    return b;
  }))];
}
function detail(d) {
  const one = full(d), other = beside && beside !== d ? beside : null, theirs = other && full(other);
  $("c-what").textContent = `${d.rank === null ? "" : `Number ${d.rank}: `}${named(d)}`;
  $("c-id").textContent = d.id;
  $("c-goals").replaceChildren(...KEYS.map((key) => make("li", {}, goal[key].label, make("strong", {}, figure(d[key], key)), key === "work" ? data.bands[d.band] : d.likely[key] ? `likely ${d.likely[key]}` : "")));
  tellLeft();
  $("pin").textContent = beside === d ? "Set aside: now choose another" : "Set aside, to compare";
  $("pin").setAttribute("aria-pressed", beside === d);
  $("swap").hidden = !other;
  $("unpin").hidden = !beside;
  $("settings").replaceChildren(...valves(d));
  $("against").replaceChildren(...(other ? [make("h3", {}, "Against the one set aside"), make("p", {}, make("strong", {}, "Set aside: "), `${named(other)}`), ...compared(d, other).map((words) => make("p", {}, words))] : []));
  $("c-none").hidden = Boolean(one);
  $("c-full").hidden = !one;
  $("save-coil").disabled = !one;
  const at = (command) => data.commands[command].replace("{id}", d.id);
  $("sheet-command").textContent = at("sheet");
  $("c-predict").textContent = at("predict");
  if (!one) return;
  const k = theirs ? Math.min(...[one, theirs].map((x) => room(sceneOf(x)).k)) : Infinity;
  const picture = (x, what, words, looks) => make("div", { class: looks }, ...(words ? [make("p", {}, make("strong", {}, words))] : []), ...drawn(sceneOf(x), what, k));
  $("drawing").replaceChildren(...(theirs ? [picture(one, d.what, "Chosen", "is-chosen"), picture(theirs, other.what, "Set aside, to the same scale", "is-beside")] : drawn(sceneOf(one), d.what)));
  $("c-cost").replaceChildren(make("h3", {}, "What it costs"), table("To buy, and what is there already", ["what", "how many", "price"], one.cost));
  $("c-facts").replaceChildren(make("h3", {}, theirs ? "The two in numbers" : "In numbers"), theirs ? paired(one, theirs, d) : table("The coil", ["what", "value"], one.facts));
  $("c-warned").replaceChildren(...headed("Mind with this coil", one.warnings));
  $("c-words").replaceChildren(...headed("Why it is hard", one.hard), ...headed(d.rank === 1 ? "Against the others" : "Against the best", one.against));
  $("c-limits").replaceChildren(make("h3", {}, "Limits, and the room left"), table("Limits of this coil", ["limit", "this coil", "asked for", "room left", "holds?"], one.limits));
  cooled(one, theirs);
}
