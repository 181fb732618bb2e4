// Shows only the marks of the place that was chosen; without it all of them stand there.
(() => {
  const where = document.querySelector("select[data-kinds]");
  if (!where) return;
  const kinds = JSON.parse(where.dataset.kinds);
  const marks = document.querySelectorAll(".mark-choices > [data-at]");

  function narrow() {
    const kind = kinds[where.value];
    for (const mark of marks) {
      const elsewhere = kind && mark.dataset.at && !mark.dataset.at.split(" ").includes(kind);
      // what was picked is never hidden: the form would take it unseen
      mark.hidden = Boolean(elsewhere) && !mark.querySelector("input").checked;
    }
  }

  where.addEventListener("change", narrow);
  narrow();
})();
