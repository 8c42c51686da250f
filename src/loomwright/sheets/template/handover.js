const field = document.getElementById("find");
field.form.hidden = false;
field.form.addEventListener("submit", (e) => e.preventDefault());
field.addEventListener("input", () => {
  const wanted = field.value.trim().toLowerCase();
  const has = (part) => !wanted || part.textContent.toLowerCase().includes(wanted);
  for (const row of document.querySelectorAll("tbody tr")) row.classList.toggle("gone", !row.querySelector("th") && !has(row));
  for (const part of document.querySelectorAll("section")) part.classList.toggle("gone", !has(part));
});
