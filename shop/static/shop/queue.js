/* Rows of the queue are dragged to their place; the buttons do the same without a pointer. */

const table = document.querySelector("[data-queue]");
const form = document.getElementById("queue-order");

if (table && form) {
  const body = table.tBodies[0];
  let dragged = null;

  for (const row of body.rows) {
    row.draggable = true;
    row.addEventListener("dragstart", (event) => {
      dragged = row;
      event.dataTransfer.effectAllowed = "move";
    });
    row.addEventListener("dragover", (event) => {
      event.preventDefault();
      if (!dragged || dragged === row) return;
      const box = row.getBoundingClientRect();
      const below = event.clientY > box.top + box.height / 2;
      body.insertBefore(dragged, below ? row.nextSibling : row);
    });
    row.addEventListener("drop", (event) => event.preventDefault());
    row.addEventListener("dragend", () => {
      if (!dragged) return;
      dragged = null;
      for (const one of body.rows) {
        const field = document.createElement("input");
        field.type = "hidden";
        field.name = "build";
        field.value = one.dataset.build;
        form.append(field);
      }
      form.submit();
    });
  }
}
