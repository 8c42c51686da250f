// Light or dark as chosen before, set before anything is painted; no choice follows the system.
(() => {
  try {
    const chosen = localStorage.getItem("theme");
    if (chosen === "light" || chosen === "dark") document.documentElement.dataset.theme = chosen;
  } catch { /* nothing may be stored here: the system's choice stands */ }
})();
