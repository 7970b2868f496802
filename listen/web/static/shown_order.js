// The order in which a class is shown, by the ident of its homework: it holds over a reload, and one goes from student to
// student in it.

const COLUMN = "listen.homework.order."; // by which column its table was sorted, and how
const STUDENTS = "listen.homework.shown."; // who stands in its rows, from the top

export function keepColumn(ident, head) {
  sessionStorage.setItem(COLUMN + ident, JSON.stringify([head.textContent, head.getAttribute("aria-sort")]));
}

// The order that was chosen holds for a table that is made anew.
export function sortAgain(ident, body) {
  const [column, order] = JSON.parse(sessionStorage.getItem(COLUMN + ident) ?? "[]");
  const head = [...body.querySelectorAll(".class-table thead th")].find((one) => one.textContent === column);
  head?.querySelector("button").click();
  if (order === "descending") head?.querySelector("button").click();
}

export function keepShown(ident, students) {
  sessionStorage.setItem(STUDENTS + ident, JSON.stringify(students));
}

// Whoever stands in no row comes last, as in the homework.
export function asShown(ident, students) {
  const shown = JSON.parse(sessionStorage.getItem(STUDENTS + ident) ?? "[]");
  const place = (one) => (shown.includes(one) ? shown.indexOf(one) : shown.length);
  return [...students].sort((one, other) => place(one) - place(other));
}
