"use strict";
document.addEventListener("click", (event) => {
  const button = event.target.closest(".class-table th button");
  if (!button) return;
  const head = button.closest("th"), column = head.cellIndex, table = head.closest("table"), body = table.tBodies[0];
  const value = (row) => {
    const cell = row.cells[column], sort = cell.dataset.sort;
    return sort === undefined ? cell.textContent.trim().toLowerCase() : Number(sort);
  };
  const down = head.getAttribute("aria-sort") === "ascending";
  for (const other of table.querySelectorAll("th[aria-sort]")) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", down ? "descending" : "ascending");
  const rows = Array.from(body.rows);
  rows.sort((one, other) => {
    const left = value(one), right = value(other);
    const order = typeof left === "string" ? left.localeCompare(right) : left - right;
    return down ? -order : order;
  });
  body.append(...rows);
  table.dispatchEvent(new Event("sorted", { bubbles: true }));
});
