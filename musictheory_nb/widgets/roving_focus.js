// One Tab stop for a group of buttons; arrow keys, Home and End move inside it.

function focusOn(items, at) {
  const to = Math.max(0, Math.min(items.length - 1, at));
  items.forEach((item, index) => (item.tabIndex = index === to ? 0 : -1));
  items[to].focus();
  items[to].scrollIntoView({ block: "nearest", inline: "nearest" });
  return to;
}

// `rowLength()` is how far Up and Down go. `moved(to, from, event)` is told after each move.
function rovingFocus(container, items, { rowLength = () => 1, moved = () => {} } = {}) {
  container.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const all = items();
    const from = all.indexOf(document.activeElement);
    if (from < 0) return;
    const row = rowLength();
    const last = all.length - 1;
    const steps = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: row, ArrowUp: -row };
    let to = null;
    if (event.key in steps) to = from + steps[event.key];
    else if (event.key === "Home") to = 0;
    else if (event.key === "End") to = last;
    if (to === null) return;
    event.preventDefault();
    event.stopPropagation();
    if (to < 0 || to > last) {
      if (Math.abs(to - from) > 1) return; // no row that way
      to = from;
    }
    moved(focusOn(all, to), from, event);
  });
  // A click also moves the one Tab stop.
  container.addEventListener("focusin", (event) => {
    const all = items();
    if (all.includes(event.target)) all.forEach((item) => (item.tabIndex = item === event.target ? 0 : -1));
  });
}
