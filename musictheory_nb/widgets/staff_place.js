// Where things are on an engraved staff: from the picture to steps and notes, and the marks that lie over it.

function staffPlace(page) {
  const caret = element("div", { class: "mtnb-staff-caret", "aria-hidden": "true" });
  const ghost = element("div", { class: "mtnb-staff-ghost", "aria-hidden": "true" });
  const ghostName = element("div", { class: "mtnb-staff-ghost-name", "aria-hidden": "true" });
  ghost.hidden = ghostName.hidden = true;

  const origin = () => {
    const box = page.getBoundingClientRect();
    return { x: box.left - page.scrollLeft + page.clientLeft, y: box.top - page.scrollTop + page.clientTop };
  };
  // The staff of each measure: its top and bottom line, its ends, and the distance between lines, in page pixels.
  function staves() {
    const from = origin();
    return [...page.querySelectorAll("svg g.staff")].map((group) => {
      const lines = [...group.children].filter((child) => child.tagName === "path").slice(0, 5).map((line) => line.getBoundingClientRect());
      const middle = (box) => (box.top + box.bottom) / 2 - from.y;
      const [top, bottom] = [middle(lines[0]), middle(lines[4])];
      return { top, bottom, left: lines[0].left - from.x, right: lines[0].right - from.x, gap: (bottom - top) / 4 };
    });
  }
  // The boxes of what is written, by index of its row: noteheads carry theirs, rests follow in order.
  function boxes() {
    const from = origin();
    const found = [];
    let next = 0;
    for (const node of page.querySelectorAll("svg g.note, svg g.rest")) {
      const index = node.dataset.note === undefined ? next : Number(node.dataset.note);
      next = index + 1;
      const box = (node.querySelector("g.notehead") ?? node).getBoundingClientRect();
      const own = { left: box.left - from.x, right: box.right - from.x, top: box.top - from.y, bottom: box.bottom - from.y };
      const old = found[index];
      found[index] = old
        ? { left: Math.min(old.left, own.left), right: Math.max(old.right, own.right), top: Math.min(old.top, own.top), bottom: Math.max(old.bottom, own.bottom) }
        : own;
    }
    return found;
  }
  const staffAt = (all, x, y) => {
    const off = (staff) => Math.max(0, staff.top - y, y - staff.bottom) * 4 + Math.max(0, staff.left - x, x - staff.right);
    return all.reduce((best, staff) => (off(staff) < off(best) ? staff : best), all[0]);
  };
  const put = (node, values) => Object.entries(values).forEach(([name, value]) => (node.style[name] = `${value}px`));

  return {
    caret,
    ghost,
    ghostName,
    // What a pointer is on: steps above the bottom line, and the row in whose column it is (`after`: right of all of them).
    hit(event) {
      const from = origin();
      const [x, y] = [event.clientX - from.x, event.clientY - from.y];
      const all = staves();
      if (!all.length) return null;
      const staff = staffAt(all, x, y);
      const steps = Math.round((staff.bottom - y) / (staff.gap / 2));
      const rows = boxes();
      const near = (box) => box && Math.abs((box.top + box.bottom) / 2 - (staff.top + staff.bottom) / 2) < staff.gap * 9;
      let row = rows.findIndex((box) => near(box) && x >= box.left - staff.gap * 0.6 && x <= box.right + staff.gap * 0.6);
      const last = rows.at(-1);
      const lastStaff = last && staffAt(all, last.left, (last.top + last.bottom) / 2);
      const after = !last || staff.top > lastStaff.bottom || (Math.abs(staff.top - lastStaff.top) < 1 && x > last.right);
      if (row < 0 && !after) {
        const distance = (box) => (near(box) ? Math.abs((box.left + box.right) / 2 - x) : Infinity);
        const nearest = rows.reduce((best, box, at) => (distance(box) < distance(rows[best]) ? at : best), 0);
        return { steps, staff, x, row: nearest, onColumn: false, after: false };
      }
      return { steps, staff, x, row, onColumn: row >= 0, after: row < 0 };
    },
    showGhost(hit, steps, name) {
      const height = hit.staff.gap * 0.95;
      const y = hit.staff.bottom - (steps * hit.staff.gap) / 2;
      put(ghost, { left: hit.x - height * 0.65, top: y - height / 2, width: height * 1.3, height });
      ghostName.textContent = name;
      put(ghostName, { left: hit.x + height, top: y - 11 });
      ghost.hidden = ghostName.hidden = false;
    },
    hideGhost() {
      ghost.hidden = ghostName.hidden = true;
    },
    // The caret stands around the row `index`, or where the next note will stand.
    showCaret(index) {
      const [all, rows] = [staves(), boxes()];
      caret.hidden = !all.length;
      if (!all.length) return;
      const box = rows[index];
      caret.classList.toggle("mtnb-staff-caret-next", !box);
      if (box) {
        const staff = staffAt(all, box.left, (box.top + box.bottom) / 2);
        const [top, bottom] = [Math.min(staff.top, box.top) - 10, Math.max(staff.bottom, box.bottom) + 10];
        put(caret, { left: box.left - 5, top, width: box.right - box.left + 10, height: bottom - top });
        return;
      }
      const last = rows.at(-1);
      let staff = last ? staffAt(all, last.left, (last.top + last.bottom) / 2) : all[0];
      const signs = [...page.querySelectorAll("svg g.clef, svg g.keySig, svg g.meterSig")].map((node) => node.getBoundingClientRect().right - origin().x);
      let left = last ? last.right + staff.gap * 1.2 : Math.max(staff.left, ...signs) + staff.gap;
      if (last && this.full) {
        staff = all[all.indexOf(staff) + 1] ?? staff;
        left = staff.left + staff.gap * (staff === all[0] ? 8 : 1.2);
      }
      put(caret, { left: Math.min(left, staff.right - 4), top: staff.top - 8, width: 3, height: staff.bottom - staff.top + 16 });
    },
  };
}
