(function () {
  "use strict";
  // Sorts a table's rows by one column; rows that have no value there come last either way.
  function sort(table, column, kind, down) {
    const body = table.tBodies[0];
    const value = (row) => row.children[column].dataset.value;
    const compare = (a, b) =>
      kind === "number" ? Number(a) - Number(b) : a.localeCompare(b, "en", { numeric: true });
    const rows = [...body.rows].sort((a, b) => {
      const [one, other] = [value(a), value(b)];
      if (one === "" || other === "") {
        return (one === "") - (other === "");
      }
      return compare(one, other) * (down ? -1 : 1);
    });
    body.append(...rows);
  }

  // Without this script a heading is plain text, so that no button is there that does nothing.
  for (const table of document.querySelectorAll("table.sortable")) {
    const heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        const down = head.getAttribute("aria-sort") === "ascending";
        heads.forEach((other) => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", down ? "descending" : "ascending");
        sort(table, column, head.dataset.sort, down);
      });
    });
  }
})();
