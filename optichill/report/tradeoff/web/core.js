// The trade-off page at work. Words go in as text only; what is read is what is compared.
const $ = (id) => document.getElementById(id);
const pristine = document.documentElement.outerHTML.replace(/(<html[^>]*) class="on"/, "$1");  // before anything is touched: what "save this view" writes
const data = JSON.parse($("data").textContent);
const KEYS = ["time", "cost", "water", "work"], PAGE = 100, NEAR = 24, SVG = "http://www.w3.org/2000/svg";
const goal = Object.fromEntries(data.goals.map((g) => [g.key, g]));
const shown = (d, key) => d[key].toFixed(goal[key].decimals);
const figure = (value, key) => `${value.toFixed(goal[key].decimals)} ${goal[key].unit}`;
const designs = data.designs.map(([id, coil, rank, what, setting, layout, band, time, cost, water, work, minutes, used, span, told, explored], at) =>
  ({ at, id, coil, rank, what, setting, layout, band, time, cost, water, work, likely: { time: minutes, water: used }, span, told, explored }));
for (const d of designs) d.counts = Object.fromEntries(KEYS.map((key) => [key, Number(shown(d, key))]));
const byId = new Map(designs.map((d) => [d.id, d]));
const settings = new Map();  // of each physical coil its settings of the valve, best first
for (const d of designs) settings.has(d.coil) ? settings.get(d.coil).push(d) : settings.set(d.coil, [d]);
for (const several of settings.values()) several.sort((a, b) => Boolean(b.rank) - Boolean(a.rank) || Boolean(a.setting) - Boolean(b.setting));  // first the one that every other paper numbers, else the valve open
const coils = [...settings.values()].map((several) => several[0]).sort((a, b) => a.at - b.at);
const short = data.shortlist.map((id) => byId.get(id)), isShort = new Set(short);

// What can be changed: everything that is drawn follows from it.
let left = coils, isLeft = new Set(coils), fits = new Set(designs);  // of each coil left the best setting that holds
let chosen = short[0] || designs[0], beside = null, pointed = null;
const page = (window.tradeoff = { settled: Promise.resolve() });

function dressed(el, looks, inside) {
  for (const [name, value] of Object.entries(looks || {})) el.setAttribute(name, typeof value === "number" ? Number(value.toFixed(2)) : value);
  el.append(...inside);
  return el;
}
const make = (tag, looks, ...inside) => dressed(document.createElement(tag), looks, inside);
const shape = (tag, looks, ...inside) => dressed(document.createElementNS(SVG, tag), looks, inside);
const listed = (items) => make("ul", {}, ...items.map((item) => make("li", {}, item)));
const named = (d) => `${d.what}${d.setting ? `, ${d.setting}` : ""}`;
const spanned = (d, key) => (d.likely[key] ? ` (${d.likely[key]})` : "");  // what is likely, beside what is most likely
const numbers = (d) => `${KEYS.map((key) => `${shown(d, key)}${spanned(d, key)} ${goal[key].unit}`).join(", ")} (${data.bands[d.band]})`;

// A coil's details, put together from what coils share.
function whole(part) {
  if (Array.isArray(part)) return part.map(whole);
  if (part === null || typeof part !== "object") return part;
  return "" in part ? whole(data.parts[part[""]]) : Object.fromEntries(Object.entries(part).map(([key, value]) => [key, whole(value)]));
}
const full = (d) => (Object.hasOwn(data.details, d.id) ? whole(data.details[d.id]) : null);
const varied = (key) => coils.some((d) => d.counts[key] !== coils[0].counts[key]);
const plural = (n, one) => `${n} ${one}${n === 1 ? "" : "s"}`;
