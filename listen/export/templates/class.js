"use strict";
(() => {
  const table = document.getElementById("class"), body = table && table.tBodies[0];
  if (!body) return;
  const value = (row, column) => {
    const cell = row.cells[column], sort = cell.dataset.sort;
    return sort === undefined ? cell.textContent.trim().toLowerCase() : Number(sort);
  };
  for (const button of table.querySelectorAll("th button")) {
    button.addEventListener("click", () => {
      const head = button.closest("th"), column = head.cellIndex;
      const down = head.getAttribute("aria-sort") === "ascending";
      for (const other of table.querySelectorAll("th[aria-sort]")) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const rows = Array.from(body.rows);
      rows.sort((one, other) => {
        const left = value(one, column), right = value(other, column);
        const order = left < right ? -1 : left > right ? 1 : 0;
        return down ? -order : order;
      });
      body.append(...rows);
    });
  }
})();
