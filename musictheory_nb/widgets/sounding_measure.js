// The measure that sounds, framed in the notation beside the controls: in that of the same music, or else in the only
// one of the output that has as many measures.

function soundingMeasure(el) {
  let framed = []; // frames that are drawn
  let shown = "";
  const pictures = (music, first, count) => {
    const scope = el.closest(".mtnb-exercise") ?? el.closest(".jp-OutputArea") ?? el.parentElement ?? el;
    const own = [...scope.querySelectorAll("[data-music]")].filter((page) => page.dataset.music === music);
    if (own.length) return own.map((page) => [page, Number(page.dataset.first)]);
    const all = [...scope.querySelectorAll("svg.music-notation")];
    const fitting = all.filter((svg) => svg.querySelectorAll("g.measure").length === count);
    return all.length === 1 && fitting.length === 1 ? [[fitting[0], first]] : [];
  };
  function clear() {
    framed.forEach((frame) => frame.remove());
    framed = [];
    shown = "";
  }
  function show(music, index, first, count) {
    const wanted = `${music} ${index} ${first} ${count}`;
    if (wanted === shown && framed.every((frame) => frame.isConnected)) return;
    clear();
    shown = wanted;
    for (const [page, start] of pictures(music, first, count)) {
      const measure = page.querySelectorAll("g.measure")[index - start];
      if (!measure) continue;
      const box = measure.getBBox();
      const frame = document.createElementNS("http://www.w3.org/2000/svg", "rect");
      const room = 60;
      const places = { x: box.x - room / 2, y: box.y - room, width: box.width + room, height: box.height + 2 * room, rx: 80 };
      Object.entries(places).forEach(([name, value]) => frame.setAttribute(name, String(value)));
      frame.setAttribute("class", "mtnb-sounding");
      frame.setAttribute("aria-hidden", "true");
      measure.prepend(frame);
      framed.push(frame);
    }
  }
  return { show, clear };
}
