
"use strict";
(function () {
  var table = document.getElementById("recipe-table");
  if (!table) { return; }
  var body = table.tBodies[0];
  var rows = Array.prototype.slice.call(body.rows);
  var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);

  function key(row, column) {
    var cell = row.cells[column];
    var sort = cell.getAttribute("data-sort");
    return sort === null ? cell.textContent.trim().toLowerCase() : Number(sort);
  }
  function compare(a, b) {
    if (typeof a === "number") { return a - b; }
    return a < b ? -1 : a > b ? 1 : 0;
  }
  function sortBy(column, head) {
    var down = head.getAttribute("aria-sort") === "ascending";
    heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    var keyed = rows.map(function (row, place) { return [key(row, column), place, row]; });
    keyed.sort(function (a, b) {
      var order = compare(a[0], b[0]);
      return (down ? -order : order) || a[1] - b[1];
    });
    keyed.forEach(function (item) { body.appendChild(item[2]); });
  }
  heads.forEach(function (head, column) {
    var button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent.trim();
    head.textContent = "";
    head.appendChild(button);
    button.addEventListener("click", function () { sortBy(column, head); });
  });

  var form = document.getElementById("filter");
  if (form) {
    var words = document.getElementById("filter-words");
    var level = document.getElementById("filter-level");
    var shown = document.getElementById("filter-shown");
    var apply = function () {
      var wanted = words.value.trim().toLowerCase();
      var least = Number(level.value);
      var count = 0;
      rows.forEach(function (row) {
        var matches = row.textContent.toLowerCase().indexOf(wanted) >= 0 &&
          Number(row.getAttribute("data-worst")) >= least;
        row.hidden = !matches;
        if (matches) { count += 1; }
      });
      shown.textContent = count + " of " + rows.length + " recipes shown";
    };
    form.hidden = false;
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    words.addEventListener("input", apply);
    level.addEventListener("change", apply);
    apply();
  }
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll("details:not(.remarks)").forEach(function (item) { item.open = true; });
  });
})();
