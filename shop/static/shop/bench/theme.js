/* Before anything is drawn: the screen as it was chosen on this phone. */
try {
  document.documentElement.dataset.theme = localStorage.getItem("bench-theme") || "auto";
} catch {
  document.documentElement.dataset.theme = "auto";
}
