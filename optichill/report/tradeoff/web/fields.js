
// --- charts of marks: what Python drew, moved ---
const percent = (v) => `${v.toFixed(2)}%`;
// The quickest, then each next slower one that has less of the other goal: as Python's `steps`.
function steps(some, key) {
  const found = [];
  for (const d of [...some].sort((a, b) => a.time - b.time || a[key] - b[key])) if (!found.length || d[key] < found[found.length - 1][key]) found.push(d);
  return found;
}
const fields = [...document.querySelectorAll("[data-plot]")].map(field);
function field(el) {
  const key = el.dataset.plot, area = el.querySelector("svg.area"), [x0, x1] = el.dataset.x.split(",").map(Number), [y0, y1] = el.dataset.y.split(",").map(Number);
  const X = (v) => (100 * (v - x0)) / (x1 - x0), Y = (v) => 100 - (100 * (v - y0)) / (y1 - y0), spot = (d) => [X(d.time), Y(d[key])];
  const marks = new Map([...el.querySelectorAll(".marks > svg")].map((m) => [Number(m.dataset.coil), m]));
  const standing = new Map(coils.map((d) => [d.coil, d])), top = el.querySelector("g.top"), line = el.querySelector(".steps");
  let width = 0, height = 0;  // of the plot [px]; asked for when it changes, for asking makes the browser lay everything out
  // A valve costs nothing to shut: for water every setting counts, and those on the line have a mark of their own.
  const pool = () => (key === "water" ? designs.filter((d) => fits.has(d)) : left);
  let front = steps(pool(), key), on = new Set(front.filter((d) => standing.get(d.coil) === d).map((d) => d.coil)), shut = front.filter((d) => standing.get(d.coil) !== d);
  function fill() {
    front = steps(pool(), key);
    const here = new Map(left.map((d) => [d.coil, d])), now = new Set(front.filter((d) => here.get(d.coil) === d).map((d) => d.coil));
    shut = front.filter((d) => here.get(d.coil) !== d);
    for (const [coil, mark] of marks) {
      const d = here.get(coil);
      if (!d !== mark.classList.contains("out")) mark.classList.toggle("out", !d);
      if (d && standing.get(coil) !== d) {
        standing.set(coil, d);
        dressed(mark, { x: percent(X(d.time)), y: percent(Y(d[key])) }, []);
      }
      if (now.has(coil) !== on.has(coil)) mark.classList.toggle("on-line", now.has(coil));
    }
    on = now;
    const points = front.map(spot);
    line.setAttribute("d", points.length ? `M${points[0][0].toFixed(2)},0V${points[0][1].toFixed(2)}${points.slice(1).map(([x, y]) => `H${x.toFixed(2)}V${y.toFixed(2)}`).join("")}H100` : "");
    stand();
  }
  // What stands out: rings, likely times, and the names of the few that a person looks for.
  function stand() {
    const names = new Map(), name = (d, words) => d && names.set(d, [...(names.get(d) || []), words]);
    name(chosen, "chosen");
    name(beside, "set aside");
    const soSet = (d, words) => name(d, d && d.setting ? `${words} (${d.setting})` : words);  // where that is not as the other chart has it
    soSet(front[0], "quickest");
    soSet(front[front.length - 1], key === "cost" ? "cheapest" : "least water of all");
    for (const d of left) if (d.told.includes("tied with")) name(d, "tied");
    name(left.length && left.length < coils.length ? left[0] : null, "best of these");
    const taken = [], made = shut.map((d) => shape("svg", { class: `m b${d.band} on-line`, x: percent(spot(d)[0]), y: percent(spot(d)[1]) }, shape("path", { d: data.shapes[d.band] }), ...(d.explored ? [shape("path", { class: "plus", d: data.plus })] : [])));
    const ring = (d, looks, r) => { const [x, y] = spot(d); made.push(shape("circle", { class: `ring ${looks}`, cx: percent(x), cy: percent(y), r })); };
    for (const [d, looks] of [[beside, "beside"], [chosen, ""]]) {
      if (!d) continue;
      if (d.span) {
        const y = percent(Y(d[key])), [a, b] = d.span.map((v) => percent(Math.max(0, Math.min(100, X(v)))));
        made.push(shape("line", { class: `whisker ${looks}`, x1: a, x2: b, y1: y, y2: y }));
        for (const end of [a, b]) made.push(shape("svg", { x: end, y }, shape("path", { class: `whisker ${looks}`, d: "M0,-5V5" })));
      }
      ring(d, looks, 10);
    }
    if (pointed && pointed !== chosen) ring(pointed, "pointed", 9);
    for (const [d, words] of names) {
      const [x, y] = spot(d), px = (x * width) / 100, py = (y * height) / 100, text = words.join(", "), wide = text.length * 7;
      const ways = [[0, -16, "middle"], [14, 4, "start"], [-14, 4, "end"], [0, 24, "middle"], [12, -18, "start"], [-12, -18, "end"], [12, 22, "start"], [-12, 22, "end"], [0, -32, "middle"], [0, 40, "middle"]];
      const box = ([dx, dy, anchor]) => { const from = px + dx - (anchor === "middle" ? wide / 2 : anchor === "end" ? wide : 0); return [from, py + dy - 11, from + wide, py + dy + 3]; };
      const free = (b) => b[0] > -30 && b[2] < width + 10 && b[1] > -8 && b[3] < height && taken.every((t) => b[2] < t[0] || b[0] > t[2] || b[3] < t[1] || b[1] > t[3]);
      const way = ways.find((w) => free(box(w))) || (d === chosen || d === beside ? ways[0] : null);
      if (!way) continue;
      taken.push(box(way));
      made.push(shape("text", { class: "label halo", x: percent(x), y: percent(y), dx: way[0], dy: way[1], "text-anchor": way[2] }, text));
    }
    top.replaceChildren(...made);
  }
  function nearest(event) {
    const box = area.getBoundingClientRect(), px = event.clientX - box.left, py = event.clientY - box.top;
    let best = null, least = NEAR;
    for (const d of [...left, ...shut]) {
      const gap = Math.hypot((X(d.time) * box.width) / 100 - px, (Y(d[key]) * box.height) / 100 - py);
      if (gap < least) [best, least] = [d, gap];
    }
    return best;
  }
  area.addEventListener("pointermove", (event) => point(nearest(event)));
  area.addEventListener("pointerleave", () => point(null));
  area.addEventListener("click", (event) => { const d = nearest(event); if (d) choose(d); });
  // Left and right along the line of steps, up and down through all that is left in order of time.
  area.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [front, -1], ArrowRight: [front, 1], ArrowUp: [null, -1], ArrowDown: [null, 1], Home: [front, -Infinity], End: [front, Infinity] }[event.key];
    if (event.key === "Enter" && pointed) choose(pointed);
    if (!way || !left.length) return;
    event.preventDefault();
    const row = way[0] || [...left].sort((a, b) => a.time - b.time || a[key] - b[key]), from = pointed || chosen, same = row.indexOf(from), at = same >= 0 ? same : row.findIndex((d) => d.coil === from.coil);
    const beyond = way[1] > 0 ? row.findIndex((d) => d.time > from.time) : row.findLastIndex((d) => d.time < from.time);  // from off the line
    const next = at >= 0 || Math.abs(way[1]) > 1 ? at + way[1] : beyond;
    point(row[next < 0 ? (way[1] > 0 ? row.length - 1 : 0) : Math.min(row.length - 1, next)]);
  });
  area.addEventListener("blur", () => point(null));
  const measure = () => { ({ width, height } = area.getBoundingClientRect()); stand(); };
  return { key, fill, stand, measure, X, Y, spot, area, drawn: () => [...marks].filter(([, m]) => !m.classList.contains("out")).map(([coil]) => standing.get(coil).id), front: () => front.map((d) => d.id) };
}
page.fields = fields;
new ResizeObserver(() => { for (const one of fields) one.measure(); }).observe(document.querySelector("main"));
