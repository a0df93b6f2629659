// Before anything is drawn: the paper the maker chose last, else what the system asks for.
(function () {
  let chosen = null;
  try { chosen = localStorage.getItem("theme"); } catch { chosen = null; }
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  const theme = chosen === "light" || chosen === "dark" ? chosen : dark ? "dark" : "light";
  document.documentElement.dataset.theme = theme;
})();
