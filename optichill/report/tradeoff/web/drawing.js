
// --- the coil in its kettle, to scale ---
const ROOM = 400;
function room(s) {  // what a drawing takes at k units a metre, and the most that fits
  const ends = s.risers.map((riser) => riser.reach), half = s.D / 2;
  const over = [Math.max(0, -half - Math.min(0, ...ends)), Math.max(0, Math.max(0, ...ends) - half)];
  const sides = (k) => [Math.max(74, over[0] * k + 16), Math.max(78, over[1] * k + 16)], wide = (k) => sides(k)[0] + s.D * k + sides(k)[1];
  const top = Math.max(s.H, s.hot, ...s.risers.map((riser) => riser.top + s.d_o));
  let k = 440 / top;
  while (wide(k) > ROOM && k > 1) k *= 0.99;
  return { k, sides, wide, top, half };
}
const sceneOf = (one) => ({ ...one.scene.kettle, ...one.scene.coil });
function drawn(s, what, most = Infinity) {
  const r = room(s), k = Math.min(r.k, most), half = r.half, x0 = r.sides(k)[0] + half * k + (ROOM - r.wide(k)) / 2, y0 = r.top * k + 30;
  const X = (x) => x0 + x * k, Y = (h) => y0 - h * k, tube = Math.max(2, s.d_o * k);
  const svg = shape("svg", { viewBox: `0 0 ${ROOM} ${(y0 + 48).toFixed(0)}`, role: "img", "font-size": "13", "font-family": "inherit", fill: "none", "data-k": k });
  const add = (tag, looks, ...text) => svg.appendChild(shape(tag, looks, ...text));
  const line = (x1, y1, x2, y2, looks = "thin") => add("line", { x1, y1, x2, y2, class: looks });
  const say = (x, y, text, anchor = "middle", looks = {}) => add("text", { x, y, "text-anchor": anchor, ...looks }, text);
  const pipe = (d, looks) => { add("path", { d, class: looks[1], "stroke-width": tube }); add("path", { d, class: looks[0], "stroke-width": Math.max(1, tube - 1.6) }); };
  add("rect", { x: X(-half), y: Y(s.cold), width: s.D * k, height: s.cold * k, class: "wort" });
  line(X(-half), Y(s.hot), X(half) + 4, Y(s.hot), "hot");
  line(X(-half), Y(s.cold), X(half) + 4, Y(s.cold), "cold");
  const close = (s.hot - s.cold) * k < 15;
  say(X(half) + 7, Y(s.hot) - (close ? 4 : 1), "hot wort", "start");
  say(X(half) + 7, Y(s.cold) + 13, "chilled", "start");
  const names = (s.parts || []).map(fixed);
  function fixed(part, i) {
    const size = Math.max(part.size || 0, 0.008), low = part.where === "wall" ? Math.max(0, part.height - 0.025) : 0;
    const wide = part.where === "floor" && part.size < 0.05 ? s.D * 0.6 : size, from = part.where === "wall" ? half - size : -wide / 2;
    add("rect", { x: X(from), y: Y(part.height), width: wide * k, height: Math.max(3, (part.height - low) * k), class: "part" });
    return { text: `${i + 1}: ${part.what}`, x: part.where === "wall" ? X(half) + 14 : X(from + wide / 2), y: Y((part.height + low) / 2), n: i + 1 };
  }
  for (const layer of [...s.layers].sort((a, b) => b.D - a.D)) {
    const ring = (j) => [X(((j % 2 ? -1 : 1) * layer.D) / 2), Y(layer.low + (layer.p * j) / 2)], halves = Math.min(400, Math.floor(2 * layer.N + 0.01));
    for (let j = 1; j < halves; j += 2) pipe(`M${ring(j).map((v) => v.toFixed(1))}L${ring(j + 1).map((v) => v.toFixed(1))}`, ["back", "back-edge"]);
    if (s.rests === "feet") for (const j of [0, 1]) line(ring(j)[0], Y(layer.low - s.d_o / 2), ring(j)[0], Y(0), "wall");
    for (let j = 0; j <= halves; j++) add("circle", { cx: ring(j)[0], cy: ring(j)[1], r: tube / 2 - 0.4, class: "tube" });
  }
  add("path", { d: `M${X(-half)},${Y(s.H)}V${Y(0)}H${X(half)}V${Y(s.H)}`, class: "wall" });
  if (s.mouth && s.mouth < s.D - 0.002) for (const side of [-1, 1]) line(X(side * half), Y(s.H), X((side * s.mouth) / 2), Y(s.H), "wall");
  const taken = [];
  for (const riser of s.risers) {
    const way = Math.sign(riser.reach - riser.x) || 1, bend = Math.min(riser.bend || 0, Math.abs(riser.reach - riser.x), riser.top - riser.foot);
    pipe(`M${X(riser.x)},${Y(riser.foot)}V${Y(riser.top - bend)}A${bend * k},${bend * k} 0 0 ${way > 0 ? 1 : 0} ${X(riser.x + way * bend)},${Y(riser.top)}H${X(riser.reach)}`, ["inside", "edge"]);
    let y = Y(riser.top) - tube / 2 - 5, x = Math.min(ROOM - 18, Math.max(18, X(riser.reach) - way * 10));
    while (taken.some(([tx, ty]) => Math.abs(tx - x) < 46 && Math.abs(ty - y) < 14)) y = y < Y(riser.top) ? Y(riser.top) + tube / 2 + 14 : y + 15;
    taken.push([x, y]);
    say(x, y, riser.name, "middle", { "font-weight": "bold" });
  }
  for (const { x, y, n } of names) { add("circle", { cx: x, cy: y, r: 9, class: "tag" }); say(x, y + 4.5, n, "middle", { "stroke-width": 0 }); }
  const outer = Math.max(...s.layers.map((a) => a.D)) / 2 + s.d_o / 2, dim = y0 + 14, ticks = (x) => line(x, dim - 4, x, dim + 4);
  const bottom = Math.min(...s.layers.map((a) => a.low)) - s.d_o / 2, crest = Math.max(...s.layers.map((a) => a.low + a.p * a.N)) + s.d_o / 2;
  for (const [a, b] of [[-outer, outer], [outer, half]]) { line(X(a), dim, X(b), dim); ticks(X(a)); ticks(X(b)); }
  say(X(0) - 34, dim + 19, `${s.labels.across} across`);
  say(ROOM - 3, dim + 19, `${s.labels.wall} to the wall`, "end");
  const post = X(-half) - 12;
  line(post, Y(bottom), post, Y(crest));
  for (const h of [bottom, crest]) line(post - 4, Y(h), post + 4, Y(h));
  say(post - 6, (Y(bottom) + Y(crest)) / 2 + 4, s.labels.height, "end");
  svg.setAttribute("aria-label", `The coil in its kettle from the side, to scale: ${what}; ${s.labels.across} across, ${s.labels.height} high, ${s.labels.wall} to the wall.`);
  const words = ["The kettle cut through the middle. Dashed: the wort while hot. Solid: when chilled.", data.rests[s.rests] || "", names.map((p) => p.text).join("; ")];
  return [svg, make("p", { class: "note" }, words.filter(Boolean).join(" "))];
}
